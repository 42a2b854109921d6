"""What the engine gives out: one frame of events of the virtual pad."""

from __future__ import annotations

from typing import Final

_EV_ABS: Final = 0x03

#: The absolute axes of the pad but for the hat, in the order in which a frame has them: ABS_X and
#: ABS_Y, ABS_RX and ABS_RY, ABS_Z and ABS_RZ.
AXIS_CODES: Final = (0x00, 0x01, 0x03, 0x04, 0x02, 0x05)

#: SYN_REPORT, which ends a frame.
_REPORT: Final = [0, 0, 0]


class OutputFrame:
    """Changes of the pad that happen together, at `us` (microseconds, monotonic).

    Attributes:
        moved: Of a frame in which nothing but sticks and triggers moves, most of all frames, the
            set of these axes, bit by bit in the order of AXIS_CODES; else 0.
        positions: The values of those, in the same order; of others anything.
    """

    __slots__ = ("_events", "moved", "positions", "us")

    def __init__(
        self, us: int, events: list[int] | None, moved: int = 0, positions: list[int] | None = None
    ) -> None:
        """Of its events, or of the axes that move."""
        self.us = us
        self._events = events
        self.moved = moved
        self.positions: list[int] = positions or []

    @property
    def events(self) -> list[int]:
        """Flat, [type, code, value, ...] as in `struct input_event`, so that it can be packed and
        written in one go; it ends with the SYN_REPORT, 0, 0, 0.
        """
        events = self._events
        if events is None:
            events = []
            add_axes(events, self.moved, self.positions)
            events += _REPORT
            self._events = events
        return events

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, OutputFrame):
            return NotImplemented
        return self.us == other.us and self.events == other.events

    __hash__ = None  # type: ignore[assignment] # its list can change

    def __repr__(self) -> str:
        return f"OutputFrame(us={self.us}, events={self.events})"


def add_axes(events: list[int], moved: int, positions: list[int]) -> None:
    """Adds the axes that are in the set `moved`, see `OutputFrame`."""
    for number, code in enumerate(AXIS_CODES):
        if moved >> number & 1:
            events.append(_EV_ABS)
            events.append(code)
            events.append(positions[number])
