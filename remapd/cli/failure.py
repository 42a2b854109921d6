"""The error that a command raises when it cannot do what it was asked."""


class CommandFailed(Exception):
    """A failure told to the user in one line: what is wrong, and how to mend it. Exit code 1."""
