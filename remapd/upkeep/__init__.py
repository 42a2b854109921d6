"""What the operating system must have for play: installing it, removing it, checking it."""
