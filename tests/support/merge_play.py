"""Two people's parts merged onto a pad, on virtual time, without the rest of the engine."""

from __future__ import annotations

from remapd.engine.layout import DEFAULT_RULES, Rule, RuleKind
from remapd.engine.merge import Merge
from remapd.engine.pad_controls import SLOT_COUNT
from tests.support.pad_play import PadPlay


def rules_with(slot: int, rule: Rule) -> list[Rule]:
    """The default rules, but for one slot."""
    rules = list(DEFAULT_RULES)
    assert len(rules) == SLOT_COUNT
    rules[slot] = rule
    return rules


class MergePlay(PadPlay):
    """Plays parts at times; each call makes a frame, as an input frame of the engine does."""

    def __init__(
        self, slot: int, kind: RuleKind, after_player_us: int = 400_000, shortest_us: int = 1
    ) -> None:
        super().__init__(shortest_us)
        self.merge = Merge(rules_with(slot, Rule(kind, after_player_us)), self.timers, self.pad)

    def button(self, us: int, person: int, target: int, pressed: bool) -> None:
        """That person's joined state of a target changes at `us`."""
        self.until(us)
        self.merge.set_button(person, target, pressed, us)
        self.frame(us)

    def lever(self, us: int, person: int, target: int, value: int) -> None:
        """That person's lever part of a trigger changes at `us`."""
        self.until(us)
        self.merge.set_lever(person, target, value, us)
        self.frame(us)

    def stick(self, us: int, person: int, stick: int, x: float, y: float) -> None:
        """That person's part of a stick changes at `us`."""
        self.until(us)
        self.merge.set_stick(person, stick, x, y, us)
        self.frame(us)

    def lead(self, us: int, slot: int, person: int | None) -> None:
        """A lead begins or ends at `us`."""
        self.until(us)
        self.merge.set_lead(slot, person, us)
        self.frame(us)

    @property
    def left_stick(self) -> tuple[int, int]:
        """Where the game sees the left stick."""
        return self.game.axes["left-stick.x"], self.game.axes["left-stick.y"]
