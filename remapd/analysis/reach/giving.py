"""What the pad is given by a move: whose part counts, and what takes a press back."""

from __future__ import annotations

from typing import NamedTuple

from remapd.analysis.reach.goals import direction_target, opposite, trigger_by_degrees
from remapd.analysis.reach.model import Model
from remapd.analysis.reach.situation import LeadKey, Stay
from remapd.engine.actions import SendLever, SendStick
from remapd.engine.layout import RuleKind
from remapd.engine.pad_controls import (
    DOWN,
    DPAD,
    FIRST_DIRECTION,
    HELPER,
    LEFT,
    PLAYER,
    RIGHT,
    TARGET_COUNT,
    UP,
)

#: A stick of the pad has so many steps each way; less than half a step is none.
_STICK_FULL = 32767


class Effect(NamedTuple):
    """A goal that is given to the pad by somebody."""

    goal: int
    person: int
    lasts: bool  #: as long as the control is held, or until it is ended; not only for a moment
    alone: bool  #: False: it counts only while the other person gives it too


class Giving:
    """Gathers in `effects` what the pad is given, by the leads and what stays as they are then."""

    def __init__(self, model: Model, staying: set[Stay], leads: list[LeadKey]) -> None:
        """`staying` and `leads` may change: they are looked at when something is given."""
        self.effects: list[Effect] = []
        self._model = model
        self._staying = staying
        self._leads = leads

    def targets(self, person: int, targets: tuple[int, ...], lasts: bool) -> None:
        """Targets pressed together by one person; opposites give neither."""
        for target in targets:
            other_way = opposite(target)
            if other_way in targets or self._is_undone(person, target, other_way):
                continue
            self._count(target, self._model.slots[target], person, lasts)

    def whole(self, person: int, whole: SendStick | SendLever) -> None:
        """A whole stick moved every way, or a whole lever."""
        if isinstance(whole, SendLever):
            self.targets(person, (whole.trigger,), True)
            self._count(trigger_by_degrees(whole.trigger), whole.trigger, person, True)
            return
        for direction in (UP, DOWN, LEFT, RIGHT):
            self.direction(person, whole, direction)
        if whole.stick != DPAD and not any(
            kind == f"keep {whole.stick}" for kind, _, _ in self._staying
        ):
            slot = self._model.slots[direction_target(whole.stick, UP)]
            self._count(TARGET_COUNT + whole.stick, slot, person, True)

    def direction(self, person: int, whole: SendStick, direction: int) -> None:
        """A stick that is bound whole, moved one way by the hand."""
        if whole.stick != DPAD and whole.gain * _STICK_FULL < 0.5:
            return
        if whole.flip_x and direction in {LEFT, RIGHT}:
            direction = LEFT + RIGHT - direction
        elif whole.flip_y and direction in {UP, DOWN}:
            direction = UP + DOWN - direction
        self.targets(person, (direction_target(whole.stick, direction),), True)

    def _is_undone(self, person: int, target: int, other_way: int | None) -> bool:
        """Whether something that stays by itself takes the press back."""
        if not self._staying:
            return False
        slot = self._model.slots[target]
        stick = (target - FIRST_DIRECTION) // 4
        for kind, owner, targets in self._staying:
            if other_way is not None and other_way in targets:
                return True
            if kind == f"keep {stick}" and owner == person and target >= FIRST_DIRECTION:
                return True
            if (
                person == HELPER
                and owner == PLAYER
                and self._model.layout.rules[slot].kind is RuleKind.PLAYER_FIRST
                and any(self._model.slots[each] == slot for each in targets)
            ):
                return True
        return False

    def _count(self, goal: int, slot: int, person: int, lasts: bool) -> None:
        """Whose part counts: the newest lead's, or the rule's."""
        for leader, slots in reversed(self._leads):
            if not slots or slot in slots:
                if leader == person:
                    self.effects.append(Effect(goal, person, lasts, True))
                return
        kind = self._model.layout.rules[slot].kind
        if kind is RuleKind.BOTH:
            self.effects.append(Effect(goal, person, lasts, False))
        elif (kind is RuleKind.PLAYER_ONLY and person != PLAYER) or (
            kind is RuleKind.HELPER_ONLY and person != HELPER
        ):
            return
        else:
            self.effects.append(Effect(goal, person, lasts, True))
