"""Cues: what is heard of a layer or an event, by a process of the user's session.

`book` decides what is played and when, and knows no clock and no programs; the others play it.
"""
