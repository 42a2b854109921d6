"""What is to be said of a layout beside what it reaches: one file for each kind of fault."""
