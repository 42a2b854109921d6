"""What has been found, looked over: a control is taken out, called otherwise, or tried again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, TypeAlias

from remapd.fitting.conversation.controls import (
    ask_body,
    ask_name,
    ask_try,
    control_in_words,
    in_words,
)
from remapd.fitting.conversation.found import Found
from remapd.fitting.conversation.questions import Choose, Interview, Option, Say
from remapd.fitting.games import name_from
from remapd.fitting.setup import FoundControl, FoundDevice, Person

#: Asks for controls of a person, in a round of questions with a name of its own.
AskControls: TypeAlias = Callable[[Found, Person, str], Interview[None]]
#: Is told that a control has another name now, or is out (None).
Renamed: TypeAlias = Callable[[str, str | None], None]

#: What only the people say of a control; a try shows the other settings.
_SAID: Final = ("acceptance-delay", "release-delay", "repeat-guard", "steady")
_WHICH: Final = {
    "remove": "Which one shall be taken out?",
    "rename": "Which one shall be called something else?",
    "retry": "Which one shall be tried again?",
}


@dataclass(frozen=True, slots=True)
class Amending:
    """What there is to look over, and how more of it is asked for."""

    found: Found
    people: tuple[Person, ...]
    more: AskControls
    renamed: Renamed = lambda _old, _new: None


def ask_amendments(amending: Amending, round_name: str) -> Interview[None]:
    """Shows all that was found, and lets it be changed until it is right."""
    found = amending.found
    times = 0
    while True:
        times += 1
        number = f"{times}{round_name}"
        player = amending.people[0]
        if not _controls_of(found, player):
            yield Say(f"Now there is nothing that {player.name} could play with.")
            yield from amending.more(found, player, f"-more-{number}")
            continue
        yield Say("All that was found:")
        yield Say("\n".join(f"  - {line}" for line in _listed(amending)), as_is=True)
        what = yield Choose(
            f"amend-{number}",
            "Is that right?",
            (
                Option("good", "yes, go on"),
                Option("more", "there is one more"),
                Option("remove", "one of them shall be taken out"),
                Option("rename", "one of them shall be called something else"),
                Option("retry", "one of them shall be tried again"),
                *_to_hear_again(found),
            ),
            "good",
            "What is taken out can be found again. The same can be changed once the ways to lay it "
            "out have been shown.",
        )
        if what == "good":
            return
        yield from _change(amending, str(what), number)


def _to_hear_again(found: Found) -> list[Option]:
    return [
        Option(f"hear {number}", f"{told}, which is left alone, is to be played with")
        for number, told in enumerate(found.left_alone.values(), 1)
    ]


def _change(amending: Amending, what: str, number: str) -> Interview[None]:
    found = amending.found
    if what.startswith("hear "):
        key = list(found.left_alone)[int(what.removeprefix("hear ")) - 1]
        del found.left_alone[key]
    if what == "more" or what.startswith("hear "):
        person = yield from _ask_whose(amending.people, number)
        yield from amending.more(found, person, f"-more-{number}")
        return
    pads = [device for device in found.devices.values() if device.gamepad]
    names = [control.name for control in found.controls]
    options = [Option(name, name) for name in names]
    if what == "remove":
        options += [Option(_pad_word(pad), _pad_in_words(pad)) for pad in pads]
    if not options:
        yield Say("That can be done with single controls, and only whole gamepads are there.")
        return
    which = options[0].word
    if len(options) > 1:
        which = yield Choose(f"amend-which-{number}", _WHICH[what], tuple(options))
    pad = next((each for each in pads if _pad_word(each) == which), None)
    if pad is not None:
        found.remove_device(pad.name)
        yield Say(f"{pad.told} is taken out.")
        return
    control = next(each for each in found.controls if each.name == which)
    if what == "remove":
        found.remove_control(control)
        amending.renamed(control.name, None)
        yield Say(f"{control.name} is taken out.")
    elif what == "rename":
        yield from _rename(amending, control, number)
    else:
        yield from _try_again(amending, control, number)


def _rename(amending: Amending, control: FoundControl, number: str) -> Interview[None]:
    found = amending.found
    words = yield from ask_name(
        found, control.kind, f"amend-{number}", f"What shall {control.name} be called?"
    )
    new = found.rename_control(control, name_from(words), words)
    amending.renamed(control.name, new.name)
    yield Say(f"{control.name} is called {new.name} from now on.")


def _try_again(amending: Amending, control: FoundControl, number: str) -> Interview[None]:
    found = amending.found
    key, device = found.device_of(control)
    person = next((each for each in amending.people if each.name == device.person), None)
    said = {name: value for name, value in control.settings.items() if name not in _SAID}
    again = control_as_found(control, said)
    presses_us: tuple[int, ...] = ()
    if not device.stand_in:
        again, presses_us = yield from ask_try(again, key, f"amend-{number}")
    if person is None or not person.helper:
        again = yield from ask_body(
            again, f"amend-{number}", presses_us, pulses=(key, control.codes) in found.pulsing
        )
    found.replace_control(control, again)
    yield Say(in_words(again, device.told))


def control_as_found(control: FoundControl, settings: dict[str, str]) -> FoundControl:
    """The control before anything was said of the body behind it."""
    return FoundControl(
        control.name,
        control.device,
        control.kind,
        control.codes,
        settings=settings,
        small_range=control.small_range,
        movement=control.movement,
        place=control.place,
    )


def _ask_whose(people: tuple[Person, ...], number: str) -> Interview[Person]:
    if len(people) == 1:
        return people[0]
    whose = yield Choose(
        f"amend-whose-{number}",
        "Who will use it?",
        tuple(Option("helper" if each.helper else "player", each.name) for each in people),
    )
    return next(each for each in people if each.helper == (whose == "helper"))


def _controls_of(found: Found, person: Person) -> list[FoundControl]:
    return [
        control for control in found.controls if found.device_of(control)[1].person == person.name
    ]


def _listed(amending: Amending) -> list[str]:
    found = amending.found
    helpers = {person.name for person in amending.people if person.helper}
    lines = []
    for control in found.controls:
        device = found.device_of(control)[1]
        whose = f" ({device.person}'s)" if device.person in helpers else ""
        lines.append(f"{control_in_words(control, device.told)}{whose}")
    lines += [
        f"{_pad_in_words(device)} ({device.person}'s)"
        for device in found.devices.values()
        if device.gamepad
    ]
    return lines


def _pad_word(device: FoundDevice) -> str:
    return f"all of {device.name}"


def _pad_in_words(device: FoundDevice) -> str:
    return f"{device.told}, all of it"
