"""Two people's joined parts to one pad, by the merge rules (section 6 of the language)."""

from __future__ import annotations

from collections.abc import Sequence

from remapd.engine.layout import Rule, RuleKind
from remapd.engine.merge_rules import ButtonSlot, PairSlot, StickSlot, TriggerSlot
from remapd.engine.merge_slot import MergeSlot
from remapd.engine.pad import Pad
from remapd.engine.pad_controls import (
    DPAD_UP,
    LEFT_TRIGGER,
    RIGHT_TRIGGER,
    SLOT_COUNT,
    SLOT_LEFT_STICK,
    SLOT_VERTICAL,
)
from remapd.engine.timers import Timers


class Merge:
    """What the people's parts give together; each change is told to the pad at once.

    Each method is given the person's joined part: what all that they press or move gives together.
    Calling one with what is already so does nothing.

    Attributes:
        sticks, triggers: The left one's slot and the right one's: `set_stick` and `set_lever` there
            are on the way of each sample of what moves.
        overruled: (slot, us) of each press that the helper began, or stick that they moved out of
            the centre, while the rule or a lead let it do nothing. Whoever reads it clears it.
    """

    __slots__ = ("_buttons", "_pairs", "_slots", "overruled", "sticks", "triggers")

    def __init__(self, rules: Sequence[Rule], timers: Timers, pad: Pad) -> None:
        """Rules are by slot; ValueError where one says nothing of its slot (`sum` of a button)."""
        _check(rules)
        self.overruled: list[tuple[int, int]] = []
        self.triggers: list[TriggerSlot] = []
        self._buttons: dict[int, ButtonSlot] = {}
        self._pairs: list[PairSlot] = []
        self.sticks: list[StickSlot] = []
        self._slots: list[MergeSlot] = []
        for number, rule in enumerate(rules):
            slot: MergeSlot
            if number >= SLOT_LEFT_STICK:
                slot = StickSlot(number, rule, timers, pad, self.overruled)
                self.sticks.append(slot)
            elif number >= SLOT_VERTICAL:
                slot = PairSlot(number, rule, timers, pad, self.overruled)
                self._pairs.append(slot)
            elif number in {LEFT_TRIGGER, RIGHT_TRIGGER}:
                slot = TriggerSlot(number, rule, timers, pad, self.overruled)
                self.triggers.append(slot)
            else:
                slot = ButtonSlot(number, rule, timers, pad, self.overruled)
                self._buttons[number] = slot
            self._slots.append(slot)

    def set_button(self, person: int, target: int, pressed: bool, us: int) -> None:
        """That person presses a target (0 to 16) by a button or a direction, or does not."""
        if target in self._buttons:
            self._buttons[target].set_button(person, pressed, us)
        elif target in {LEFT_TRIGGER, RIGHT_TRIGGER}:
            self.triggers[target - LEFT_TRIGGER].set_button(person, pressed, us)
        else:
            self._pairs[(target - DPAD_UP) >> 1].set_button(person, target, pressed, us)

    def set_lever(self, person: int, target: int, value: int, us: int) -> None:
        """The largest value, 0 to 255, that the person's levers give to a trigger."""
        self.triggers[target - LEFT_TRIGGER].set_lever(person, value, us)

    def set_stick(self, person: int, stick: int, x: float, y: float, us: int) -> None:
        """Where that person has a stick (0 left, 1 right): a point in the unit circle."""
        self.sticks[stick].set_stick(person, x, y, us)

    def set_lead(self, slot: int, person: int | None, us: int) -> None:
        """From `us` on that person alone counts for the slot; None: the rule again."""
        self._slots[slot].be_led_by(person, us)

    def person_of(self, slot: int) -> int | None:
        """Whose part is shown: the player's where both give it; None where nobody does."""
        return self._slots[slot].giver()

    def use_rules(self, rules: Sequence[Rule], us: int) -> None:
        """Other rules are in force from `us` on; ValueError as at the making."""
        _check(rules)
        for slot, rule in zip(self._slots, rules, strict=True):
            slot.follow(rule, us)

    def reset(self, us: int, neutral_before: bool = False) -> None:
        """Nobody presses or moves anything any more; leads stay.

        What the player had pressed or moved has been neutral since `us`; with `neutral_before`
        everything has been so since ever, as at the start.
        """
        for slot in self._slots:
            slot.clear(us, neutral_before)


def _check(rules: Sequence[Rule]) -> None:
    if len(rules) != SLOT_COUNT:
        raise ValueError(f"{SLOT_COUNT} rules are needed, one for each slot, not {len(rules)}")
    for slot, rule in enumerate(rules):
        senseless = RuleKind.EITHER if slot >= SLOT_LEFT_STICK else RuleKind.SUM
        if rule.kind is senseless:
            raise ValueError(f"`{rule.kind.value}` says nothing of slot {slot}")
