"""Pointers: a mouse or trackball used as a stick, by how fast it moves."""

from __future__ import annotations

from collections import deque

from remapd.engine.settings import StickSettings
from remapd.engine.sticks import PointConditioner


class PointerConditioner(PointConditioner):
    """Counts in the last window, as a share of full speed, through steps 2 to 6 of a stick.

    A count leaves when it is as old as the window. A new window (a tuning) counts from the next
    sample on, for counts that are in it already too.
    """

    __slots__ = ("_counts", "_full", "_next_window_us", "_sum_x", "_sum_y", "_window_us")

    def __init__(self, settings: StickSettings) -> None:
        #: (us, counts to the right, counts down), oldest first.
        self._counts: deque[tuple[int, int, int]] = deque()
        self._sum_x = 0
        self._sum_y = 0
        self._window_us = self._next_window_us = settings.window_us
        self._full = 1.0  # so many counts in a window are full speed, times 1e6
        super().__init__(settings)

    def _prepare(self, settings: StickSettings) -> None:
        super()._prepare(settings)
        self._next_window_us = settings.window_us
        self._full = settings.full_speed * settings.window_us

    @property
    def next_due_us(self) -> int | None:
        """When the oldest count leaves, and `expire` is wanted; None when there is no count."""
        return self._counts[0][0] + self._window_us if self._counts else None

    def count(self, x: int, y: int, us: int) -> bool:
        """Takes the counts of a frame at `us`.

        Returns True when the filter is not there yet: then `tick` is wanted SAMPLE_PERIOD_US later,
        unless another count, or an `expire`, comes first.
        """
        self.keep(x, y, us)
        return self._sample(us)

    def consider(self, x: int, y: int, us: int, due_us: int) -> bool:
        """Conditions as `count` would, but keeps nothing; of a pointer that is not `steadied`.

        False where there is more to it: unless the oldest count leaves at `due_us`, later than now.
        """
        counts = self._counts
        if due_us <= us or not counts or counts[0][0] + self._next_window_us != due_us:
            return False
        point_x = (self._sum_x + x) * 1e6 / self._full
        point_y = (self._sum_y + y) * 1e6 / self._full
        if self._bends:
            point_x, point_y = self._bent(point_x, point_y)
        self._settle(point_x, point_y)
        return True

    def keep(self, x: int, y: int, us: int) -> None:
        """What `consider` has just conditioned stays."""
        self._counts.append((us, x, y))
        self._sum_x += x
        self._sum_y += y

    def expire(self, us: int) -> bool:
        """Counts that are as old as the window leave; the same answer."""
        return self._sample(us)

    def tick(self, us: int) -> bool:
        """The last value, sampled again; the same answer."""
        return self._sample(us)

    def _sample(self, us: int) -> bool:
        window_us = self._window_us = self._next_window_us
        counts = self._counts
        while counts and counts[0][0] + window_us <= us:
            _, x, y = counts.popleft()
            self._sum_x -= x
            self._sum_y -= y
        full = self._full
        return self._condition(self._sum_x * 1e6 / full, self._sum_y * 1e6 / full, us)
