"""Plans for two: what the player takes, what is left to the helper, and a helper who joins in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from remapd.fitting.body import Body, Slot, body_of, directions, helpers_gamepads, word_of
from remapd.fitting.doings import Call, Doing, EverythingOff, Same, Stick
from remapd.fitting.draft import SPARE, Draft, sentence
from remapd.fitting.file_lines import listed
from remapd.fitting.games import Use, Verb
from remapd.fitting.handing import handed
from remapd.fitting.plans import BASE, Plan
from remapd.fitting.setup import FoundControl, Setup
from remapd.fitting.sticks import give_sticks
from remapd.fitting.wants import Want, button_wants, given, stick_verbs, ways_of

#: How long the player's stick has to be at rest before the helper's counts.
_AFTER_PLAYER = "600ms"


def shared_plans(body: Body) -> Iterator[Plan]:
    """The player takes one thing for each control; the helper takes what is left over."""
    setup = body.setup
    if not setup.helpers_devices:
        return
    draft = Draft(setup)
    draft.told[BASE] = "Always there, for both."
    taken, fully = _players_part(body, draft)
    if not taken:
        return
    rest = [verb for verb in setup.game.verbs if verb.name not in fully]
    bindings = _helpers_part(setup, rest)
    if bindings is None:
        return
    for word, doing in bindings.items():
        draft.bind(BASE, word, doing)
    player, helper = names(setup)
    told = f"For {player}: {listed(taken)}. For {helper}: all the rest."
    plays = f"{told} Each control means the same at all times."
    yield with_rules(draft.plan("shared", told, plays), setup)


def _players_part(body: Body, draft: Draft) -> tuple[list[str], set[str]]:
    """One thing for each of the player's controls; the verbs, and those that are had wholly."""
    sticks = give_sticks(body)
    taken: list[str] = []
    for word, (_, verb) in sticks.whole.items():
        draft.bind(BASE, word, Stick(verb.name))
        taken.append(verb.name)
    for pedal, verb in sticks.pedals:
        draft.bind(BASE, word_of(pedal, body.setup), Stick(verb.name))
        taken.append(verb.name)
    used = {word_of(pedal, body.setup) for pedal, _ in sticks.pedals}
    free = [slot for slot in body.slots if slot.word not in used]
    groups = [(want,) for want in button_wants(body.setup.game) if not want.verb.deliberate]
    groups = [group for group in groups if group[0].verb.name not in taken]
    directions = [ways_of(verb) for verb in sticks.left]
    hasty = [group for group in groups if group[0].verb.in_haste]
    calm = [group for group in groups if group not in hasty]
    steered_first = bool(directions) and directions[0][0].verb.in_haste
    ordered = [*directions, *groups] if steered_first else [*hasty, *directions, *calm]
    for group in ordered:
        if len(group) <= len(free):
            for slot, want in handed(free, group):
                draft.give(BASE, slot, want)
            taken.append(group[0].verb.name)
    return taken, set(taken)


def _helpers_part(setup: Setup, rest: list[Verb]) -> dict[str, Doing] | None:
    """What the helper's devices do, so that all of the rest is had; None: it is too much."""
    bindings: dict[str, Doing] = {device.name: Same() for device in helpers_gamepads(setup)}
    single = body_of(setup, helper=True)
    sticks = list(single.sticks)
    free = list(single.slots)
    groups: list[tuple[Want, ...]] = []
    for verb in rest:
        if verb.use is not Use.STEERED:
            groups.append((Want(verb),))
        elif sticks:
            bindings[word_of(sticks.pop(0), setup)] = Stick(verb.name)
        else:
            groups.append(ways_of(verb))
    for group in groups:
        if len(group) <= len(free):
            for slot, want in handed(free, group):
                bindings[slot.word] = given(setup, want, can_hold=slot.can_hold)
        elif not helpers_gamepads(setup):
            return None
    return {**bindings, **_spares(setup, sticks, free)}


def _spares(setup: Setup, sticks: list[FoundControl], free: list[Slot]) -> dict[str, Doing]:
    """What the helper has left over: one control ends everything, the others call."""
    slots = [*free, *(directions(stick, setup)[0] for stick in sticks)]
    used = {word_of(slot.control, setup) for slot in slots}
    spare: dict[str, Doing] = {}
    for slot in slots:
        control = word_of(slot.control, setup)
        if control in used:
            used.remove(control)
            spare[slot.word] = Call(SPARE) if spare else EverythingOff()
    return spare


def joined(plan: Plan, setup: Setup) -> Plan:
    """The same plan with a helper who can do everything too, and steps back when the player acts.

    A helper's single controls take over what the player has to go the farthest for.
    """
    if not setup.helpers_devices:
        return plan
    bindings: dict[str, Doing] = {device.name: Same() for device in helpers_gamepads(setup)}
    single = body_of(setup, helper=True)
    steered = stick_verbs(setup.game)
    at_hand = {getattr(doing, "word", "") for doing in plan.layers[0].bindings.values()}
    wants = sorted(
        button_wants(setup.game), key=lambda want: (want.word in at_hand, want.verb.deliberate)
    )
    for stick, verb in zip(single.sticks, steered, strict=False):
        bindings[word_of(stick, setup)] = Stick(verb.name)
    for slot, want in zip(single.slots, wants, strict=False):
        bindings[slot.word] = given(setup, want, can_hold=slot.can_hold)
    bindings |= _spares(
        setup, list(single.sticks[len(steered) :]), list(single.slots[len(wants) :])
    )
    base = plan.layers[0]
    whole = replace(base, bindings={**base.bindings, **bindings})
    helper = names(setup)[1]
    return with_rules(
        replace(
            plan,
            layers=(whole, *plan.layers[1:]),
            plays=f"{plan.plays} {sentence(helper)} can join in at any time.",
        ),
        setup,
    )


def with_rules(plan: Plan, setup: Setup) -> Plan:
    """The plan with rules for what both can move: the player first."""
    if not (helpers_gamepads(setup) or body_of(setup, helper=True).sticks):
        return plan
    moved = {
        verb.name: f"{{rule: player-first, after-player: {_AFTER_PLAYER}}}"
        for verb in stick_verbs(setup.game)
        if verb.pad != "dpad" and _player_moves(plan, setup, verb)
    }
    return replace(plan, merge=moved)


def _player_moves(plan: Plan, setup: Setup, verb: Verb) -> bool:
    helpers = {device.name for device in setup.helpers_devices}
    helpers |= {
        word_of(each, setup) for each in setup.controls if each not in setup.players_controls
    }
    return any(
        verb.name in doing.written.replace(".", " ").replace(",", " ").replace("}", " ").split()
        for _, control, doing in plan.doings()
        if control not in helpers and control.rpartition(".")[0] not in helpers
    )


def names(setup: Setup) -> tuple[str, str]:
    """What the player and the helper are called."""
    player = next((each.name for each in setup.people if not each.helper), "")
    helper = next((each.name for each in setup.people if each.helper), "")
    return player or "the player", helper or "the helper"
