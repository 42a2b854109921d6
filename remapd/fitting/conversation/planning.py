"""Before anything is bought or borrowed: movements alone, with keys that stand in for them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from remapd.fitting.borrowing import borrowing_text, to_borrow
from remapd.fitting.conversation.amending import Amending, AskControls, ask_amendments
from remapd.fitting.conversation.controls import ask_body, ask_name
from remapd.fitting.conversation.found import Found
from remapd.fitting.conversation.game import ask_game
from remapd.fitting.conversation.interview import (
    Outcome,
    Places,
    ask_layout,
    ask_path,
    ask_title_and_people,
    ask_two_at_once,
)
from remapd.fitting.conversation.questions import (
    Choose,
    Heading,
    Interview,
    Key,
    Option,
    Play,
    Say,
    yes_or_no,
)
from remapd.fitting.games import WAYS, name_from
from remapd.fitting.setup import FoundControl, Kind, Person
from remapd.fitting.writing import layout_text, trials_text

_DOES: Final[tuple[tuple[Kind, str], ...]] = (
    ("button", "press or push something"),
    ("stick", "push a stick to all sides"),
    ("lever", "press by degrees, as a pedal, or blow"),
    ("pointer", "roll a ball about"),
)
_STAND_INS: Final[dict[Kind, str]] = {
    "button": "switches",
    "stick": "stick",
    "lever": "lever",
    "pointer": "ball",
}
#: Codes for switches that are still to be had, more than anybody has movements.
_BUTTONS: Final = (
    *((f"BTN_{number}",) for number in range(10)),
    *((f"BTN_TRIGGER_HAPPY{number}",) for number in range(1, 41)),
)


@dataclass(frozen=True, slots=True)
class Planned:
    """What came of a plan: its layout, and what to borrow as text."""

    outcome: Outcome
    borrow: str


@dataclass(slots=True)
class _Keys:
    """Which letter stands in for which button or direction."""

    letters: list[tuple[str, str]]

    def fault(self, letter: str) -> str | None:
        """What is wrong with a letter."""
        if not letter.isprintable():
            return "that key types nothing"
        if any(letter == other for other, _ in self.letters):
            return "that key stands for something already"
        return None

    def renamed(self, old: str, new: str | None) -> None:
        """A control has another name now, or is out and leaves its keys."""
        kept = []
        for letter, name in self.letters:
            control, dot, way = name.partition(".")
            if control != old:
                kept.append((letter, name))
            elif new is not None:
                kept.append((letter, f"{new}{dot}{way}"))
        self.letters = kept


def planning(places: Places) -> Interview[Planned]:
    """The interview of `remapd fit --plan`."""
    yield Heading("Part 1 of 5: who plays what")
    title, people = yield from ask_title_and_people()
    found = Found()
    keys = _Keys([])
    yield Heading("Part 2 of 5: which movements there are")
    yield Say(
        "Any movement counts that comes when it is wanted: a knee that leans, a chin, a breath. "
        "Nothing has to be plugged in. Keys of this keyboard stand in for trying."
    )
    player = people[0]
    yield from _ask_movements(found, keys, player)
    for helper in people[1:]:
        yield from _ask_helper(found, helper)
    amending = Amending(found, people, _more_movements(keys), keys.renamed)
    yield from ask_amendments(amending, "")
    two_at_once = yield from ask_two_at_once(found, people, "")
    yield Heading("Part 3 of 5: what the game needs")
    game = yield from ask_game()
    setup, proposal = yield from ask_layout(title, amending, game, two_at_once=two_at_once)
    text = layout_text(setup, proposal)
    yield Heading("Trying it")
    yield Play(
        "play",
        "Now try it: each key stands for a movement. What the game would get is told.",
        text,
        tuple(keys.letters),
    )
    yield Heading("Part 5 of 5: what to borrow")
    borrow = borrowing_text(to_borrow(setup))
    yield Say(borrow, as_is=True)
    path = yield from ask_path(places, title)
    return Planned(Outcome(setup, text, trials_text(setup, proposal), path), borrow)


def _ask_helper(found: Found, helper: Person, round_name: str = "") -> Interview[None]:
    has_pad = yield from yes_or_no(
        f"helper-pad{round_name}", f"Will {helper.name} have a gamepad of their own?", "yes"
    )
    if has_pad:
        found.add_stand_in("helper-pad", {"shape": "gamepad"}, "a gamepad", helper, gamepad=True)


def _more_movements(keys: _Keys) -> AskControls:
    def ask(found: Found, person: Person, round_name: str) -> Interview[None]:
        if person.helper:
            yield from _ask_helper(found, person, round_name)
        else:
            yield from _ask_movements(found, keys, person, round_name)

    return ask


def _ask_movements(
    found: Found, keys: _Keys, person: Person, round_name: str = ""
) -> Interview[None]:
    number = 0
    while True:
        number += 1
        name = f"{number}{round_name}"
        yield from _ask_movement(found, keys, person, name)
        more = yield Choose(
            f"more-{name}",
            f"Is there another movement that {person.name} can make?",
            (Option("more", "yes, another one"), Option("done", "no, that is all")),
        )
        if more == "done":
            return


def _ask_movement(found: Found, keys: _Keys, person: Person, number: str) -> Interview[None]:
    words = yield from ask_name(
        found,
        "button",
        number,
        f"Which movement can {person.name} make? Say which part of the body moves.",
    )
    kind: Kind = yield Choose(
        f"does-{number}",
        f"What could {words} do?",
        tuple(Option(kind, label) for kind, label in _DOES),
        about="Nothing has to be there yet: what the movement is able to do is asked.",
    )
    codes = _codes(found, kind)
    word = _STAND_INS[kind]
    device = found.add_stand_in(
        word if kind == "button" else f"{word} {name_from(words)}",
        {"name": f"To be had: {word}"},
        f"{word} that stand in" if kind == "button" else f"a {word} that stands in",
        person,
        own=kind != "button",
    )
    settings = {"full-speed": "600/s"} if kind == "pointer" else {}
    control = FoundControl(name_from(words), device, kind, codes, settings=settings, movement=words)
    control = yield from ask_body(control, number)
    if kind != "button":
        small = yield from yes_or_no(
            f"small-{number}", "Is it a small movement, of which most devices want more?"
        )
        control = replace(control, small_range=small)
    found.add_control(control)
    yield from _ask_keys(keys, control, number)


def _codes(found: Found, kind: Kind) -> tuple[str, ...]:
    """Codes of a device that is still to be had: its own are found when it is there."""
    if kind == "button":
        taken = {control.codes for control in found.controls}
        return next((codes for codes in _BUTTONS if codes not in taken), _BUTTONS[-1])
    return {
        "stick": ("ABS_X", "ABS_Y"),
        "lever": ("ABS_Z",),
        "pointer": ("REL_X", "REL_Y"),
    }[kind]


def _ask_keys(keys: _Keys, control: FoundControl, number: str) -> Interview[None]:
    if control.kind in {"button", "lever"}:
        letter = yield Key(
            f"key-{number}",
            f"Press a key that stands in for {control.name} when the layout is tried.",
            keys.fault,
        )
        name = control.name if control.kind == "button" else f"{control.name}.high"
        keys.letters.append((letter, name))
        return
    for way in WAYS:
        letter = yield Key(
            f"key-{number}-{way}",
            f"Press a key that stands in for {control.name}, {way}.",
            keys.fault,
        )
        keys.letters.append((letter, f"{control.name}.{way}"))
