"""The command line: one command a file, thin, with no logic of its own."""
