"""Answering with one switch: the answers are named one after another, and a press takes one.

Holding the switch for a while goes back one question, and so does a press of any other switch.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Final

#: How long each answer stands unless the person asks for more time: long enough to hear it said.
PACE_US: Final = 3_000_000
SLOWER: Final = 1.5
SLOWEST_US: Final = 12_000_000
#: Held for so long, the switch goes back.
BACK_US: Final = 1_500_000
#: Chatter and double strikes: a press that begins so soon after the last is no new one.
_GUARD_US: Final = 200_000
#: The answers are named so often before it waits for a press.
_ROUNDS: Final = 3


class Did(Enum):
    """What a press or the passing of time came to."""

    NAMED = "named"  #: the next answer is named
    TOOK = "took"  #: the answer that is named was taken
    BACK = "back"
    WAITS = "waits"  #: nothing was taken; a press begins again


@dataclass(slots=True)
class Steps:
    """The answers of one question, while they are named."""

    count: int
    pace_us: int
    at: int = -1  #: the answer that is named; -1: none yet
    due_us: int | None = None
    released_us: int = -(10**12)  #: when the switch was last let go of, here or before
    _named: int = 0
    _pressed_us: int | None = None
    _spent: bool = False  #: this press has done its work
    _waits: bool = False

    def start(self, us: int) -> Did:
        """Names the first answer."""
        self._named = 0
        self._waits = False
        self.at = -1
        return self._next(us, self.pace_us // 2)

    def press(self, us: int) -> Did | None:
        """The switch is pressed."""
        if us - self.released_us < _GUARD_US:
            self._spent = True
        else:
            self._spent = False
        self._pressed_us = us
        return None

    def release(self, us: int) -> Did | None:
        """The switch is let go."""
        if self._pressed_us is None:
            return None
        self._pressed_us = None
        self.released_us = us
        if self._spent:
            return None
        if self._waits:
            return self.start(us)
        return Did.TOOK if self.at >= 0 else None

    def advance(self, us: int) -> Did | None:
        """Time has come to `us`."""
        if self._pressed_us is not None:
            if not self._spent and us - self._pressed_us >= BACK_US:
                self._spent = True
                return Did.BACK
            return None  # nothing changes under a press
        if self.due_us is None or us < self.due_us:
            return None
        if self._named >= self.count * _ROUNDS:
            self.due_us = None
            self._waits = True
            return Did.WAITS
        return self._next(us)

    @property
    def next_us(self) -> int | None:
        """When `advance` has something to do, or None."""
        if self._pressed_us is not None:
            return None if self._spent else self._pressed_us + BACK_US
        return self.due_us

    def _next(self, us: int, more_us: int = 0) -> Did:
        self.at = (self.at + 1) % self.count
        self._named += 1
        self.due_us = us + self.pace_us + more_us
        return Did.NAMED


def slower(pace_us: int) -> int:
    """The next slower pace."""
    return min(int(pace_us * SLOWER), SLOWEST_US)


def numbered(labels: Sequence[str]) -> list[str]:
    """As in `2 of 5: a player and a helper`."""
    return [f"{number} of {len(labels)}: {label}" for number, label in enumerate(labels, 1)]
