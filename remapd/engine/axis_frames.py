"""Frames in which nothing but absolute axes moves: most of all input, and a short way for it.

Which values of such a frame go to which stick or lever is worked out once for each combination of
axes, and holds until a device comes or goes or another layout is in force.
"""

from __future__ import annotations

from collections.abc import Sequence

from remapd.engine.handlers import EV_ABS, Handler, event_key
from remapd.engine.motions import Motion, RawAxis


class AxisFrames:
    """The frames with these axes in this order: know them again by this very object.

    The values of one of them are given as a sequence in which those of the axes begin at `first`
    and stand `step` apart, so that they need not be copied out of what was read.
    """

    __slots__ = ("codes", "first", "step", "way")

    def __init__(self, codes: tuple[int, ...], first: int = 0, step: int = 1) -> None:
        self.codes = codes
        self.first = first
        self.step = step
        #: The way that was last gone, for the engine: it asks whether that still holds.
        self.way: Way | None = None

    def place(self, number: int) -> int:
        """Where among the values that of the axis with this number is."""
        return self.first + number * self.step

    def events(self, values: tuple[int, ...]) -> list[tuple[int, int, int]]:
        """The frame as any other is given."""
        return [
            (EV_ABS, code, values[self.place(number)]) for number, code in enumerate(self.codes)
        ]


class Lane:
    """A stick or lever, with the places of its x and y among the values; -1: not in the frame."""

    __slots__ = ("motion", "x_at", "y_at")

    def __init__(self, motion: Motion) -> None:
        self.motion = motion
        self.x_at = -1
        self.y_at = -1


class Way:
    """Where the values of such frames of one source go.

    Attributes:
        open: Whether the short way can be gone at all: one reader to an axis.
        lanes: The sticks and levers in the order of the file.
        unread: Of axes that nobody reads: by what they are kept, and their places.
        raw: Where those are kept.
        source_id, holds_for: What it was found for; see `Engine.feed_axes`.
    """

    __slots__ = ("holds_for", "lanes", "open", "raw", "source_id", "unread")

    def __init__(
        self,
        frames: AxisFrames,
        handlers: Sequence[Handler | None],
        source_id: int,
        raw: dict[int, int],
    ) -> None:
        self.open = True
        self.raw = raw
        self.source_id = source_id
        self.holds_for: object = None
        self.unread: list[tuple[int, int]] = []
        places: dict[int, Lane] = {}
        for number, code in enumerate(frames.codes):
            at = frames.place(number)
            handler = handlers[code]
            if handler is None:
                self.unread.append((event_key(EV_ABS, code), at))
            elif isinstance(handler, RawAxis):
                motion = handler.motion
                lane = places.setdefault(motion.key, Lane(motion))
                if handler.which:
                    lane.y_at = at
                else:
                    lane.x_at = at
                handler.last = 0  # its motion knows
            else:
                self.open = False
        self.lanes = [places[key] for key in sorted(places)]
