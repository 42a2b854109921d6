"""How two people's parts of one pad control become one, for each kind of pad control.

A rule that names one person is settled by `MergeSlot.alone`; what is left here are the rules that
look at both parts: `either`, `stronger`, `sum` and `both`.
"""

from __future__ import annotations

from math import hypot

from remapd.engine.layout import Rule
from remapd.engine.merge_slot import JOINTLY, MergeSlot
from remapd.engine.pad import TRIGGER_FULL, Pad
from remapd.engine.pad_controls import (
    DPAD_LEFT,
    DPAD_UP,
    HELPER,
    PLAYER,
    SLOT_LEFT_STICK,
    SLOT_VERTICAL,
)
from remapd.engine.timers import Timers


class ButtonSlot(MergeSlot):
    """A button; it has one strength, so `stronger` is the same as `either`."""

    __slots__ = ("_pressed",)

    def __init__(
        self, number: int, rule: Rule, timers: Timers, pad: Pad, overruled: list[tuple[int, int]]
    ) -> None:
        super().__init__(number, rule, timers, pad, overruled)
        self._pressed = [False, False]

    def set_button(self, person: int, pressed: bool, us: int) -> None:
        """That person presses it or lets it go."""
        if self._pressed[person] == pressed:
            return
        self._pressed[person] = pressed
        self.become(person, pressed, us)
        self.settle()
        if pressed and person == HELPER:
            self.note_press(us)

    def settle(self) -> None:
        """Works out what the parts give together and tells the pad."""
        self._pad.want_button(self._number, self.giver() is not None)

    def giver(self) -> int | None:
        """Whose press is shown: the player's where both press; None where none is."""
        if self.alone != JOINTLY:
            return self.alone if self._pressed[self.alone] else None
        player, helper = self._pressed
        if self.wants_both:
            return PLAYER if player and helper else None
        if player:
            return PLAYER
        return HELPER if helper else None

    def drop_parts(self) -> None:
        """Nobody presses it any more."""
        self._pressed = [False, False]


class PairSlot(MergeSlot):
    """Two opposite directions of the d-pad, which are one control: -1, 0 or 1.

    Opposites give neither, of one person and of two.
    """

    __slots__ = ("_negative", "_parts", "_pressed", "_shown")

    def __init__(
        self, number: int, rule: Rule, timers: Timers, pad: Pad, overruled: list[tuple[int, int]]
    ) -> None:
        super().__init__(number, rule, timers, pad, overruled)
        # The target of -1; that of 1 is the next.
        self._negative = DPAD_UP if number == SLOT_VERTICAL else DPAD_LEFT
        self._pressed = [[False, False], [False, False]]
        self._parts = [0, 0]
        self._shown = 0

    def set_button(self, person: int, target: int, pressed: bool, us: int) -> None:
        """That person presses one of the two or lets it go."""
        pressed_by_person = self._pressed[person]
        pressed_by_person[target - self._negative] = pressed
        part = pressed_by_person[1] - pressed_by_person[0]
        if part == self._parts[person]:
            return
        self._parts[person] = part
        self.become(person, part != 0, us)
        self.settle()
        if pressed and part and person == HELPER:
            self.note_press(us)

    def settle(self) -> None:
        """Works out what the parts give together and tells the pad: the release, then the press."""
        value = self._merged()
        if value == self._shown:
            return
        if self._shown:
            self._pad.want_button(self._target_of(self._shown), False)
        self._shown = value
        if value:
            self._pad.want_button(self._target_of(value), True)

    def giver(self) -> int | None:
        """Whose direction is shown: the player's where both press it; None where none is."""
        value = self._merged()
        if not value:
            return None
        if self.alone != JOINTLY:
            return self.alone
        return PLAYER if self._parts[PLAYER] == value else HELPER

    def drop_parts(self) -> None:
        """Nobody presses either of the two any more."""
        self._pressed = [[False, False], [False, False]]
        self._parts = [0, 0]

    def _merged(self) -> int:
        if self.alone != JOINTLY:
            return self._parts[self.alone]
        player, helper = self._parts
        if self.wants_both:
            return player if player == helper else 0
        return max(-1, min(1, player + helper))

    def _target_of(self, value: int) -> int:
        return self._negative + (value > 0)


