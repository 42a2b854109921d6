"""Findings about what the game needs: out of reach, lost on the way, or reached at a price."""

from __future__ import annotations

from collections.abc import Iterator

from remapd.analysis.findings.finding import Finding, Weight
from remapd.analysis.reach.model import bound_actions
from remapd.analysis.reach.possible import slot_of_goal, targets_of
from remapd.analysis.reach.proof import Need, Proof, Who
from remapd.analysis.reach.search import Search
from remapd.analysis.reach.words import Words
from remapd.engine.actions import Nothing, SendLever, SendStick
from remapd.engine.layout import RuleKind
from remapd.engine.pad_controls import HELPER, PLAYER

SIMULTANEOUS = "EN 301 549, 5.9 (simultaneous user actions)"
_MOST_NAMED = 3


def check_needs(proof: Proof, words: Words) -> Iterator[Finding]:
    """Every need: whether it is reached, by whom, and at what price."""
    for need in proof.needs:
        lost = proof.out_of_reach(need)
        if lost:
            yield _out_of_reach(proof, words, need, lost)
        else:
            yield from _prices(proof, words, need)
    yield from _not_by_the_player(proof)
    yield from _lost_on_the_way(proof, words)


# ---------------------------------------------------------------------- out of reach


def _out_of_reach(proof: Proof, words: Words, need: Need, lost: list[int]) -> Finding:
    names = f"`{need.word}`"
    if len(lost) < len(need.goals):
        names = " and ".join(f"`{words.goal(goal)}`" for goal in lost)
    hidden = [goal for goal in lost if goal in proof.possible.goals]
    place = (("need", need.word),)
    if hidden and not proof.complete:
        return Finding(
            "need-not-proven",
            Weight.ERROR,
            f"no way to {names} was found; this layout has more situations than were looked at, "
            "so there may still be one",
            ("give it a control in the base layer, or in a layer with fewer ways into it",),
            place,
        )
    return Finding(
        "need-out-of-reach",
        Weight.ERROR,
        f"the game needs {names}, and nothing reaches it",
        tuple(_ways_out(proof, words, lost[0])),
        place,
    )


def _ways_out(proof: Proof, words: Words, goal: int) -> Iterator[str]:
    """What could be done about a goal that nothing reaches."""
    layout = proof.layout
    name = words.goal(goal)
    givers = {person for given, person in proof.possible.given if given == goal}
    kind = layout.rules[slot_of_goal(goal)].kind
    if kind is RuleKind.BOTH and len(givers) == 1:
        other = "the helper" if PLAYER in givers else "the player"
        yield f"it counts only while both press: give {other} a control for it, or change `merge`"
    elif kind is RuleKind.PLAYER_ONLY and givers == {HELPER}:
        yield "only the player may press it, and only the helper can: change `merge`, or bind it"
    elif kind is RuleKind.HELPER_ONLY and givers == {PLAYER}:
        yield "only the helper may press it, and only the player can: change `merge`, or bind it"
    never_on = [
        layout.layers[layer].name
        for layer in sorted(_layers_giving(proof, goal))
        if layer not in proof.everyone.entered and layer
    ]
    if never_on:
        yield f"`{never_on[0]}` would give it, but that layer is never on"
    elif _layers_giving(proof, goal) and givers and kind is RuleKind.EITHER:
        yield (
            "it stands in a layer, but cannot be got at there: something is always in its way, or "
            "no press can be made so (then a warning says why)"
        )
    free = free_controls(proof)
    if free:
        listed = ", ".join(f"`{each}`" for each in free[:_MOST_NAMED])
        yield f"controls that have nothing to do in the base layer: {listed}"
    elif not givers:
        yield (
            f"no control is free: let one do two things (`{{short: …, long: {name}}}`), or put "
            f"`{name}` into a layer that is on for one press (`how: next`)"
        )


def _layers_giving(proof: Proof, goal: int) -> set[int]:
    """Layers in which something would give the goal."""
    layout = proof.layout
    layers = {bound.layer for bound in bound_actions(layout) if goal in targets_of(bound.action)}
    for index, layer in enumerate(layout.layers):
        for whole in layer.wholes.values():
            if isinstance(whole, SendStick | SendLever) and slot_of_goal(goal) == _slot(whole):
                layers.add(index)
    return layers


def _slot(whole: SendStick | SendLever) -> int:
    if isinstance(whole, SendLever):
        return whole.trigger
    return 15 + whole.stick if whole.stick < 2 else -1


def free_controls(proof: Proof) -> list[str]:
    """The player's controls that do nothing in the base layer."""
    layout = proof.layout
    base = layout.layers[0]
    busy = {
        layout.buttons[number].control
        for number, action in base.bindings.items()
        if not isinstance(action, Nothing)
    }
    busy |= {control for control, whole in base.wholes.items() if not isinstance(whole, Nothing)}
    return [
        control.name
        for number, control in enumerate(layout.controls)
        if number not in busy and layout.devices[control.device].person == PLAYER
    ]


