"""When a list that goes on by time offers what; microseconds from its beginning."""

from __future__ import annotations

from remapd.engine.actions import Scan


def scan_ends_us(action: Scan) -> int:
    """When a list that goes on by time is over, from its beginning."""
    return action.first_us + (len(action.items) * action.rounds - 1) * action.every_us


def offered_us(action: Scan, step: int) -> tuple[int, int]:
    """From when until when an item is offered, from the list's beginning; steps count rounds on."""
    begins_us = 0 if step == 0 else action.first_us + (step - 1) * action.every_us
    return begins_us, action.first_us + step * action.every_us
