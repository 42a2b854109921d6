"""The virtual pad as the game sees it: what is shown of what is wanted, and in which order.

Codes and values are those of the Linux gamepad specification (Documentation/input/gamepad.rst) and
linux/input-event-codes.h, with the ranges of the layout language. A frame holds releases, then
presses, then axes; a hat axis stands among the buttons.
"""

from __future__ import annotations

from typing import Final

from remapd.engine.output import AXIS_CODES, OutputFrame, add_axes
from remapd.engine.pad_button import PadButton
from remapd.engine.pad_controls import (
    BUTTON_COUNT,
    DPAD_DOWN,
    DPAD_LEFT,
    DPAD_RIGHT,
    DPAD_UP,
    LEFT_TRIGGER,
    NORTH,
    RIGHT_TRIGGER,
    WEST,
)
from remapd.engine.timers import Timers

EV_KEY: Final = 0x01
EV_ABS: Final = 0x03

STICK_FULL: Final = 32767  #: a stick's range is -STICK_FULL to STICK_FULL, up and left negative
TRIGGER_FULL: Final = 255

#: The key that each target is sent as; 0 for triggers and d-pad, which are axes.
_KEY_CODES: Final = (
    0x130,  # south: BTN_SOUTH
    0x131,  # east: BTN_EAST
    0x133,  # west: what most drivers send for the left button, and game libraries read as it
    0x134,  # north: the same for the top one; the kernel's page has these two the other way round
    0x136,  # left-shoulder: BTN_TL
    0x137,  # right-shoulder: BTN_TR
    0,
    0,
    0x13A,  # select: BTN_SELECT
    0x13B,  # start: BTN_START
    0x13C,  # mode: BTN_MODE
    0x13D,  # left-stick-press: BTN_THUMBL
    0x13E,  # right-stick-press: BTN_THUMBR
    0,
    0,
    0,
    0,
)
_ABS_HAT0X: Final = 0x10
_ABS_HAT0Y: Final = 0x11

#: Sets of axes to look at: the left stick has 1, the right one 2.
_TRIGGERS_CHANGED: Final = 4

#: Sets of targets, bit by bit.
_VERTICAL: Final = 1 << DPAD_UP | 1 << DPAD_DOWN
_HORIZONTAL: Final = 1 << DPAD_LEFT | 1 << DPAD_RIGHT

_OPPOSITE: Final = (DPAD_DOWN, DPAD_UP, DPAD_RIGHT, DPAD_LEFT)
_UNTURNED: Final = 2  #: no value of a hat axis: it stays as it is

_NEVER_US: Final = 1 << 60
#: SYN_REPORT, which ends a frame.
_REPORT: Final = [0, 0, 0]


class PadAxis:
    """One absolute axis of the pad: its place in AXIS_CODES, what is wanted, what the game sees.

    A trigger has its target number too.
    """

    __slots__ = ("code", "number", "shown", "target", "wanted")

    def __init__(self, number: int, target: int = -1) -> None:
        self.number = number
        self.target = target
        self.code = AXIS_CODES[number]
        self.wanted = 0
        self.shown = 0