# ---------------------------------------------------------------------- at a price


def _prices(proof: Proof, words: Words, need: Need) -> Iterator[Finding]:
    found = [proof.reached(goal) for goal in need.goals]
    place = (("need", need.word),)
    if not all(any(each.single for each in reached) for reached in found):
        way = next(reached[0].way for reached in found if not any(each.single for each in reached))
        yield Finding(
            "two-at-once",
            Weight.WARNING,
            f"`{need.word}` is reached only with two controls pressed at the same time: "
            f"{words.way(way)}",
            (
                "put the layer on with `how: next` (for one press) or `how: toggle` instead of "
                "holding it, or bind the chord's action to one control in a layer",
            ),
            place,
            SIMULTANEOUS,
        )
    degrees = need.by_degrees
    if degrees is not None and not proof.reached(degrees):
        yield Finding(
            "only-full-pushes",
            Weight.NOTE,
            f"`{need.word}` is pushed fully or not at all: no stick, lever or pointer moves it by "
            "degrees",
            ("a game that has slow and fast can be helped with `{push: …, amount: 50%}`",),
            place,
        )


def _not_by_the_player(proof: Proof) -> Iterator[Finding]:
    """What takes a helper: said once for all of it, since it may well be meant so."""
    words: dict[Who, list[str]] = {}
    for need in proof.needs:
        found = [proof.reached(goal) for goal in need.goals]
        who = {each.who for reached in found for each in reached}
        if all(found) and Who.PLAYER not in who:
            words.setdefault(Who.HELPER if Who.HELPER in who else Who.TOGETHER, []).append(
                need.word
            )
    for whose, needed in words.items():
        listed = ", ".join(f"`{word}`" for word in needed)
        whom = "the helper alone" if whose is Who.HELPER else "the player and the helper together"
        yield Finding(
            "not-by-the-player",
            Weight.NOTE,
            f"reached by {whom}: {listed}. Without a helper the player lacks this",
            ("give the player a control for it too, unless it is meant so",),
            (("need", needed[0]),),
        )


# ---------------------------------------------------------------------- lost on the way


def _lost_on_the_way(proof: Proof, words: Words) -> Iterator[Finding]:
    """A situation that one can get into, and from which something needed cannot be reached."""
    for at_once in (1, 2):
        search = proof.search(Who.PLAYER, at_once)
        if search is None:
            continue
        lost = _lost(proof, search)
        if lost:
            number = min(lost, key=lambda each: search.nodes[each].cost)
            yield _lost_finding(proof, words, search, number, sorted(lost[number]))
            return


def _lost(proof: Proof, search: Search) -> dict[int, set[str]]:
    """By situation, what is lost there of that which the search reached from the start."""
    lost: dict[int, set[str]] = {}
    for need in proof.needs:
        for goal in need.goals:
            if not search.reached_by(goal):
                continue
            giving = [n for n, node in enumerate(search.nodes) if goal in node.offers]
            for number in search.cannot_reach(giving):
                lost.setdefault(number, set()).add(need.word)
    return lost


def _lost_finding(
    proof: Proof, words: Words, search: Search, number: int, lost: list[str]
) -> Finding:
    layout = proof.layout
    names = ", ".join(f"`{word}`" for word in lost[:_MOST_NAMED])
    if len(lost) > _MOST_NAMED:
        names += f" and {len(lost) - _MOST_NAMED} more"
    situation = search.nodes[number].situation
    way = words.way(search.way_to_node(number))
    rescued = _helper_rescues(proof, search, number, lost)
    remedies = ["bind `{release: everything}` where it can always be pressed"]
    places: tuple[tuple[str, ...], ...] = ()
    if situation.stack:
        layer = layout.layers[situation.stack[-1]].name
        remedies.insert(0, f"give `{layer}` a way out that `{layer}` itself does not bind anew")
        places = (("layer", layer),)
    return Finding(
        "need-lost",
        Weight.WARNING if rescued else Weight.ERROR,
        f"after this the player cannot reach {names} any more"
        f"{' without the helper' if rescued else ''}: {way}",
        tuple(remedies),
        places,
    )


def _helper_rescues(proof: Proof, search: Search, number: int, lost: list[str]) -> bool:
    """Whether with the helper's controls too all that is lost can be reached from there."""
    if HELPER not in proof.people:
        return False
    together = proof.search(Who.TOGETHER, search.at_once)
    if together is None:
        return False
    there = together.find(search.nodes[number].situation)
    if there is None:
        return False
    for need in proof.needs:
        if need.word in lost:
            for goal in need.goals:
                giving = [n for n, node in enumerate(together.nodes) if goal in node.offers]
                if there in together.cannot_reach(giving):
                    return False
    return True
