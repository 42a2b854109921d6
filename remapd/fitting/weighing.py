"""What a plan costs: the proof that `remapd check` shows, and a weight for putting in order."""

from __future__ import annotations

from typing import Final

from remapd.analysis.check import Report
from remapd.analysis.reach.proof import Need, Who
from remapd.analysis.reach.rows import rows_of_needs
from remapd.fitting.body import helpers_gamepads, word_of
from remapd.fitting.doings import Do, Layered, Listed, Nudged, ShortLong, Stick
from remapd.fitting.games import GameNeeds, Use, Verb
from remapd.fitting.plans import BASE, Plan, Proposal, VerbCost
from remapd.fitting.setup import Setup

#: How much dearer an act is for what cannot wait, and for what is wanted seldom and on purpose.
_IN_HASTE: Final = 4.0
_DELIBERATE: Final = 0.3
#: Time counts as well: so many seconds of a way weigh as much as one act of the body.
_SECONDS_OF_AN_ACT: Final = 2.0
#: A list in time asks for a press at the right moment, which is hard for many.
_TIMED: Final = 6.0
#: Each layer has to be kept in mind.
_LAYER: Final = 1.5
_APART: Final = 4.0
#: What a stick should do by degrees, and is all or nothing.
_ALL_OR_NOTHING: Final = 1.5
#: A short press that could have been a long one counts only when it is let go.
_AT_RELEASE: Final = 0.7
#: How much dearer an act is for what goes on all the time.
_ALL_THE_TIME: Final = 3.0
#: What cannot wait, on a control that does not always come.
_UNSURE: Final = 12.0
_UNREACHED: Final = 1_000.0
#: What asks for two at once comes after all that does not.
_TWO_AT_ONCE: Final = 100.0


def costs_of(setup: Setup, report: Report) -> tuple[VerbCost, ...]:
    """The cost of each verb: the player's where the player reaches all of it, else who does."""
    needs: dict[str, list[Need]] = {}
    for need in report.proof.needs:
        needs.setdefault(need.word.partition(".")[0], []).append(need)
    return tuple(_cost(verb, needs[verb.name], report) for verb in setup.game.verbs)


def _cost(verb: Verb, needs: list[Need], report: Report) -> VerbCost:
    proof = report.proof
    goals = [goal for need in needs for goal in need.goals]
    found = [{each.who: each for each in proof.reached(goal)} for goal in goals]
    everyone = [who for who in Who if all(who in each for each in found)]
    if not all(found):
        return VerbCost(verb.name, "nobody", 0, 0, False, "", 0)
    if everyone:
        reached = [each[everyone[0]] for each in found]
        by = everyone[0].value if len(everyone) == 1 else "either"
    else:
        reached = [next(iter(each.values())) for each in found]
        by = Who.TOGETHER.value
    ways = [each.way for each in reached]
    whole = [
        row.best.way
        for row in rows_of_needs(proof, report.words)
        if row.best is not None and row.word == verb.name and row.best.who is reached[0].who
    ]
    return VerbCost(
        verb.name,
        by,
        min(way.actions for way in ways),
        max(way.actions for way in ways),
        any(way.at_once > 1 for way in ways),
        report.words.way([*whole, *ways][0]),
        max(way.us for way in ways),
    )


def needs_of(game: GameNeeds) -> tuple[str, ...]:
    """What stands under `needs:`: a stick whole where all its ways are needed, else way by way."""
    words: list[str] = []
    for verb in game.verbs:
        if verb.use is Use.STEERED and len(verb.ways) < 4:
            words += [f"{verb.name}.{way}" for way in verb.ways]
        else:
            words.append(verb.name)
    return tuple(words)


# ---------------------------------------------------------------------- two at the same time


def pairs_of(setup: Setup, plan: Plan) -> tuple[list[tuple[str, str]], list[tuple[str, str]]]:
    """Pairs that a game wants at the same time: had with two controls at once, or not at all."""
    at_once: list[tuple[str, str]] = []
    apart: list[tuple[str, str]] = []
    if helpers_gamepads(setup):
        return at_once, apart  # of two people, each does one
    helpers = {
        word_of(each, setup) for each in setup.controls if each not in setup.players_controls
    }
    for verb in setup.game.verbs:
        for other in verb.along_with:
            places, others = _places(plan, verb.name), _places(plan, other)
            if any(word in helpers for _, word, _ in [*places, *others]):
                continue
            if any(lasts for _, _, lasts in places) or any(lasts for _, _, lasts in others):
                continue
            found = [
                _one_control(plan, one, two)
                for layer, one, _ in places
                for other_layer, two, _ in others
                if BASE in {layer, other_layer} or layer == other_layer
                if not _hidden(plan, layer, one, other_layer, two)
            ]
            if not found:
                apart.append((verb.name, other))
            elif not any(found):
                at_once.append((verb.name, other))
    return at_once, apart