class Pad:
    """What the game sees of the pad, and what is still to come.

    The wants are told at any time between two frames, in the order in which they happen: a button
    that is wanted and no longer wanted in between has come and gone. `frame` is to be called after
    each input frame and each timer; the waits of buttons are timers among the others. Whoever
    clears the timers calls `frame(us, undelayed=True)` next, which sets anew those still needed.
    """

    __slots__ = (
        "_axes",
        "_axes_changed",
        "_buttons",
        "_changed",
        "_codes",
        "_faces_exchanged",
        "_levers",
        "_next_wait_us",
        "_order",
        "_shortest_press_us",
        "_sticks",
        "_timers",
        "_triggers",
        "_waiting",
        "faces_as_specified",
        "positions",
    )

    def __init__(self, timers: Timers, shortest_press_us: int, faces_as_specified: bool) -> None:
        self._timers = timers
        self._shortest_press_us = shortest_press_us
        #: Whether west and north are sent as the kernel's page has them (0x134 and 0x133), and not
        #: as most drivers do. Assigning it counts from when neither of the two is shown pressed.
        self.faces_as_specified = faces_as_specified
        self._faces_exchanged = False
        self._codes = list(_KEY_CODES)
        self._buttons = [PadButton() for _ in range(BUTTON_COUNT)]
        self._levers = [0] * BUTTON_COUNT
        self._changed = 0  # a set of targets, bit by bit
        self._waiting = 0  # the same
        self._next_wait_us = _NEVER_US
        self._order = 0
        self._sticks = [(PadAxis(0), PadAxis(1)), (PadAxis(2), PadAxis(3))]
        self._triggers = [PadAxis(4, LEFT_TRIGGER), PadAxis(5, RIGHT_TRIGGER)]
        #: Of axes that `move_axes` has shown: their values, in the order of AXIS_CODES.
        self.positions = [0] * len(AXIS_CODES)
        self._axes = [*self._sticks[0], *self._sticks[1], *self._triggers]
        self._axes_changed = 0

    @property
    def shortest_press_us(self) -> int:
        """For how long a press, and a gap, is shown at least; a new value changes running waits."""
        return self._shortest_press_us

    @shortest_press_us.setter
    def shortest_press_us(self, value: int) -> None:
        self._shortest_press_us = value
        self._changed |= self._waiting

    @property
    def neutral(self) -> bool:
        """Whether the game sees nothing pressed and everything at rest."""
        return not any(axis.shown for axis in self._axes) and not any(
            button.shown for button in self._buttons
        )

    def shown(self) -> list[int]:
        """All that the game sees off rest now, flat as in a frame, without a SYN_REPORT."""
        buttons = self._buttons
        events: list[int] = []
        for button, code in zip(buttons, self._codes, strict=True):
            if code and button.shown:
                events.extend((EV_KEY, code, 1))
        for axis, low, high in (
            (_ABS_HAT0Y, DPAD_UP, DPAD_DOWN),
            (_ABS_HAT0X, DPAD_LEFT, DPAD_RIGHT),
        ):
            if buttons[low].shown or buttons[high].shown:
                events.extend((EV_ABS, axis, buttons[high].shown - buttons[low].shown))
        for axis_of_pad in self._axes:
            if axis_of_pad.shown:
                events.extend((EV_ABS, axis_of_pad.code, axis_of_pad.shown))
        return events

    def want_button(self, target: int, pressed: bool) -> None:
        """A button (0 to 16; a trigger as far as buttons drive it) is wanted pressed, or not."""
        button = self._buttons[target]
        if button.wanted != pressed:
            self._order += 1
            button.want(pressed, self._order)
            self._changed |= 1 << target

    def want_lever(self, target: int, value: int) -> None:
        """What levers give a trigger, 0 to 255; it is shown at once where it is the larger."""
        self._levers[target] = min(max(value, 0), TRIGGER_FULL)
        self._axes_changed |= _TRIGGERS_CHANGED

    def want_stick(self, stick: int, x: float, y: float) -> None:
        """Where a stick (0 left, 1 right) is wanted: a point in the unit circle, up negative."""
        axis_x, axis_y = self._sticks[stick]
        axis_x.wanted = _axis_value(x)
        axis_y.wanted = _axis_value(y)
        self._axes_changed |= 1 + stick

    def frame(self, us: int, *, undelayed: bool = False) -> OutputFrame | None:
        """All that is to be shown at `us`, or None where nothing changes.

        `undelayed` shows every release that waits and drops the presses that came and went; a press
        that is still wanted keeps waiting for the end of its gap.
        """
        events: list[int] = []
        if self._changed or us >= self._next_wait_us or undelayed:
            self._show_buttons(us, undelayed, events)
        moved = self.move_axes()
        if not events:
            return OutputFrame(us, None, moved, self.positions.copy()) if moved else None
        add_axes(events, moved, self.positions)
        events += _REPORT
        return OutputFrame(us, events)

    @property
    def buttons_changed(self) -> bool:
        """Whether a button is wanted otherwise since the last frame."""
        return self._changed != 0

    def move_axes(self) -> int:
        """As `frame`, where only axes can have moved: no wait is over, no button wanted otherwise.

        The answer is the set of the axes that are in the frame, bit by bit in the order of
        AXIS_CODES; their values are in `positions`. 0: there is no frame.
        """
        changed = self._axes_changed
        if not changed:
            return 0
        self._axes_changed = 0
        moved = 0
        if changed & 1:
            axis_x, axis_y = self._sticks[0]
            moved = self._move(axis_x) | self._move(axis_y)
        if changed & 2:
            axis_x, axis_y = self._sticks[1]
            moved |= self._move(axis_x) | self._move(axis_y)
        if changed & _TRIGGERS_CHANGED:
            for axis in self._triggers:
                pressed = self._buttons[axis.target].shown
                axis.wanted = TRIGGER_FULL if pressed else self._levers[axis.target]
                moved |= self._move(axis)
        return moved

    def _move(self, axis: PadAxis) -> int:
        value = axis.wanted
        if value == axis.shown:
            return 0
        axis.shown = value
        self.positions[axis.number] = value
        return 1 << axis.number

    def _show_buttons(self, us: int, undelayed: bool, events: list[int]) -> None:
        buttons = self._buttons
        shortest_us = self._shortest_press_us
        looked_at = self._changed | self._waiting
        self._changed = 0
        if undelayed:
            for button in buttons:
                if not button.wanted:
                    button.asked = 0

        for target in range(DPAD_UP):
            if looked_at >> target & 1:
                button = buttons[target]
                if button.release_is_due(us, shortest_us, undelayed):
                    button.show(False, us)
                    self._add_key(target, 0, events)
        vertical = horizontal = _UNTURNED
        if looked_at & _VERTICAL:
            looked_at |= _VERTICAL
            vertical = self._turn_hat(DPAD_UP, DPAD_DOWN, us, undelayed)
        if looked_at & _HORIZONTAL:
            looked_at |= _HORIZONTAL
            horizontal = self._turn_hat(DPAD_LEFT, DPAD_RIGHT, us, undelayed)
        if vertical == 0:
            events.extend((EV_ABS, _ABS_HAT0Y, 0))
        if horizontal == 0:
            events.extend((EV_ABS, _ABS_HAT0X, 0))

        if self.faces_as_specified != self._faces_exchanged:
            self._exchange_faces()
        for target in range(DPAD_UP):
            if looked_at >> target & 1:
                button = buttons[target]
                if button.press_is_due(us, shortest_us):
                    button.show(True, us)
                    self._add_key(target, 1, events)
        if abs(vertical) == 1:
            events.extend((EV_ABS, _ABS_HAT0Y, vertical))
        if abs(horizontal) == 1:
            events.extend((EV_ABS, _ABS_HAT0X, horizontal))

        self._set_waits(us, looked_at)

    def _add_key(self, target: int, value: int, events: list[int]) -> None:
        code = self._codes[target]
        if code:
            events.extend((EV_KEY, code, value))
        else:
            self._axes_changed |= _TRIGGERS_CHANGED

    def _turn_hat(self, negative: int, positive: int, us: int, undelayed: bool) -> int:
        """The hat axis of two opposites at `us`: its new value, or _UNTURNED.

        Of two presses that could be shown, the one that came first is; the other waits for its
        release. A press that came and went is dropped where its opposite is shown and still held:
        it would else appear when that is let go, perhaps long after.
        """
        shortest_us = self._shortest_press_us
        left = self._buttons[negative]
        right = self._buttons[positive]
        before = right.shown - left.shown
        if left.release_is_due(us, shortest_us, undelayed):
            left.show(False, us)
        if right.release_is_due(us, shortest_us, undelayed):
            right.show(False, us)
        left_is_due = left.press_is_due(us, shortest_us)
        right_is_due = right.press_is_due(us, shortest_us)
        if not left.shown and not right.shown:
            if left_is_due and not (right_is_due and right.asked < left.asked):
                left.show(True, us)
            elif right_is_due:
                right.show(True, us)
        if left.shown and left.wanted and right_is_due and not right.wanted:
            right.asked = 0
        elif right.shown and right.wanted and left_is_due and not left.wanted:
            left.asked = 0
        after = right.shown - left.shown
        return _UNTURNED if after == before else after

    def _exchange_faces(self) -> None:
        """West and north exchange keys, unless one of these is pressed; their gaps go along."""
        west = self._buttons[WEST]
        north = self._buttons[NORTH]
        if west.shown or north.shown:
            return
        codes = self._codes
        codes[WEST], codes[NORTH] = codes[NORTH], codes[WEST]
        west.since_us, north.since_us = north.since_us, west.since_us
        self._faces_exchanged = self.faces_as_specified

    def _set_waits(self, us: int, looked_at: int) -> None:
        """Sets the timers of the changes that a frame leaves waiting, of the targets looked at."""
        next_wait_us = _NEVER_US
        for target in range(BUTTON_COUNT):
            button = self._buttons[target]
            if looked_at >> target & 1:
                due_us = button.since_us + self._shortest_press_us
                # A direction whose own gap is over waits for its opposite, which has the timer.
                if button.settle() and (due_us > us or not self._opposite_is_shown(target)):
                    self._waiting |= 1 << target
                    if not button.timer.armed or button.timer.due_us != due_us:
                        self._timers.arm(button.timer, due_us)
                else:
                    self._waiting &= ~(1 << target)
                    if button.timer.armed:
                        self._timers.disarm(button.timer)
            if self._waiting >> target & 1:
                next_wait_us = min(next_wait_us, button.timer.due_us)
        self._next_wait_us = next_wait_us

    def _opposite_is_shown(self, target: int) -> bool:
        return target >= DPAD_UP and self._buttons[_OPPOSITE[target - DPAD_UP]].shown


def _axis_value(share: float) -> int:
    """A stick's axis value for -1.0 to 1.0: rounded, halves away from zero, within the range."""
    exact = share * STICK_FULL
    value = int(exact)
    rest = exact - value
    if rest >= 0.5:
        value += 1
    elif rest <= -0.5:
        value -= 1
    # Compared and not min(max()), which costs more than all the rest here.
    if value > STICK_FULL:
        return STICK_FULL
    if value < -STICK_FULL:
        return -STICK_FULL
    return value
