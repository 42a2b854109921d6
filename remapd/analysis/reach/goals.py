"""What can be wanted of the pad: its buttons, the directions of its sticks, and whole motions.

Goals 0 to 24 are the targets of `pad_controls`; after them come the sticks and triggers moved by
degrees, as far as the hand moves, which no button can do.
"""

from __future__ import annotations

from typing import Final

from remapd.engine.layout import Layout
from remapd.engine.pad_controls import (
    BUTTON_COUNT,
    DPAD,
    DPAD_UP,
    FIRST_DIRECTION,
    LEFT_TRIGGER,
    RIGHT_TRIGGER,
    STICK_NAMES,
    TARGET_COUNT,
    TARGET_NAMES,
)

DIRECTIONS: Final = ("up", "down", "left", "right")

LEFT_STICK_BY_DEGREES: Final = TARGET_COUNT
RIGHT_STICK_BY_DEGREES: Final = TARGET_COUNT + 1
LEFT_TRIGGER_BY_DEGREES: Final = TARGET_COUNT + 2
RIGHT_TRIGGER_BY_DEGREES: Final = TARGET_COUNT + 3
GOAL_COUNT: Final = TARGET_COUNT + 4

_BY_DEGREES: Final = {
    "left-stick": LEFT_STICK_BY_DEGREES,
    "right-stick": RIGHT_STICK_BY_DEGREES,
    "left-trigger": LEFT_TRIGGER_BY_DEGREES,
    "right-trigger": RIGHT_TRIGGER_BY_DEGREES,
}
_NAME_BY_DEGREES: Final = {goal: name for name, goal in _BY_DEGREES.items()}


def goal_name(goal: int) -> str:
    """The pad control's own name; a motion has that of its stick or trigger."""
    return TARGET_NAMES[goal] if goal < TARGET_COUNT else _NAME_BY_DEGREES[goal]


def by_degrees(name: str) -> int | None:
    """The goal of moving this stick or trigger by degrees, or None for anything else."""
    return _BY_DEGREES.get(name)


def opposite(target: int) -> int | None:
    """The direction that undoes this one, or None for a button."""
    if target < DPAD_UP:
        return None
    return target + 1 if (target - DPAD_UP) % 2 == 0 else target - 1


def direction_target(stick: int, direction: int) -> int:
    """The target of a direction (up, down, left, right) of a stick, or of the d-pad as one."""
    return DPAD_UP + direction if stick == DPAD else FIRST_DIRECTION + 4 * stick + direction


def trigger_by_degrees(trigger: int) -> int:
    """The goal of moving a trigger (its target) by degrees."""
    return LEFT_TRIGGER_BY_DEGREES if trigger == LEFT_TRIGGER else RIGHT_TRIGGER_BY_DEGREES


def targets_of_word(layout: Layout, word: str) -> tuple[int, ...]:
    """What a word of the layout stands for: one target, or the four directions of a stick."""
    first, dot, part = word.partition(".")
    name = layout.verbs.get(first, first) + dot + part
    if name in STICK_NAMES:
        stick = STICK_NAMES.index(name)
        return tuple(direction_target(stick, direction) for direction in range(4))
    if name in TARGET_NAMES:
        return (TARGET_NAMES.index(name),)
    stick_name, _, direction = name.partition(".")
    return (direction_target(STICK_NAMES.index(stick_name), DIRECTIONS.index(direction)),)


def stick_of_word(layout: Layout, word: str) -> int | None:
    """The stick that a word stands for whole (2 is the d-pad), or None."""
    name = layout.verbs.get(word, word)
    return STICK_NAMES.index(name) if name in STICK_NAMES else None


class Names:
    """Pad controls in the layout's own words: its verbs where it has them."""

    def __init__(self, layout: Layout) -> None:
        self._verbs: dict[str, str] = {}
        for verb, name in layout.verbs.items():
            self._verbs.setdefault(name, verb)

    def of(self, name: str) -> str:
        """The layout's word for a pad control, given by its own name."""
        if name in self._verbs:
            return self._verbs[name]
        stick, dot, direction = name.partition(".")
        if not dot and name.startswith("dpad-"):
            stick, dot, direction = "dpad", ".", name.removeprefix("dpad-")
        if dot and stick in self._verbs:
            return f"{self._verbs[stick]}.{direction}"
        return name

    def both(self, name: str) -> str:
        """The layout's word, with the pad control's own name behind it where they differ."""
        word = self.of(name)
        return word if word == name else f"{word} ({name})"


IS_TRIGGER: Final = frozenset((LEFT_TRIGGER, RIGHT_TRIGGER))
IS_BUTTON: Final = range(BUTTON_COUNT)
