"""Who counts for one pad control when two people drive it: its rule, or a lead in its place."""

from __future__ import annotations

from typing import Final

from remapd.engine.layout import Rule, RuleKind
from remapd.engine.pad import Pad
from remapd.engine.pad_controls import HELPER, PLAYER
from remapd.engine.timers import Timer, Timers

#: Before any time that can come: the player has had everything neutral since ever at the start.
LONG_AGO_US: Final = -(1 << 60)

#: Nobody counts alone: both parts are looked at.
JOINTLY: Final = -1


class MergeSlot:
    """One pad control that two people drive: the base, which knows who counts, and since when.

    Under `player-first` the helper counts from the moment at which the player has been neutral for
    `after-player`, that moment included. A timer makes the change where the helper is already at
    work by then; else it is enough to look when the helper begins.

    Attributes:
        adds, wants_both: Whether the rule is `sum`, or `both`.
        alone: The person who counts alone now, or JOINTLY.
        player_is_active: Whether the player presses it or has it out of the centre.
        helper_is_active: The same of the helper.
    """

    __slots__ = (
        "_after_player_us",
        "_kind",
        "_lead",
        "_neutral_since_us",
        "_number",
        "_overruled",
        "_pad",
        "_timer",
        "_timers",
        "adds",
        "alone",
        "helper_is_active",
        "player_is_active",
        "wants_both",
    )

    def __init__(
        self, number: int, rule: Rule, timers: Timers, pad: Pad, overruled: list[tuple[int, int]]
    ) -> None:
        self._number = number
        self._pad = pad
        self._overruled = overruled
        self._timers = timers
        self._timer = Timer(self._player_gives_way)
        self._lead: int | None = None
        self._neutral_since_us = LONG_AGO_US
        self.player_is_active = False
        self.helper_is_active = False
        self.alone = JOINTLY
        self._take(rule)
        self._decide(LONG_AGO_US)

    def settle(self) -> None:
        """Works out what the parts give together and tells the pad."""
        raise NotImplementedError

    def giver(self) -> int | None:
        """Whose part is shown: the player's where both give it alike; None where nothing is."""
        raise NotImplementedError

    def drop_parts(self) -> None:
        """Nobody presses or moves it any more."""
        raise NotImplementedError

    def follow(self, rule: Rule, us: int) -> None:
        """Another rule is in force from `us` on."""
        self._take(rule)
        if self._timer.armed:
            self._timers.disarm(self._timer)
        self._decide(us)
        self.settle()

    def be_led_by(self, person: int | None, us: int) -> None:
        """That person alone counts from `us` on; None: the rule again."""
        self._lead = person
        self._decide(us)
        self.settle()

    def clear(self, us: int, neutral_before: bool) -> None:
        """Nobody presses or moves it; `neutral_before`: and the player has not since ever."""
        self.drop_parts()
        if neutral_before:
            self._neutral_since_us = LONG_AGO_US
        elif self.player_is_active:
            self._neutral_since_us = us
        self.player_is_active = False
        self.helper_is_active = False
        if self._timer.armed:
            self._timers.disarm(self._timer)
        self._decide(us)
        self.settle()

    def become(self, person: int, active: bool, us: int) -> None:
        """That person's part has left neutral, or is neutral again."""
        if person == HELPER:
            self.helper_is_active = active
        else:
            self.player_is_active = active
            if not active:
                self._neutral_since_us = us
            if self._timer.armed:
                self._timers.disarm(self._timer)
        self._decide(us)

    def note_press(self, us: int) -> None:
        """The helper has begun something: notes it where the rule lets it do nothing."""
        if self.alone == PLAYER:
            self._overruled.append((self._number, us))

    def _take(self, rule: Rule) -> None:
        self._kind = rule.kind
        self._after_player_us = rule.after_player_us
        # known beforehand, as to ask a rule's kind what it is takes longer than to do as it says
        self.adds = rule.kind is RuleKind.SUM
        self.wants_both = rule.kind is RuleKind.BOTH

    def _decide(self, us: int) -> None:
        if self._lead is not None:
            self.alone = self._lead
        elif self._kind is RuleKind.PLAYER_FIRST:
            self.alone = HELPER if self._helper_counts(us) else PLAYER
        elif self._kind is RuleKind.PLAYER_ONLY:
            self.alone = PLAYER
        elif self._kind is RuleKind.HELPER_ONLY:
            self.alone = HELPER
        else:
            self.alone = JOINTLY

    def _helper_counts(self, us: int) -> bool:
        if self.player_is_active:
            return False
        from_us = self._neutral_since_us + self._after_player_us
        if us >= from_us:
            return True
        if self.helper_is_active and not self._timer.armed:
            self._timers.arm(self._timer, from_us)
        return False

    def _player_gives_way(self, us: int) -> None:
        self._decide(us)
        self.settle()
