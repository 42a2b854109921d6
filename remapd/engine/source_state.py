"""What the engine knows of one node: what it is, its state, and who takes its events."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from remapd.engine.axis_frames import AxisFrames, Way
from remapd.engine.handlers import EV_ABS, EV_KEY, EV_REL, UNKNOWN, Handler, event_key
from remapd.engine.source import Source

# Sizes as in linux/input-event-codes.h: KEY_CNT, REL_CNT, ABS_CNT.
_NO_KEYS: Final[list[Handler | None]] = [None] * 0x300
_NO_COUNTS: Final[list[Handler | None]] = [None] * 0x10
_NO_AXES: Final[list[Handler | None]] = [None] * 0x40

#: A device moves its axes in so many combinations; more of them are worked out anew.
_MOST_WAYS: Final = 256


class SourceState:
    """A node that is plugged in: what it is and, where it is read, its state and handlers."""

    __slots__ = ("axes", "counts", "keys", "raw", "source", "ways")

    def __init__(self, source: Source) -> None:
        self.source = source
        #: Who takes the events of each code, by type.
        self.keys: list[Handler | None] = _NO_KEYS
        self.counts: list[Handler | None] = _NO_COUNTS
        self.axes: list[Handler | None] = _NO_AXES
        #: Last value by `event_key`; None while nobody reads the node. What has a handler stands
        #: there meanwhile, see `let_go`.
        self.raw: dict[int, int] | None = None
        #: What is known of the frames of moving axes that have come, since handlers last changed.
        self.ways: dict[AxisFrames, Way] = {}

    def way_of(self, frames: AxisFrames, raw: dict[int, int]) -> Way:
        """What becomes of these frames, worked out once."""
        way = self.ways.get(frames)
        if way is None:
            if len(self.ways) >= _MOST_WAYS:
                self.ways.clear()
            way = self.ways[frames] = Way(frames, self.axes, self.counts, self.source.id, raw)
        return way

    def take(self, handlers: Mapping[int, Handler]) -> None:
        """From now on these get the events, by `event_key`."""
        self.ways = {}
        self.keys = list(_NO_KEYS)
        self.counts = list(_NO_COUNTS)
        self.axes = list(_NO_AXES)
        for key, handler in handlers.items():
            handler.last = UNKNOWN  # what it last took of a node that has gone since is over
            {EV_KEY: self.keys, EV_REL: self.counts, EV_ABS: self.axes}[key >> 16][key & 0xFFFF] = (
                handler
            )

    def let_go(self) -> None:
        """Nobody gets the events any more; the last values are in `raw` again."""
        if self.raw is not None:
            for event_type, handlers in ((EV_KEY, self.keys), (EV_ABS, self.axes)):
                for code, handler in enumerate(handlers):
                    if handler is not None and handler.known() != UNKNOWN:
                        self.raw[event_key(event_type, code)] = handler.known()
        self.ways = {}
        self.keys = _NO_KEYS
        self.counts = _NO_COUNTS
        self.axes = _NO_AXES
