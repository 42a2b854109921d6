"""What one person contributes to the pad, joined from all that they press and move (section 6).

Buttons are joined by or, triggers by the larger, sticks by the clamped sum.
"""

from __future__ import annotations

from math import hypot, sqrt

from remapd.engine.merge import Merge
from remapd.engine.pad_controls import (
    BUTTON_COUNT,
    DOWN,
    FIRST_DIRECTION,
    LEFT,
    LEFT_TRIGGER,
    RIGHT,
    TARGET_COUNT,
    UP,
)

Vector = tuple[float, float]

_DIAGONAL = sqrt(0.5)


def clamped(x: float, y: float) -> Vector:
    """The point itself, or the nearest one in the unit circle along its own direction."""
    if x * x + y * y <= 1.0:
        return x, y
    radius = hypot(x, y)
    return x / radius, y / radius


class Part:
    """A point that something, known by its key, gives to a stick."""

    __slots__ = ("key", "x", "y")

    def __init__(self, key: int, x: float, y: float) -> None:
        self.key = key
        self.x = x
        self.y = y


class Pull:
    """The value, 0 to 255, that a lever, known by its key, gives to a trigger."""

    __slots__ = ("key", "value")

    def __init__(self, key: int, value: int) -> None:
        self.key = key
        self.value = value


class Person:
    """One person's part of every pad control.

    Presses are counted, so that two causes of one press end it only together. Parts of a stick are
    kept by the key of what gives them (a control, or a push).
    """

    __slots__ = (
        "_directions",
        "_in_order",
        "_merge",
        "_only",
        "_parts",
        "_pressed",
        "_pulls",
        "alone",
        "dirty",
        "kept",
        "number",
    )

    def __init__(self, number: int, merge: Merge) -> None:
        self.number = number
        self._merge = merge
        self._pressed = [0] * TARGET_COUNT
        #: How many directions of each stick are pressed.
        self._directions = [0, 0]
        self._parts: list[dict[int, Part]] = [{}, {}]
        #: The part of each stick that has one part: nearly always.
        self._only: list[Part | None] = [None, None]
        #: The part of each stick that is the whole of it: no other, no direction, and no keep.
        self.alone: list[Part | None] = [None, None]
        #: The same parts, which are gone through at each sample.
        self._in_order: list[list[Part]] = [[], []]
        #: Of each trigger, every lever that has given it anything.
        self._pulls: list[list[Pull]] = [[], []]
        #: A stick's frozen part while a keep is on.
        self.kept: list[Vector | None] = [None, None]
        #: Sticks whose joined part must be worked out again, bit by bit.
        self.dirty = 0

    def press(self, target: int, us: int) -> None:
        """One more cause presses the target."""
        count = self._pressed[target]
        self._pressed[target] = count + 1
        if count:
            return
        if target < BUTTON_COUNT:
            self._merge.set_button(self.number, target, True, us)
        else:
            stick = (target - FIRST_DIRECTION) >> 2
            self._directions[stick] += 1
            self.alone[stick] = None
            self.dirty |= 1 << stick

    def release(self, target: int, us: int) -> None:
        """One cause fewer presses the target."""
        count = self._pressed[target] - 1
        self._pressed[target] = count
        if count:
            return
        if target < BUTTON_COUNT:
            self._merge.set_button(self.number, target, False, us)
        else:
            stick = (target - FIRST_DIRECTION) >> 2
            self._directions[stick] -= 1
            self._find_alone(stick)
            self.dirty |= 1 << stick

    def set_part(self, stick: int, key: int, x: float, y: float) -> None:
        """The part that `key` gives to the stick, within the unit circle."""
        if x == 0.0 and y == 0.0:  # no part at all: what rests costs what moves nothing
            self.drop_part(stick, key)
            return
        self.dirty |= 1 << stick
        part = self._parts[stick].get(key)
        if part is None:
            self._parts[stick][key] = Part(key, x, y)
            self._find_only(stick)
        else:
            part.x = x
            part.y = y

    def drop_part(self, stick: int, key: int) -> None:
        """`key` gives nothing to the stick any more."""
        if self._parts[stick].pop(key, None) is not None:
            self.dirty |= 1 << stick
            self._find_only(stick)

    def _find_only(self, stick: int) -> None:
        parts = self._in_order[stick] = list(self._parts[stick].values())
        self._only[stick] = parts[0] if len(parts) == 1 else None
        self._find_alone(stick)

    def _find_alone(self, stick: int) -> None:
        free = not self._directions[stick] and self.kept[stick] is None
        self.alone[stick] = self._only[stick] if free else None

    def move_alone(self, stick: int, key: int, x: float, y: float, us: int) -> bool:
        """Moves the part that `key` gives where that is the whole of the stick; else False.

        It is as `set_part` and `resolve`; not for the centre, where there is no part.
        """
        part = self.alone[stick]
        if part is None or part.key != key:
            return False
        part.x = x
        part.y = y
        self._merge.sticks[stick].set_stick(self.number, x, y, us)
        return True

    def set_lever(self, trigger: int, key: int, value: int, us: int) -> None:
        """The value 0 to 255 that the lever `key` gives to a trigger (target number)."""
        side = trigger - LEFT_TRIGGER
        pulls = self._pulls[side]
        known = False
        largest = 0
        for pull in pulls:
            if pull.key == key:
                pull.value = value
                known = True
            if pull.value > largest:  # noqa: PLR1730 - a call less in every frame
                largest = pull.value
        if not known:
            pulls.append(Pull(key, value))
            largest = max(largest, value)
        self._merge.triggers[side].set_lever(self.number, largest, us)

    def movers(self, stick: int) -> list[int]:
        """Keys of the parts that move the stick now."""
        return list(self._parts[stick])

    def keep(self, stick: int) -> None:
        """Freezes the stick as it is joined now."""
        self.kept[stick] = self._joined(stick)
        self.alone[stick] = None

    def end_keep(self, stick: int) -> None:
        """The stick follows again."""
        self.kept[stick] = None
        self._find_alone(stick)
        self.dirty |= 1 << stick

    def _joined(self, stick: int) -> Vector:
        x = y = 0.0
        if self._directions[stick]:
            first = FIRST_DIRECTION + 4 * stick
            pressed = self._pressed
            x = float((pressed[first + RIGHT] > 0) - (pressed[first + LEFT] > 0))
            y = float((pressed[first + DOWN] > 0) - (pressed[first + UP] > 0))
            if x and y:
                x *= _DIAGONAL
                y *= _DIAGONAL
        else:
            only = self._only[stick]
            if only is not None:
                return only.x, only.y
        for part in self._in_order[stick]:
            x += part.x
            y += part.y
        return clamped(x, y)

    def resolve(self, us: int) -> None:
        """Hands the joined parts of the sticks that are dirty to the merging of people."""
        dirty = self.dirty
        self.dirty = 0
        if dirty & 1:
            self._resolve(0, us)
        if dirty & 2:
            self._resolve(1, us)

    def _resolve(self, stick: int, us: int) -> None:
        kept = self.kept[stick]
        if kept is not None:
            x, y = kept
        else:  # not put into the same variable: one that may be None costs an object
            x, y = self._joined(stick)
        self._merge.sticks[stick].set_stick(self.number, x, y, us)
