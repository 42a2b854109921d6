"""Plans for a stick taken apart: its four directions, as things to press."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from remapd.fitting.body import KICKS, Body, Slot
from remapd.fitting.doings import Do, EverythingOff, Layered
from remapd.fitting.draft import Draft
from remapd.fitting.games import Use, Verb
from remapd.fitting.layering import FURTHER, MORE
from remapd.fitting.plans import BASE, Plan
from remapd.fitting.wants import Want, button_wants, stick_verbs, ways_of

_ONE_KICK = "For one kick, then it closes by itself."


def compass_plans(body: Body) -> Iterator[Plan]:
    """One stick taken apart, where the game has one stick's worth of moving or less."""
    verbs = stick_verbs(body.setup.game)
    # One that cannot be kept pushed counts as slots already, and is the better for kicks.
    known = (*body.sticks, *(slot.control for slot in body.slots))
    stick = next((each for each in known if each.kind == "stick"), None)
    if stick is None or len(verbs) > 1:
        return
    body = replace(body, slots=tuple(slot for slot in body.slots if slot.control is not stick))
    ways = {slot.way: slot for slot in body.directions(stick)}
    steered = verbs[0] if verbs else None
    plans = [_kicks(body, ways, steered)]
    if steered is not None and set(steered.ways) <= {"left", "right"}:
        plans.append(_both(body, ways, steered))
    yield from (plan for plan in plans if plan is not None)


def _kicks(body: Body, ways: dict[str, Slot], steered: Verb | None) -> Plan | None:
    """Each direction does what it is for; one of them opens further kicks, for one kick each.

    Where all four directions are needed, forward opens: forward twice is forward.
    """
    draft = Draft(body.setup)
    moves = {want.way: want for want in ways_of(steered)} if steered is not None else {}
    key = "down" if "down" not in moves else "up"
    wants = list(button_wants(body.setup.game))
    for way, want in moves.items():
        draft.give(BASE if way != key else MORE, ways[way], want)
    direct = [
        *(slot for slot in body.slots if slot.reliable),
        *(ways[way] for way in KICKS if way != key and way not in moves),
    ]
    for slot in direct:
        if wants and not wants[0].verb.deliberate:
            draft.give(BASE, slot, wants.pop(0))
    draft.bind(BASE, ways[key].word, Layered(MORE, "next"))
    free = [way for way in KICKS if way != key or key not in moves]
    if len(wants) > len(free):
        draft.bind(MORE, ways["down"].word, Layered(FURTHER, "next"))
        draft.bind(FURTHER, ways["down"].word, EverythingOff())
        free.remove("down")
        over, wants = wants[len(free) :], wants[: len(free)]
        if len(over) >= len(KICKS):
            return None
        for way, want in zip(KICKS, over, strict=False):
            draft.give(FURTHER, ways[way], want, alone=True)
    if not wants and key not in moves:
        return None
    for way in free:
        if wants:
            draft.give(MORE, ways[way], wants.pop(0), alone=True)
    draft.told[BASE] = "Always there."
    for layer in (MORE, FURTHER):
        draft.said[layer] = layer
        draft.told[layer] = _ONE_KICK
    if len(moves) <= len(("left", "right")) and body.setup.two_at_once:
        draft.askew(ways[key])
    told = (
        f"Each way of the stick does one thing; {ways[key].told} opens further ones, for one kick."
    )
    return draft.plan("kicks", told, f"{told} After it, all is as before.")


def _both(body: Body, ways: dict[str, Slot], steered: Verb) -> Plan | None:
    """Forward and back do what is held while the stick steers: one movement for both."""
    held = [Want(verb) for verb in body.setup.game.verbs if verb.use is Use.HELD]
    wants = [want for want in button_wants(body.setup.game) if want not in held]
    if len(held) != len(("up", "down")) or not body.slots or not ways["up"].can_hold:
        return None
    draft = Draft(body.setup)
    draft.askew(ways["up"])
    moves = {**{want.way: want for want in ways_of(steered)}, "up": held[0], "down": held[1]}
    for way, want in moves.items():
        draft.bind(BASE, ways[way].word, Do(want.word))
    *switches, key = body.sure_slots
    for slot in switches:
        if wants and not wants[0].verb.deliberate:
            draft.give(BASE, slot, wants.pop(0))
    if not wants or len(wants) > len(KICKS):
        return None
    draft.bind(BASE, key.word, Layered(MORE, "next"))
    for way, want in zip(KICKS, wants, strict=False):
        draft.give(MORE, ways[way], want, alone=True)
    draft.said[MORE] = MORE
    draft.told[BASE] = "Always there."
    draft.told[MORE] = _ONE_KICK
    told = (
        f"One stick does both: to the sides {steered.name}, forward and back "
        f"{held[0].told} and {held[1].told}; {key.told} opens the rest for one kick."
    )
    return draft.plan("stick-does-both", told, f"{told} Askew does two at once.")
