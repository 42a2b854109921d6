"""Findings about merge rules that can never let anything through."""

from __future__ import annotations

from collections.abc import Iterator

from remapd.analysis.findings.finding import Finding, Place, Weight
from remapd.analysis.reach.possible import slot_of_goal
from remapd.analysis.reach.proof import Proof
from remapd.analysis.reach.words import Words
from remapd.engine.layout import RuleKind
from remapd.engine.pad_controls import (
    HELPER,
    PLAYER,
    SLOT_HORIZONTAL,
    SLOT_LEFT_STICK,
    SLOT_RIGHT_STICK,
    SLOT_VERTICAL,
    TARGET_NAMES,
)

_PAIR_NAMES = {
    SLOT_VERTICAL: ("dpad-up", "dpad-down"),
    SLOT_HORIZONTAL: ("dpad-left", "dpad-right"),
    SLOT_LEFT_STICK: ("left-stick",),
    SLOT_RIGHT_STICK: ("right-stick",),
}


def check_merge(proof: Proof, words: Words) -> Iterator[Finding]:
    """Every rule that needs a person, where that person has no control for it."""
    for slot, rule in enumerate(proof.layout.rules):
        givers = {person for goal, person in proof.possible.given if slot_of_goal(goal) == slot}
        if not givers:
            continue
        wanted = {
            RuleKind.BOTH: {PLAYER, HELPER},
            RuleKind.PLAYER_ONLY: {PLAYER},
            RuleKind.HELPER_ONLY: {HELPER},
        }.get(rule.kind, set())
        missing = wanted - givers
        if not missing:
            continue
        names = slot_names(slot)
        person = "helper" if HELPER in missing else "player"
        if person == "helper" and HELPER not in proof.people:
            why = "no device has `person: helper`"
        else:
            why = f"the {person} has no control for it"
        shown = " and ".join(f"`{words.names.of(name)}`" for name in names)
        yield Finding(
            "rule-never-holds",
            Weight.WARNING,
            f"{shown} never counts: its merge rule is `{rule.kind.value}`, but {why}",
            (f"give the {person} a control for it, or change its rule under `merge`",),
            _places(proof, slot),
        )


def slot_names(slot: int) -> tuple[str, ...]:
    """The pad controls that a merging slot stands for."""
    return _PAIR_NAMES.get(slot) or (TARGET_NAMES[slot],)


def _places(proof: Proof, slot: int) -> tuple[Place, ...]:
    names = slot_names(slot)
    verbs = [verb for verb, name in proof.layout.verbs.items() if name in names]
    dotted = [name.replace("dpad-", "dpad.") for name in names if name.startswith("dpad-")]
    group = "sticks" if slot >= SLOT_LEFT_STICK else "buttons"
    groups = ["dpad", group] if slot in {SLOT_VERTICAL, SLOT_HORIZONTAL} else [group]
    return tuple(("merge", key) for key in (*verbs, *names, *dotted, *groups))
