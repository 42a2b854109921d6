"""Frames in which nothing but axes moves: most of all input, and a short way for it.

Which values of such a frame go to which stick, pointer or lever is worked out once for each
combination of axes, and holds until a device comes or goes or another layout is in force.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from remapd.engine.handlers import EV_ABS, EV_REL, Handler, event_key
from remapd.engine.motions import Motion, RawAxis, RawCount
from remapd.engine.values import value_at

if TYPE_CHECKING:  # a number as the processor has it; of use where this is compiled
    from mypy_extensions import i64


class AxisFrames:
    """The frames with these axes in this order: know them again by this very object.

    An axis is its type (EV_ABS or EV_REL) and its code.

    One of them is given as bytes in which the value of the first axis stands at `first` and those
    of the others `step` bytes apart, each as `values.value_at` reads it: as they were read from the
    device, so that nothing need be copied out of that.
    """

    __slots__ = ("axes", "first", "step", "way")

    def __init__(self, axes: tuple[tuple[int, int], ...], first: int, step: int) -> None:
        self.axes = axes
        self.first = first
        self.step = step
        #: The way that was last gone, for the engine: it asks whether that still holds.
        self.way: Way | None = None

    def place(self, number: int) -> int:
        """Where in the bytes the value of the axis with this number is."""
        return self.first + number * self.step

    def events(self, data: bytes) -> list[tuple[int, int, int]]:
        """The frame as any other is given."""
        return [
            (event_type, code, value_at(data, self.place(number)))
            for number, (event_type, code) in enumerate(self.axes)
        ]


class Lane:
    """A motion, with the places of its x and y in the bytes; -1: not in the frame."""

    __slots__ = ("motion", "x_at", "y_at")

    def __init__(self, motion: Motion) -> None:
        self.motion = motion
        self.x_at: i64 = -1
        self.y_at: i64 = -1


class Way:
    """Where the values of such frames of one source go.

    Attributes:
        open: Whether the short way can be gone at all: one reader to an axis, one value of each.
        lanes: The sticks, pointers and levers in the order of the file.
        unread: Of axes that nobody reads: by what they are kept, and their places.
        raw: Where those are kept.
        source_id, holds_for: What it was found for; see `Engine.feed_axes`.
    """

    __slots__ = ("holds_for", "lanes", "open", "raw", "source_id", "unread")

    def __init__(
        self,
        frames: AxisFrames,
        absolute: Sequence[Handler | None],
        relative: Sequence[Handler | None],
        source_id: int,
        raw: dict[int, int],
    ) -> None:
        self.raw = raw
        self.source_id = source_id
        self.holds_for: object = None
        self.unread: list[tuple[int, int]] = []
        places: dict[int, Lane] = {}
        self.open = len(set(frames.axes)) == len(frames.axes)
        for number, (event_type, code) in enumerate(frames.axes):
            at = frames.place(number)
            handler = relative[code] if event_type == EV_REL else absolute[code]
            if handler is None:
                self.unread.append((event_key(event_type, code), at))
            elif isinstance(handler, (RawAxis, RawCount)):
                motion = handler.motion
                lane = places.setdefault(motion.key, Lane(motion))
                if handler.which:
                    lane.y_at = at
                else:
                    lane.x_at = at
                if event_type == EV_ABS:
                    handler.last = 0  # its motion knows
            else:
                self.open = False
        self.lanes = [places[key] for key in sorted(places)]
