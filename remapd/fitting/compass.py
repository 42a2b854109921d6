"""Plans for a stick that has to do everything: its four directions, as things to press."""

from __future__ import annotations

from collections.abc import Iterator

from remapd.fitting.body import KICKS, Body, Slot
from remapd.fitting.doings import Do, Layered
from remapd.fitting.draft import Draft
from remapd.fitting.games import Use, Verb
from remapd.fitting.layering import FURTHER, MORE
from remapd.fitting.plans import BASE, Plan
from remapd.fitting.wants import Want, button_wants, stick_verbs, ways_of


def compass_plans(body: Body) -> Iterator[Plan]:
    """One stick taken apart, where the game has one stick's worth of moving or less."""
    verbs = stick_verbs(body.setup.game)
    for stick in [each for each in body.sticks if each.kind == "stick"][:1]:
        ways = {slot.way: slot for slot in body.directions(stick)}
        if len(verbs) > 1:
            continue
        steered = verbs[0] if verbs else None
        plan = _alone(body, ways, steered)
        if plan is not None:
            yield plan
        if steered is not None and set(steered.ways) <= {"left", "right"}:
            plan = _driven(body, ways, steered)
            if plan is not None:
                yield plan


def _alone(body: Body, ways: dict[str, Slot], steered: Verb | None) -> Plan | None:
    """The stick is all there is: one direction opens further ones, for one kick."""
    setup = body.setup
    draft = Draft(setup)
    moves = {want.way: want for want in ways_of(steered)} if steered is not None else {}
    is_sideways = set(moves) <= {"left", "right"}
    key = ways["down"] if is_sideways else ways["up"]
    wants = list(button_wants(setup.game))
    for way, want in moves.items():
        if ways[way] is not key:
            draft.give(BASE, ways[way], want)
    for slot in body.slots:
        if wants and slot.reliable and not wants[0].verb.deliberate:
            draft.give(BASE, slot, wants.pop(0))
    for way in ("up", "right", "left", "down"):
        free = ways[way] is not key and way not in moves
        if free and wants and not wants[0].verb.deliberate:
            draft.give(BASE, ways[way], wants.pop(0))
    layers = [MORE, FURTHER]
    opened_from = BASE
    for number, layer in enumerate(layers):
        if not wants and number:
            break
        draft.bind(opened_from, key.word, Layered(layer, "next"))
        draft.said[layer] = layer
        draft.told[layer] = "For one kick, then it closes by itself."
        kept = [] if number else [way for way in moves if ways[way] is key]
        for way in kept:
            draft.give(layer, ways[way], moves[way])
        kicks = [way for way in ("up", "right", "left", "down") if way not in kept]
        # The last layer needs no way on; one that overflows keeps the key for it.
        room = len(kicks)
        opens = len(wants) > room
        if opens:
            if kept:
                key = ways["down"]
            kicks = [way for way in kicks if ways[way] is not key]
        for way in kicks:
            if not wants:
                break
            draft.give(layer, ways[way], wants.pop(0), alone=True)
        opened_from = layer
    if wants:
        return None
    draft.told[BASE] = "Always there."
    if not is_sideways and steered is not None:
        draft.settings[key.word.rpartition(".")[0]] = {"ways": "4"}
    opener = ways["down"] if is_sideways else ways["up"]
    if body.slots:
        told = f"Kicks of the stick do a part: {opener.told} opens another meaning of its kicks."
    else:
        told = f"The stick does everything: {opener.told} opens another meaning of its kicks."
    return draft.plan("kicks", told, f"{told} It is for one kick, then all is as before.")


def _driven(body: Body, ways: dict[str, Slot], steered: Verb) -> Plan | None:
    """Forward and back do what is held while the stick steers: one movement for both."""
    setup = body.setup
    held = [Want(verb) for verb in setup.game.verbs if verb.use is Use.HELD]
    wants = [want for want in button_wants(setup.game) if want not in held]
    plain = [want for want in wants if not want.verb.deliberate]
    guarded = [want for want in wants if want.verb.deliberate]
    if len(held) != len(("up", "down")) or not body.slots:
        return None
    draft = Draft(setup)
    for want in ways_of(steered):
        draft.bind(BASE, ways[want.way].word, _pressed(want))
    for way, want in zip(("up", "down"), held, strict=False):
        draft.bind(BASE, ways[way].word, _pressed(want))
    switches = [slot for slot in body.slots if slot.reliable] or list(body.slots)
    key = switches[-1]
    for slot in switches[:-1]:
        if plain:
            draft.give(BASE, slot, plain.pop(0))
    left = [*plain, *guarded]
    if not left or len(left) > len(KICKS):
        return None
    draft.bind(BASE, key.word, Layered(MORE, "next"))
    for way, want in zip(KICKS, left, strict=False):
        draft.give(MORE, ways[way], want, alone=True)
    draft.said[MORE] = MORE
    draft.told[BASE] = "Always there."
    draft.told[MORE] = "For one kick, then it closes by itself."
    pair = " and ".join(want.told for want in held)
    told = (
        f"One stick does both: to the sides {steered.name}, forward and back {pair}; "
        f"{key.told} opens the rest for one kick."
    )
    return draft.plan("stick-does-both", told, f"{told} Askew does two at once.")


def _pressed(want: Want) -> Do:
    return Do(want.word)
