"""The controls of the virtual pad, numbered in pad order.

The order is that of the layout language: the 17 buttons of the W3C standard layout, named by
position as the Linux gamepad specification (Documentation/input/gamepad.rst) does, then the
directions of the two sticks. A *target* is any of these numbers: something that a press can press.
"""

from __future__ import annotations

from typing import Final

SOUTH: Final = 0
EAST: Final = 1
WEST: Final = 2
NORTH: Final = 3
LEFT_SHOULDER: Final = 4
RIGHT_SHOULDER: Final = 5
LEFT_TRIGGER: Final = 6
RIGHT_TRIGGER: Final = 7
SELECT: Final = 8
START: Final = 9
MODE: Final = 10
LEFT_STICK_PRESS: Final = 11
RIGHT_STICK_PRESS: Final = 12
DPAD_UP: Final = 13
DPAD_DOWN: Final = 14
DPAD_LEFT: Final = 15
DPAD_RIGHT: Final = 16
#: How many of the targets are buttons of the pad; those from here on are stick directions.
BUTTON_COUNT: Final = 17
#: Directions of stick s are FIRST_DIRECTION + 4 * s + (UP, DOWN, LEFT, RIGHT).
FIRST_DIRECTION: Final = 17
TARGET_COUNT: Final = 25

UP: Final = 0
DOWN: Final = 1
LEFT: Final = 2
RIGHT: Final = 3

#: Sticks of the pad; DPAD is the d-pad taken as a stick, a goal for whole sticks only.
LEFT_STICK: Final = 0
RIGHT_STICK: Final = 1
DPAD: Final = 2

TARGET_NAMES: Final = (
    "south",
    "east",
    "west",
    "north",
    "left-shoulder",
    "right-shoulder",
    "left-trigger",
    "right-trigger",
    "select",
    "start",
    "mode",
    "left-stick-press",
    "right-stick-press",
    "dpad-up",
    "dpad-down",
    "dpad-left",
    "dpad-right",
    "left-stick.up",
    "left-stick.down",
    "left-stick.left",
    "left-stick.right",
    "right-stick.up",
    "right-stick.down",
    "right-stick.left",
    "right-stick.right",
)
STICK_NAMES: Final = ("left-stick", "right-stick", "dpad")

#: Slots of merging: the 13 buttons before the d-pad keep their numbers, then the d-pad's two pairs
#: (opposites are one control when people are merged), then the sticks.
SLOT_VERTICAL: Final = 13
SLOT_HORIZONTAL: Final = 14
SLOT_LEFT_STICK: Final = 15
SLOT_RIGHT_STICK: Final = 16
SLOT_COUNT: Final = 17

PLAYER: Final = 0
HELPER: Final = 1
PERSON_NAMES: Final = ("player", "helper")


def slot_of_target(target: int) -> int:
    """The merging slot that a target belongs to."""
    if target < DPAD_UP:
        return target
    if target < DPAD_LEFT:
        return SLOT_VERTICAL
    if target < BUTTON_COUNT:
        return SLOT_HORIZONTAL
    return SLOT_LEFT_STICK + (target - FIRST_DIRECTION) // 4
