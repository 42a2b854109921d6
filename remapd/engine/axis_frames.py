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

    __slots__ = ("codes", "first", "step")

    def __init__(self, codes: tuple[int, ...], first: int = 0, step: int = 1) -> None:
        self.codes = codes
        self.first = first
        self.step = step

    def place(self, number: int) -> int:
        """Where among the values that of the axis with this number is."""
        return self.first + number * self.step

    def events(self, values: tuple[int, ...]) -> list[tuple[int, int, int]]:
        """The frame as any other is given."""
        return [
            (EV_ABS, code, values[self.place(number)]) for number, code in enumerate(self.codes)
        ]


class Way:
    """Where the values of such frames go.

    Attributes:
        open: Whether the short way can be gone at all: one reader to an axis.
        lanes: The sticks and levers in the order of the file, each with the places of its x and y
            among the values; -1 where the frame does not have it.
        unread: Of axes that nobody reads: by what they are kept, and their places.
    """

    __slots__ = ("lanes", "open", "unread")

    def __init__(self, frames: AxisFrames, handlers: Sequence[Handler | None]) -> None:
        self.open = True
        self.unread: list[tuple[int, int]] = []
        places: dict[int, tuple[Motion, int, int]] = {}
        for number, code in enumerate(frames.codes):
            at = frames.place(number)
            handler = handlers[code]
            if handler is None:
                self.unread.append((event_key(EV_ABS, code), at))
            elif isinstance(handler, RawAxis):
                motion = handler.motion
                _, x_at, y_at = places.get(motion.key, (motion, -1, -1))
                if handler.which:
                    y_at = at
                else:
                    x_at = at
                places[motion.key] = (motion, x_at, y_at)
                handler.last = 0  # its motion knows
            else:
                self.open = False
        self.lanes = [places[key] for key in sorted(places)]
