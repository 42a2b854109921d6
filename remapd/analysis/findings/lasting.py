"""Findings about what outlasts its layer: a latch, a toggled turbo or push, a keep."""

from __future__ import annotations

from collections.abc import Iterator

from remapd.analysis.findings.finding import Finding, Weight, places_of
from remapd.analysis.reach.goals import Names, goal_name
from remapd.analysis.reach.model import Bound, bound_actions
from remapd.analysis.reach.proof import Proof
from remapd.engine.actions import (
    Action,
    Keep,
    Latch,
    Push,
    ReleaseEverything,
    TakeRest,
    Turbo,
    parts_of,
)
from remapd.engine.pad_controls import STICK_NAMES


def check_lasting(proof: Proof) -> Iterator[Finding]:
    """What stays on when its layer goes, and can be ended only by putting the layer on again."""
    names = Names(proof.layout)
    everything = list(bound_actions(proof.layout))
    for bound in everything:
        if bound.layer == 0:
            continue
        for part in parts_of(bound.action):
            if _lasts(part) and not any(_ends(proof, part, bound, other) for other in everything):
                yield _finding(proof, names, bound, part)


def _lasts(action: Action) -> bool:
    match action:
        case Latch() | Keep():
            return not action.at_most_us
        case Turbo():
            return action.toggle and not action.at_most_us
        case Push():
            return action.toggle
        case _:
            return False


def _ends(proof: Proof, lasting: Action, bound: Bound, other: Bound) -> bool:
    """Whether another layer has something that ends it."""
    if other.layer == bound.layer or other.layer not in proof.possible.layers:
        return False
    person_of = proof.model.person_of
    same_person = person_of[bound.buttons[0]] == person_of[other.buttons[0]]
    for part in parts_of(other.action):
        if isinstance(part, ReleaseEverything | TakeRest):
            return True
        if not same_person:
            continue
        if isinstance(lasting, Latch) and isinstance(part, Latch):
            if part.targets == lasting.targets:
                return True
        elif isinstance(lasting, Keep) and isinstance(part, Keep) and part.stick == lasting.stick:
            return True
    return False


def _finding(proof: Proof, names: Names, bound: Bound, part: Action) -> Finding:
    layer = proof.layout.layers[bound.layer].name
    what, remedy = _described(names, part)
    return Finding(
        "outlasts-its-layer",
        Weight.WARNING,
        f"{what} goes on after `{layer}` has gone off, and only `{layer}` can end it",
        (remedy, "or bind `{release: everything}` in the base layer"),
        places_of(proof.layout, bound),
    )


def _described(names: Names, part: Action) -> tuple[str, str]:
    match part:
        case Latch():
            what = ", ".join(names.of(goal_name(target)) for target in part.targets)
            return f"the latch of {what}", "give it `at-most: 30s`, or bind the same latch below"
        case Turbo():
            what = ", ".join(names.of(goal_name(target)) for target in part.targets)
            return f"the turbo of {what}", "give it `at-most: 30s`, or let it run only while held"
        case Push():
            stick = names.of(STICK_NAMES[part.stick])
            return f"the push of {stick}", "let it push only while held (no `how: toggle`)"
        case Keep():
            stick = names.of(STICK_NAMES[part.stick])
            return f"the keep of {stick}", "give it `at-most: 30s`, or bind a keep of it below"
        case _:
            raise TypeError(f"{part} does not last by itself")
