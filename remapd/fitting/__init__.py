"""Fitting: from what a person can do and what a game needs, to a layout that says so."""
