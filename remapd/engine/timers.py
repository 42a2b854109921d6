"""Deadlines on virtual time, ordered by due time and then by the order in which they were set."""

from __future__ import annotations

import heapq
from collections.abc import Callable
from typing import Final

#: Later than any time that comes: nothing is due.
NEVER_US: Final = 1 << 60


class Timer:
    """One deadline, armed or not; `fire` is called with its due time (microseconds) when it is due.

    A timer is disarmed before `fire` runs, so `fire` may arm it again.
    """

    __slots__ = ("due_us", "fire", "order")

    def __init__(self, fire: Callable[[int], None]) -> None:
        self.fire = fire
        self.due_us = 0
        self.order = 0  # 0: not armed

    @property
    def armed(self) -> bool:
        """Whether it is waiting to fire."""
        return self.order != 0


class Timers:
    """All timers of an engine.

    A timer that is armed again or disarmed leaves its old entry in the heap, which is passed over
    when it comes up: `order` tells the entry that counts.

    Attributes:
        earliest_us: Nothing is due before this; a glance that spares most frames a look-up.
    """

    __slots__ = ("_heap", "_order", "earliest_us")

    def __init__(self) -> None:
        self._heap: list[tuple[int, int, Timer]] = []
        self._order = 0
        self.earliest_us = NEVER_US

    def arm(self, timer: Timer, due_us: int) -> None:
        """Sets the timer to fire at `due_us`; what it was set to before no longer counts."""
        self._order += 1
        timer.order = self._order
        timer.due_us = due_us
        heapq.heappush(self._heap, (due_us, self._order, timer))
        if due_us < self.earliest_us:  # noqa: PLR1730 - a call less at each arming
            self.earliest_us = due_us

    def reserve(self) -> int:
        """A place in the order of setting, for `arm_reserved`.

        It is for a deadline that is set now but that will need a timer only if something else
        happens first.
        """
        self._order += 1
        return self._order

    def arm_reserved(self, timer: Timer, due_us: int, order: int) -> None:
        """Sets the timer as if it had been set when its place in the order was reserved.

        A place may be used once.
        """
        timer.order = order
        timer.due_us = due_us
        heapq.heappush(self._heap, (due_us, order, timer))
        if due_us < self.earliest_us:  # noqa: PLR1730 - a call less at each arming
            self.earliest_us = due_us

    def disarm(self, timer: Timer) -> None:
        """The timer no longer fires."""
        timer.order = 0

    @property
    def next_due_us(self) -> int | None:
        """When the next timer is due, or None."""
        heap = self._heap
        while heap:
            due_us, order, timer = heap[0]
            if timer.order == order:
                self.earliest_us = due_us
                return due_us
            heapq.heappop(heap)
        self.earliest_us = NEVER_US
        return None

    def pop_due(self, now_us: int) -> Timer | None:
        """Takes out the next timer that is due at or before `now_us`, disarmed; None if none is."""
        heap = self._heap
        while heap and heap[0][0] <= now_us:
            _, order, timer = heapq.heappop(heap)
            if timer.order == order:
                timer.order = 0
                self.earliest_us = heap[0][0] if heap else NEVER_US
                return timer
            # An entry whose timer was armed again or disarmed meanwhile.
        self.earliest_us = heap[0][0] if heap else NEVER_US
        return None

    def clear(self) -> None:
        """Disarms every timer."""
        for _, order, timer in self._heap:
            if timer.order == order:
                timer.order = 0
        self._heap.clear()
        self.earliest_us = NEVER_US
