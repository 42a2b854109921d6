"""What can be proved of a layout, and what can be measured of a player."""
