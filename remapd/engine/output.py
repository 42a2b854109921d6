"""What the engine gives out: one frame of events of the virtual pad."""

from __future__ import annotations


class OutputFrame:
    """Changes of the pad that happen together, at `us` (microseconds, monotonic).

    `events` is flat, [type, code, value, ...] as in `struct input_event`, so that it can be packed
    and written in one go; it ends with the SYN_REPORT, 0, 0, 0.
    """

    __slots__ = ("events", "us")

    def __init__(self, us: int, events: list[int]) -> None:
        self.us = us
        self.events = events

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, OutputFrame):
            return NotImplemented
        return self.us == other.us and self.events == other.events

    __hash__ = None  # type: ignore[assignment] # its list can change

    def __repr__(self) -> str:
        return f"OutputFrame(us={self.us}, events={self.events})"