class TriggerSlot(MergeSlot):
    """A trigger: 0 to 255, of which a button gives all.

    The pad is told two things apart: whether a button gives the merged value, which is then held as
    long as any press; and what is given where at least one of the two does it by a lever. This is
    at no time delayed, so a button that joins or leaves a lever makes no gap in it.
    """

    __slots__ = ("_levers", "_pressed")

    def __init__(
        self, number: int, rule: Rule, timers: Timers, pad: Pad, overruled: list[tuple[int, int]]
    ) -> None:
        super().__init__(number, rule, timers, pad, overruled)
        self._pressed = [False, False]
        self._levers = [0, 0]

    def set_button(self, person: int, pressed: bool, us: int) -> None:
        """That person presses a button for it or lets it go."""
        if self._pressed[person] == pressed:
            return
        self._pressed[person] = pressed
        self._change(person, pressed, us)

    def set_lever(self, person: int, value: int, us: int) -> None:
        """That person's levers give it this value."""
        before = self._levers[person]
        if value == before:
            return
        self._levers[person] = value
        if before and value and not self.wants_both:
            self._settle_lever()  # nearly always: it moves on, and nobody begins or ends
            return
        self._change(person, before == 0 and not self._pressed[person], us)

    def settle(self) -> None:
        """Works out what the parts give together and tells the pad."""
        if self.alone != JOINTLY:
            pressed = self._pressed[self.alone]
        elif self.wants_both:
            player = self._value(PLAYER)
            helper = self._value(HELPER)
            pressed = player == helper == TRIGGER_FULL and (self._pressed[0] or self._pressed[1])
        else:
            pressed = self._pressed[PLAYER] or self._pressed[HELPER]
        self._pad.want_button(self._number, pressed)
        self._settle_lever()

    def giver(self) -> int | None:
        """Whose value is shown: the player's of two alike; None where it is 0."""
        if self.alone != JOINTLY:
            return self.alone if self._value(self.alone) else None
        player = self._value(PLAYER)
        helper = self._value(HELPER)
        if self.wants_both:
            if not player or not helper:
                return None
            return PLAYER if player <= helper else HELPER
        if not player and not helper:
            return None
        return PLAYER if player >= helper else HELPER

    def drop_parts(self) -> None:
        """Nobody presses or pulls it any more."""
        self._pressed = [False, False]
        self._levers = [0, 0]

    def _settle_lever(self) -> None:
        if self.alone != JOINTLY:
            lever = self._levers[self.alone]
        elif self.wants_both:
            player = self._value(PLAYER)
            helper = self._value(HELPER)
            lever = max(min(self._levers[PLAYER], helper), min(player, self._levers[HELPER]))
        else:
            lever = self._levers[PLAYER]
            if self._levers[HELPER] > lever:  # noqa: PLR1730 - a call less in every frame
                lever = self._levers[HELPER]
        self._pad.want_lever(self._number, lever)

    def _value(self, person: int) -> int:
        return TRIGGER_FULL if self._pressed[person] else self._levers[person]

    def _change(self, person: int, begins: bool, us: int) -> None:
        active = self._value(person) != 0
        if active != (self.player_is_active if person == PLAYER else self.helper_is_active):
            self.become(person, active, us)
        self.settle()
        if begins and person == HELPER:
            self.note_press(us)


class StickSlot(MergeSlot):
    """A stick: points in the unit circle. This is on the way of each sample of a moving stick."""

    __slots__ = ("_helper_x", "_helper_y", "_player_x", "_player_y", "_stick")

    def __init__(
        self, number: int, rule: Rule, timers: Timers, pad: Pad, overruled: list[tuple[int, int]]
    ) -> None:
        super().__init__(number, rule, timers, pad, overruled)
        self._stick = number - SLOT_LEFT_STICK
        self._player_x = 0.0
        self._player_y = 0.0
        self._helper_x = 0.0
        self._helper_y = 0.0

    def set_stick(self, person: int, x: float, y: float, us: int) -> None:
        """That person has it at this point."""
        leans = x != 0.0 or y != 0.0
        if person == PLAYER:
            self._player_x = x
            self._player_y = y
            changes = leans != self.player_is_active
        else:
            self._helper_x = x
            self._helper_y = y
            changes = leans != self.helper_is_active
        if changes:
            self.become(person, leans, us)
            self.settle()
            if leans and person == HELPER:
                self.note_press(us)
        elif self.alone == person:
            self._pad.want_stick(self._stick, x, y)
        elif self.alone == JOINTLY:
            self.settle()

    def settle(self) -> None:
        """Works out what the parts give together and tells the pad."""
        if self.adds and self.alone == JOINTLY:
            x = self._player_x + self._helper_x
            y = self._player_y + self._helper_y
            if x * x + y * y > 1.0:
                radius = hypot(x, y)
                x /= radius
                y /= radius
            self._pad.want_stick(self._stick, x, y)
            return
        giver = self.giver()
        if giver is None:
            self._pad.want_stick(self._stick, 0.0, 0.0)
        elif giver == PLAYER:
            self._pad.want_stick(self._stick, self._player_x, self._player_y)
        else:
            self._pad.want_stick(self._stick, self._helper_x, self._helper_y)

    def giver(self) -> int | None:
        """Whose point is shown: the player's of two alike, and of a sum; None at the centre."""
        player = self.player_is_active
        helper = self.helper_is_active
        if self.alone == PLAYER:
            return PLAYER if player else None
        if self.alone == HELPER:
            return HELPER if helper else None
        if self.wants_both:
            if not (player and helper) or not self._lean_the_same_way():
                return None
            return PLAYER if self._player_radius() <= self._helper_radius() else HELPER
        if not helper:
            return PLAYER if player else None
        if self.adds:
            return PLAYER if player else HELPER
        return PLAYER if self._player_radius() >= self._helper_radius() else HELPER

    def drop_parts(self) -> None:
        """Nobody moves it any more."""
        self._player_x = self._player_y = 0.0
        self._helper_x = self._helper_y = 0.0

    def _lean_the_same_way(self) -> bool:
        """Whether the two are 90 degrees or less apart: their scalar product is not negative."""
        return self._player_x * self._helper_x + self._player_y * self._helper_y >= 0.0

    def _player_radius(self) -> float:
        return hypot(self._player_x, self._player_y)

    def _helper_radius(self) -> float:
        return hypot(self._helper_x, self._helper_y)
