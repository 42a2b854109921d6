"""What a layout reaches: a search over the situations of play, and the ways that it finds."""
