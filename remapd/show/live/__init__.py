"""The running daemon as it plays: its messages made into state, pictures and sentences."""
