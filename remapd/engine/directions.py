"""Directions: a stick's up, down, left and right, and a lever's two ends, as things that press.

A direction presses at `press_at` and releases below `release_at`, so that a hand which trembles
about one of these does not press again and again.
"""

from __future__ import annotations

from typing import Final

from remapd.engine.pad_controls import DOWN, LEFT, RIGHT, UP
from remapd.engine.sticks import ROUNDING

#: (index of a direction, pressed or released), releases first, each in the order of the indices.
Changes = tuple[tuple[int, bool], ...]

NO_CHANGES: Final[Changes] = ()

_UP_BIT: Final = 1 << UP
_DOWN_BIT: Final = 1 << DOWN
_LEFT_BIT: Final = 1 << LEFT
_RIGHT_BIT: Final = 1 << RIGHT
_LOW_BIT: Final = 1
_HIGH_BIT: Final = 2

#: By how much the other component must be larger before `ways: 4` turns to it.
_TURNS_AT: Final = 1.1


class Directions:
    """The four directions of a stick or pointer: UP, DOWN, LEFT, RIGHT of `pad_controls`.

    The values may be assigned at any time and count from the next update on. `held` has the bit
    1 << index of each direction that is pressed.
    """

    __slots__ = ("_keeps_vertical", "held", "press_at", "release_at", "ways")

    def __init__(self, press_at: float, release_at: float, ways: int = 8) -> None:
        self.press_at = press_at
        self.release_at = release_at
        self.ways = ways
        self.held = 0
        self._keeps_vertical: bool | None = None

    def update(self, plain_x: float, plain_y: float) -> Changes:
        """The stick is at this point (before `curve`); what that presses and releases."""
        if self.ways == 4:
            if self._turned_vertical(abs(plain_x), abs(plain_y)):
                plain_x = 0.0
            else:
                plain_y = 0.0
        held = self.held
        reached = self._reached(plain_x, plain_y)
        if reached == held:
            return NO_CHANGES
        self.held = reached
        return _changes(held, reached)

    def stay(self, plain_x: float, plain_y: float) -> bool:
        """Whether this point changes nothing for certain; `update` is to be called if not."""
        return self.ways != 4 and self._reached(plain_x, plain_y) == self.held

    def _reached(self, plain_x: float, plain_y: float) -> int:
        held = self.held
        press_at = self.press_at - ROUNDING
        release_at = self.release_at - ROUNDING
        reached = 0
        if -plain_y >= (release_at if held & _UP_BIT else press_at):
            reached |= _UP_BIT
        if plain_y >= (release_at if held & _DOWN_BIT else press_at):
            reached |= _DOWN_BIT
        if -plain_x >= (release_at if held & _LEFT_BIT else press_at):
            reached |= _LEFT_BIT
        if plain_x >= (release_at if held & _RIGHT_BIT else press_at):
            reached |= _RIGHT_BIT
        return reached

    def _turned_vertical(self, horizontal: float, vertical: float) -> bool:
        """Whether `ways: 4` keeps the vertical component; sizes, not signs."""
        if horizontal == 0.0 and vertical == 0.0:
            return False  # nothing to keep, and no reason to turn
        if self._keeps_vertical is None:
            self._keeps_vertical = vertical > horizontal
        elif self._keeps_vertical:
            self._keeps_vertical = not horizontal >= vertical * _TURNS_AT
        else:
            self._keeps_vertical = vertical >= horizontal * _TURNS_AT
        return self._keeps_vertical


class Ends:
    """The two ends of a lever: 0 the low one, 1 the high one; otherwise as `Directions`."""

    __slots__ = ("held", "press_at", "release_at")

    def __init__(self, press_at: float, release_at: float) -> None:
        self.press_at = press_at
        self.release_at = release_at
        self.held = 0

    def update(self, plain_x: float) -> Changes:
        """The lever is here (before `curve`, positive towards the high end)."""
        held = self.held
        reached = self._reached(plain_x)
        if reached == held:
            return NO_CHANGES
        self.held = reached
        return _changes(held, reached)

    def stay(self, plain_x: float) -> bool:
        """Whether this changes nothing; `update` is to be called if not."""
        return self._reached(plain_x) == self.held

    def _reached(self, plain_x: float) -> int:
        held = self.held
        press_at = self.press_at - ROUNDING
        release_at = self.release_at - ROUNDING
        reached = 0
        if -plain_x >= (release_at if held & _LOW_BIT else press_at):
            reached |= _LOW_BIT
        if plain_x >= (release_at if held & _HIGH_BIT else press_at):
            reached |= _HIGH_BIT
        return reached


def _changes(held: int, reached: int) -> Changes:
    released = held & ~reached
    pressed = reached & ~held
    return tuple((index, False) for index in range(4) if released >> index & 1) + tuple(
        (index, True) for index in range(4) if pressed >> index & 1
    )
