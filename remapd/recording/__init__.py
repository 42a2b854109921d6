"""The recording format, and its player on virtual time."""
