"""The whole fitting: people, controls, the game, the layout, and where it is written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from remapd.analysis.check import check
from remapd.analysis.report_text import report_text
from remapd.fitting.conversation.amending import Amending, ask_amendments
from remapd.fitting.conversation.choosing import CONTROLS, GAME, ask_proposal
from remapd.fitting.conversation.controls import ask_controls
from remapd.fitting.conversation.found import Found
from remapd.fitting.conversation.game import ask_game
from remapd.fitting.conversation.placing import ask_places
from remapd.fitting.conversation.questions import (
    Choose,
    Heading,
    Interview,
    Option,
    Write,
    yes_or_no,
)
from remapd.fitting.file_lines import listed
from remapd.fitting.games import GameNeeds
from remapd.fitting.plans import Proposal
from remapd.fitting.setup import Person, Setup
from remapd.fitting.writing import layout_text, trials_text
from remapd.language import load_text

#: What stands behind the name of an old file that a new one took the place of.
BEFORE: Final = ".before"
PLAYER: Final = "the player"
HELPER: Final = "the helper"
_LONGEST_PERSON: Final = 60


@dataclass(frozen=True, slots=True)
class Places:
    """Where a layout may be written.

    Attributes:
        wanted: The file that was named when the fitting began, or the folder, or nothing.
        propose: A path for a title.
        fault: What is wrong with a path, None for nothing.
        taken: The files that are there already and would be written over.
    """

    wanted: str
    propose: Callable[[str], str]
    fault: Callable[[str], str | None]
    taken: Callable[[str], tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a fitting: texts to write, and where."""

    setup: Setup
    layout: str
    trials: str
    path: str


def fitting(places: Places) -> Interview[Outcome]:
    """The interview of `remapd fit`."""
    yield Heading("Part 1 of 5: who plays what")
    title, people = yield from ask_title_and_people()
    found = Found()
    yield Heading("Part 2 of 5: what can be pressed and moved")
    for person in people:
        yield from ask_controls(found, person)
    amending = Amending(found, people, ask_controls)
    yield from ask_amendments(amending, "")
    two_at_once = yield from ask_two_at_once(found, people, "")
    yield Heading("Part 3 of 5: what the game needs")
    game = yield from ask_game()
    setup, proposal = yield from ask_layout(title, amending, game, two_at_once=two_at_once)
    yield Heading("Part 5 of 5: the card and the file")
    setup = yield from ask_places(setup)
    path = yield from ask_path(places, title)
    return Outcome(setup, layout_text(setup, proposal), trials_text(setup, proposal), path)


def ask_title_and_people() -> Interview[tuple[str, tuple[Person, ...]]]:
    """The title of the layout, and who plays."""
    title = yield Write(
        "title",
        "What shall the layout be called? The game and who plays it, say.",
        ("My layout", "Our game", "A first try"),
        lambda words: None if len(words) <= 80 else "that is too long; some words will do",
        "The title is shown on the card and on the screens. It need not have anybody's real name.",
    )
    who = yield Choose(
        "people",
        "Who plays?",
        (
            Option("one", "one player alone"),
            Option("two", "a player, and a helper who joins in"),
        ),
        "one",
        "A helper has controls of their own; both together are one gamepad to the game. "
        "What the helper may do, and when, can be said in the layout.",
    )
    player = yield from _ask_person("player", PLAYER)
    people = [Person(player)]
    if who == "two":
        helper = yield from _ask_person("helper", HELPER, player)
        people.append(Person(helper, helper=True))
    return str(title), tuple(people)


def _ask_person(role: str, usual: str, other: str = "") -> Interview[str]:
    def fault(words: str) -> str | None:
        if len(words) > _LONGEST_PERSON:
            return "that is too long; a first name will do"
        if words.casefold() == other.casefold():
            return "the player is called that already; another word for the helper, please"
        return None

    name = yield Write(
        f"name-of-{role}",
        f"What is the {role} called? A first name, a nickname, or nothing.",
        (usual,),
        fault,
        about="The name stands in the notes of the layout, on this computer, and nowhere else.",
        first_is_usual=True,
    )
    return str(name)


def ask_two_at_once(found: Found, people: tuple[Person, ...], round_name: str) -> Interview[bool]:
    """Whether the player can do two things at the same time."""
    player = people[0]
    own = [
        control
        for control in found.controls
        if any(d.name == control.device and d.person == player.name for d in found.devices.values())
    ]
    if len(own) < 2:
        return False
    return (
        yield from yes_or_no(
            f"two-at-once{round_name}",
            f"Can {player.name} surely do two of these at the same time, such as pressing one "
            "while another is held?",
            about="Where the answer is no, nothing in the layout asks for it.",
        )
    )


def ask_layout(
    title: str, amending: Amending, game: GameNeeds, *, two_at_once: bool
) -> Interview[tuple[Setup, Proposal]]:
    """The way to lay it out; the game and the controls may still be changed."""
    found, people = amending.found, amending.people
    times = 0
    while True:
        times += 1
        round_name = "" if times == 1 else f"-round-{times}"
        yield Heading("Part 4 of 5: the layout")
        setup = Setup(
            title, people, tuple(found.devices.values()), tuple(found.controls), game, two_at_once
        )

        def show_check(proposal: Proposal, setup: Setup = setup) -> str:
            return check_in_words(layout_text(setup, proposal))

        chosen = yield from ask_proposal(setup, round_name, show_check)
        if isinstance(chosen, Proposal):
            return setup, chosen
        next_round = f"-round-{times + 1}"
        if chosen == GAME:
            game = yield from ask_game(next_round)
        elif chosen == CONTROLS:
            yield from ask_amendments(amending, next_round)
            two_at_once = yield from ask_two_at_once(found, people, next_round)


def check_in_words(text: str) -> str:
    """What `remapd check` says of a layout."""
    loaded = load_text(text, "the layout")
    if loaded.layout is None:
        raise ValueError(f"a layout of ours has an error: {loaded.errors[0].message}")
    report = check(loaded.layout)
    return report_text(report, "The check", ["" for _ in report.findings], everything=False)


def ask_path(places: Places, title: str) -> Interview[str]:
    """Where the layout is written."""
    number = 0
    while True:
        number += 1
        proposed = places.propose(title)
        path = yield Write(
            f"path-{number}",
            "Where shall it be written?",
            (proposed,),
            places.fault,
            "A layout is a text file; its trials stand beside it. Enter takes the one proposed.",
            first_is_usual=True,
        )
        taken = places.taken(path)
        if not taken:
            return str(path)
        one = len(taken) == 1
        replaced = yield from yes_or_no(
            f"replace-{number}",
            f"{listed(taken)} {'is' if one else 'are'} there already. Put the new "
            f"{'one' if one else 'ones'} in {'its' if one else 'their'} place? Nothing is lost: "
            "`remapd undo` brings an old layout back, and any other old file is kept beside it, "
            f"with {BEFORE} behind its name.",
        )
        if replaced:
            return str(path)
