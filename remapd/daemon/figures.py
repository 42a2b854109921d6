"""How quick this very machine is: times from the kernel's time stamp to our write, counted.

On the hot path it is one addition to one number of a list.
"""

from __future__ import annotations

import itertools
from typing import Final

#: The width of a step of the histogram, in microseconds, and how many steps there are: up to 50 ms.
STEP_US: Final = 10
STEPS: Final = 5000


class Figures:
    """Counts of delays: `counts[n]` of n to n + 1 steps; the last holds all longer ones."""

    def __init__(self) -> None:
        self.counts = [0] * STEPS
        #: The longest delay of a frame, and the longest time that anything else held the loop.
        self.longest_us = 0
        self.longest_stall_us = 0
        #: How many times the kernel threw events of a device away.
        self.losses = 0

    def add(self, delay_us: int) -> None:
        """Counts one frame that was written `delay_us` after the kernel had stamped its cause."""
        step = delay_us // STEP_US
        self.counts[step if 0 <= step < STEPS else (STEPS - 1 if step > 0 else 0)] += 1
        if delay_us > self.longest_us:  # noqa: PLR1730 - a call less in every frame
            self.longest_us = delay_us

    def held_up(self, duration_us: int) -> None:
        """Something beside input kept the loop for so long."""
        self.longest_stall_us = max(self.longest_stall_us, duration_us)

    @property
    def frames(self) -> int:
        """How many delays were counted."""
        return sum(self.counts)

    def share_us(self, share: float) -> int | None:
        """What this share of the delays did not exceed, to one step; None where there are none."""
        total = self.frames
        if not total:
            return None
        wanted = total * share
        passed = itertools.accumulate(self.counts)
        step = next(step for step, so_far in enumerate(passed) if so_far >= wanted)
        return min((step + 1) * STEP_US, self.longest_us)

    def reset(self) -> None:
        """Begins anew."""
        self.__init__()  # type: ignore[misc]
