"""Which stick moves what: one verb for each, and what the first one takes over in layers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from remapd.fitting.body import Body, spoken, word_of
from remapd.fitting.games import Use, Verb
from remapd.fitting.setup import FoundControl, Setup
from remapd.fitting.wants import stick_verbs


@dataclass(frozen=True, slots=True)
class SticksGiven:
    """Which stick moves what; `swaps` is what the first stick can do only in another layer."""

    whole: Mapping[str, tuple[FoundControl, Verb]]
    swaps: tuple[tuple[FoundControl, Verb], ...]
    pedals: tuple[tuple[FoundControl, Verb], ...]
    left: tuple[Verb, ...]

    @property
    def carried(self) -> frozenset[str]:
        """The verbs that need nothing to press."""
        given = [*self.whole.values(), *self.swaps, *self.pedals]
        return frozenset(verb.name for _, verb in given)


def give_sticks(body: Body) -> SticksGiven:
    """Gives each stick a verb; the first one takes what is left in layers of its own.

    A pointer is best at what is wanted by degrees and does not stay pushed, such as looking round.
    """
    verbs = list(stick_verbs(body.setup.game))
    sticks = list(body.sticks)
    whole: dict[str, tuple[FoundControl, Verb]] = {}
    if len(sticks) > 1 and len(verbs) > 1 and sticks[0].kind == "pointer":
        at = next((n for n, each in enumerate(sticks) if each.kind == "stick"), 0)
        sticks[0], sticks[at] = sticks[at], sticks[0]
    for stick, verb in zip(sticks, verbs, strict=False):
        whole[word_of(stick, body.setup)] = (stick, verb)
    left = tuple(verbs[len(sticks) :])
    swaps = tuple((sticks[0], verb) for verb in left) if sticks else ()
    triggers = [
        verb
        for verb in body.setup.game.verbs
        if verb.pad.endswith("-trigger") and verb.use is Use.HELD
    ]
    triggers.sort(key=lambda verb: not verb.by_degrees)
    pedals = tuple(zip(body.pedals, triggers, strict=False))
    return SticksGiven(whole, swaps, pedals, () if sticks else left)


def swap_name(verb: Verb) -> str:
    """The layer in which a stick does this verb."""
    return f"now-{verb.name}"


def spoken_stick(sticks: SticksGiven, setup: Setup) -> str:
    """The stick that is swapped, in words."""
    first = next(iter(sticks.whole.values()), None)
    return spoken(first[0], setup) if first is not None else ""
