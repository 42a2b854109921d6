"""What the engine gives out: one frame of events of the virtual pad."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(slots=True)
class OutputFrame:
    """Changes of the pad that happen together, at `us` (microseconds, monotonic).

    `events` is flat, [type, code, value, ...] as in `struct input_event`, so that it can be packed
    and written in one go; it ends with the SYN_REPORT, 0, 0, 0.
    """

    us: int
    events: list[int]