def _places(plan: Plan, verb: str) -> list[tuple[str, str, bool]]:
    """Layer, control, and whether it goes on by itself, wherever the verb is given."""
    found: list[tuple[str, str, bool]] = []
    for layer, control, doing in plan.doings():
        if isinstance(doing, Listed | Layered):
            continue
        word = getattr(doing, "word", "")
        if word.partition(".")[0] == verb:
            found.append((layer, control, doing.lasts))
    return found


def _one_control(plan: Plan, one: str, two: str) -> bool:
    """Whether both are directions of one stick, which gives both askew."""
    stick = one.rpartition(".")[0]
    if not stick or stick != two.rpartition(".")[0] or one == two:
        return False
    return plan.settings.get(stick, {}).get("ways") != "4"


def _hidden(plan: Plan, layer: str, one: str, other_layer: str, two: str) -> bool:
    """Whether one of them is covered by something else in the layer of the other."""
    above = layer if layer != BASE else other_layer
    below = two if above == layer else one
    bindings = plan.layer(above).bindings
    own = {one, two}
    root = below.rpartition(".")[0]
    if above == BASE:
        listed = any(isinstance(each, Listed) for each in bindings[one].inner())
        return one == two and (listed or not isinstance(bindings[one], Stick))
    touched = {word for word in bindings if word not in own or word == below}
    return below in touched or root in touched or any(w.startswith(f"{below}.") for w in bindings)


def hurried_and_unsure(setup: Setup, plan: Plan) -> list[tuple[str, str]]:
    """What cannot wait and stands on a control that does not always come: verb and control."""
    unsure = {word_of(each, setup) for each in setup.players_controls if not each.reliable}
    hasty = {
        verb.name for verb in setup.game.verbs if verb.in_haste and verb.use is not Use.STEERED
    }
    found = [
        (word, control)
        for _, control, doing in plan.doings()
        if (word := getattr(doing, "word", "")) in hasty
        and {control, control.rpartition(".")[0]} & unsure
    ]
    return list(dict.fromkeys(found))


# ---------------------------------------------------------------------- order


def weight(setup: Setup, proposal: Proposal) -> float:
    """The lower, the better: acts and time, most for what is wanted most and in haste."""
    total = 0.0
    released = {
        doing.short.word
        for _, _, doing in proposal.plan.doings()
        if isinstance(doing, ShortLong) and isinstance(doing.short, Do | Nudged)
    }
    whole = {doing.word for _, _, doing in proposal.plan.doings() if isinstance(doing, Stick)}
    count = len(setup.game.verbs)
    for number, (verb, cost) in enumerate(zip(setup.game.verbs, proposal.costs, strict=True)):
        importance = 2.0 - number / count
        if verb.in_haste:
            importance *= _IN_HASTE
        elif verb.use is Use.STEERED:
            importance *= _ALL_THE_TIME
        if verb.deliberate:
            importance = _DELIBERATE
        if not cost.reached:
            total += _UNREACHED
            continue
        if verb.in_haste and verb.name in released:
            total += importance * _AT_RELEASE
        if verb.by_degrees and verb.use is Use.STEERED and verb.name not in whole:
            total += importance * _ALL_OR_NOTHING
        mean = (cost.actions + cost.most_actions) / 2
        total += importance * (mean + cost.us / 1e6 / _SECONDS_OF_AN_ACT)
    plan = proposal.plan
    total += _LAYER * (len(plan.layers) - 1)
    total += _UNSURE * len(hurried_and_unsure(setup, plan))
    total += _APART * len(proposal.apart)
    lists = [doing for _, _, doing in plan.doings() if isinstance(doing, Listed)]
    if any(doing.take is None for doing in lists):
        total += _TIMED
    if proposal.needs_two_at_once and not setup.two_at_once:
        total += _TWO_AT_ONCE
    return total
