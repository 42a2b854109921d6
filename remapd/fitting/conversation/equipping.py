"""A plan on the real things: what was borrowed is pressed or moved, and takes its place."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from remapd.fitting.borrowing import swap_devices
from remapd.fitting.conversation.amending import Amending
from remapd.fitting.conversation.controls import (
    ask_about_device,
    ask_controls,
    ask_kind,
    ask_try,
    in_words,
    what_it_is,
)
from remapd.fitting.conversation.found import Found
from remapd.fitting.conversation.interview import Outcome, Places, ask_layout, ask_path
from remapd.fitting.conversation.placing import ask_places
from remapd.fitting.conversation.questions import Find, Heading, Interview, Option, Say
from remapd.fitting.identity import Identity
from remapd.fitting.setup import FoundControl, Person, Setup
from remapd.fitting.writing import layout_text, trials_text


def equipping(plan: Setup, places: Places) -> Interview[Outcome]:
    """The interview of `remapd fit NAME.plan.json`."""
    yield Heading(f"{plan.title}, with the real things")
    yield Say(
        "The plan is kept: people, movements and what the game needs. Each thing that was borrowed "
        "is pressed or moved once. What is not here yet keeps its stand-in, and can follow later."
    )
    found = Found()
    found.reserved = tuple(control.name for control in plan.controls)
    real: dict[str, FoundControl] = {}
    for number, control in enumerate(plan.controls, 1):
        device = plan.device(control.device)
        if device.stand_in and not device.gamepad:
            person = next(
                (each for each in plan.people if each.name == device.person), plan.people[0]
            )
            taken = yield from _ask_real(found, control, person, f"real-{number}")
            if taken is not None:
                real[control.name] = taken
    for number, device in enumerate(plan.devices, 1):
        if device.stand_in and device.gamepad:
            helper = next(each for each in plan.people if each.name == device.person)
            yield from ask_controls(found, helper, f"-pad-{number}")
    setup = _real_setup(plan, found, real)
    keys = {device.name: key for key, device in found.devices.items()}
    everything = Found(
        {keys.get(device.name, device.name): device for device in setup.devices},
        list(setup.controls),
    )
    setup, proposal = yield from ask_layout(
        setup.title,
        Amending(everything, setup.people, ask_controls),
        setup.game,
        two_at_once=setup.two_at_once,
    )
    setup = yield from ask_places(setup)
    path = yield from ask_path(places, setup.title)
    return Outcome(setup, layout_text(setup, proposal), trials_text(setup, proposal), path)


def _real_setup(plan: Setup, found: Found, real: dict[str, FoundControl]) -> Setup:
    """The plan with what was found; a helper's real gamepad replaces the one that stood in."""
    setup = swap_devices(plan, real, found.devices.values())
    helpers = {person.name for person in plan.people if person.helper}
    if any(device.person in helpers for device in found.devices.values()):
        kept = tuple(
            device
            for device in setup.devices
            if not (device.stand_in and device.gamepad and device.person in helpers)
        )
        names = {device.name for device in kept}
        more = tuple(each for each in found.devices.values() if each.name not in names)
        setup = replace(
            setup,
            devices=(*kept, *more),
            controls=(*setup.controls, *found.controls),
        )
    return setup


def _ask_real(
    found: Found, planned: FoundControl, person: Person, number: str
) -> Interview[FoundControl | None]:
    """The real control in the place of a planned one; None: it is not here yet."""
    times = 0
    while True:
        times += 1
        name = f"{number}-{times}"
        answer: Any = yield Find(
            f"find-{name}",
            f"{planned.movement or planned.name}: press or move what was borrowed for it.",
            (Option("later", "it is not here yet"),),
            frozenset(found.left_alone),
        )
        if answer == "later":
            return None
        heard = dict(answer)
        identity = Identity.from_data(heard["device"])
        if identity.key not in found.devices:
            wanted = yield from ask_about_device(found, identity, person, name, heard)
            if not wanted:
                continue
        kind, codes = yield from ask_kind(identity, heard, name)
        if (identity.key, codes) in found.used:
            yield Say("That stands for another movement already.")
            continue
        found.used.add((identity.key, codes))
        yield Say(what_it_is(identity, kind, codes, heard))
        device = found.add_device(identity, person)
        control = FoundControl(
            planned.name,
            device,
            kind,
            codes,
            reliable=planned.reliable,
            can_hold=planned.can_hold,
            movement=planned.movement,
        )
        control, _presses_us = yield from ask_try(control, identity.key, name)
        kept = {
            key: value
            for key, value in planned.settings.items()
            if key in {"acceptance-delay", "release-delay", "repeat-guard", "steady"}
            and (key == "steady") == (kind != "button")
        }
        control = replace(control, settings={**kept, **control.settings})
        yield Say(in_words(control, identity.told))
        return control
