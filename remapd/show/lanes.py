"""Lanes of a picture in time: what one control did, a mark for each column of so much time.

A lane is written from left to right and never moves, so that nothing on the screen flickers: a
column changes while its own time runs and stands still from then on.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from enum import Enum, auto
from typing import Final, Protocol

#: So long after a press a control is still shown as active: whatever is pressed quicker than about
#: three times a second is shown as one (WCAG 2.3.1: three flashes in any second at the most).
LINGER_US: Final = 350_000
#: Further out than this share of its way a stick counts as moved.
AWAY: Final = 0.15
_LONG_AGO: Final = -LINGER_US


class Kind(Enum):
    """What a column shows."""

    FUTURE = auto()
    REST = auto()
    PRESS = auto()
    HELD = auto()
    REFUSED = auto()
    MOVED = auto()


@dataclass(frozen=True, slots=True)
class Mark:
    """One column of a lane: `number` is how many presses began in it, or the way it moved.

    Ways are eighths of a turn, clockwise from the right.
    """

    kind: Kind
    number: int = 0


class Lane(Protocol):
    """What every kind of lane can tell."""

    def mark(self, from_us: int, until_us: int) -> Mark:
        """What the column of this time shows; its end is not part of it."""

    def is_active(self, us: int) -> bool:
        """Whether something is pressed, moved or on now, or was a moment ago."""


class PressLane:
    """A button: when it was pressed, and which presses were refused."""

    def __init__(self) -> None:
        self._begun: list[int] = []
        self._ended: list[int] = []
        self._refused: set[int] = set()  # indices of presses

    def press(self, us: int) -> None:
        """It is pressed."""
        self._begun.append(us)

    def release(self, us: int) -> None:
        """It is let go; nothing where it was not pressed."""
        if len(self._ended) < len(self._begun):
            self._ended.append(us)

    def refuse(self) -> None:
        """The last press does not count."""
        if self._begun:
            self._refused.add(len(self._begun) - 1)

    def mark(self, from_us: int, until_us: int) -> Mark:
        """Presses that begin in this time, or one that goes on through it."""
        first, end = bisect_left(self._begun, from_us), bisect_left(self._begun, until_us)
        if first < end:
            counted = [n for n in range(first, end) if n not in self._refused]
            return Mark(Kind.PRESS, len(counted)) if counted else Mark(Kind.REFUSED)
        before = first - 1
        if before >= 0 and (before >= len(self._ended) or self._ended[before] > from_us):
            return Mark(Kind.REFUSED if before in self._refused else Kind.HELD)
        return Mark(Kind.REST)

    def is_active(self, us: int) -> bool:
        """Pressed, or let go a moment ago."""
        if len(self._ended) < len(self._begun):
            return True
        return us - (self._ended[-1] if self._ended else _LONG_AGO) < LINGER_US


class MoveLane:
    """A stick, pointer or lever: where it was, and since when."""

    def __init__(self) -> None:
        self._times: list[int] = []
        self._places: list[tuple[float, float]] = []

    def move(self, us: int, x: float, y: float) -> None:
        """It is there now: shares of the way, y down."""
        self._times.append(us)
        self._places.append((x, y))

    def mark(self, from_us: int, until_us: int) -> Mark:
        """The way of the furthest place in this time."""
        first, end = bisect_right(self._times, from_us), bisect_left(self._times, until_us)
        places = self._places[max(0, first - 1) : end]
        x, y = max(places, key=lambda at: math.hypot(*at), default=(0.0, 0.0))
        way = way_of(x, y)
        return Mark(Kind.REST) if way is None else Mark(Kind.MOVED, way)

    def is_active(self, us: int) -> bool:
        """Away from its middle, or back there only a moment ago."""
        place = len(self._places) - 1
        while place >= 0 and way_of(*self._places[place]) is None:
            place -= 1
        if place < 0:
            return False
        return place == len(self._places) - 1 or us - self._times[place + 1] < LINGER_US


class LayerLane:
    """A layer: when it was on."""

    def __init__(self) -> None:
        self._switched: list[int] = []  # on, off, on, …

    def switch(self, us: int, *, on: bool) -> None:
        """It comes on or goes off; nothing where it was so already."""
        if on is not self.is_on:
            self._switched.append(us)

    @property
    def is_on(self) -> bool:
        """Whether it is on now."""
        return len(self._switched) % 2 == 1

    def mark(self, from_us: int, until_us: int) -> Mark:
        """Whether it was on at any moment of this time."""
        before = bisect_right(self._switched, from_us)
        within = bisect_left(self._switched, until_us)
        was_on = before % 2 == 1 or within > before
        return Mark(Kind.HELD if was_on else Kind.REST)

    def is_active(self, us: int) -> bool:
        """On, or a moment ago."""
        return self.is_on or (bool(self._switched) and us - self._switched[-1] < LINGER_US)


def way_of(x: float, y: float) -> int | None:
    """The eighth of a turn nearest to a place, clockwise from the right; None near the middle."""
    if math.hypot(x, y) < AWAY:
        return None
    return round(math.atan2(y, x) / (math.pi / 4)) % 8
