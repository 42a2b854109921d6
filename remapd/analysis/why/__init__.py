"""What became of each press in a recording, why, and which one value would have changed that."""
