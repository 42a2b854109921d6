"""Screens, pictures and reports: clients of the control socket and of recordings."""
