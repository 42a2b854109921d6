"""Where the controls are as the player sees them, for the card: guessed from names, and asked."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from remapd.fitting.body import word_of
from remapd.fitting.conversation.questions import Choose, Interview, Option, Say
from remapd.fitting.places import LEFT, MIDDLE, RIGHT, place_of, places_of
from remapd.fitting.setup import FoundControl, Setup

#: The rows of the card by what is there, from the head down.
_ROWS: Final = (
    Option("1", "at the head or cheek"),
    Option("2", "at the mouth or chin"),
    Option("3", "at the shoulder or elbow"),
    Option("4", "at the hand, or on a table before it"),
    Option("5", "at the hip or knee"),
    Option("6", "at the foot"),
)
_SIDES: Final = (
    Option(str(LEFT), "on the left"),
    Option(str(MIDDLE), "in the middle"),
    Option(str(RIGHT), "on the right"),
)
_SIDE_WORDS: Final = {LEFT: "on the left", MIDDLE: "in the middle", RIGHT: "on the right"}


def ask_places(setup: Setup) -> Interview[Setup]:
    """The setup with the places that were said; Enter alone keeps what the names tell."""
    if len(setup.players_controls) < 2:
        return setup
    times = 0
    while True:
        times += 1
        unknown = [each for each in setup.players_controls if place_of(each) is None]
        if unknown:
            names = ", ".join(word_of(each, setup) for each in unknown)
            yield Say(
                f"The card for the wall can show each control where the player sees it. Where "
                f"{names} {'is' if len(unknown) == 1 else 'are'} cannot be told from the name. "
                "Until it is said, the card shows box by box."
            )
        else:
            yield Say(
                "The card for the wall shows each control where the player sees it. "
                "From the top down:"
            )
            yield Say("\n".join(f"  - {line}" for line in _rows(setup)), as_is=True)
        what = yield Choose(
            f"place-{times}",
            "Is that how it shall be shown?",
            (
                Option("good", "yes, go on"),
                Option("say", "no, say where they are")
                if unknown
                else Option("move", "one of them is somewhere else"),
            ),
            "good",
            "Only the card follows this; how it plays does not change.",
        )
        if what == "good":
            return setup
        if what == "say":
            moved = unknown
        else:
            word = yield Choose(
                f"place-which-{times}",
                "Which one?",
                tuple(
                    Option(word_of(each, setup), word_of(each, setup))
                    for each in setup.players_controls
                ),
            )
            moved = [each for each in setup.players_controls if word_of(each, setup) == word]
        for number, control in enumerate(moved, 1):
            setup = yield from _ask_place(setup, control, f"{times}-{number}")


def _ask_place(setup: Setup, control: FoundControl, number: str) -> Interview[Setup]:
    now = place_of(control)
    word = word_of(control, setup)
    row = yield Choose(
        f"place-row-{number}",
        f"Where is {word}?",
        _ROWS,
        None if now is None else str(now[1]),
    )
    column = yield Choose(
        f"place-side-{number}",
        "On which side, as the player sees it?",
        _SIDES,
        str(MIDDLE if now is None else min(now[0], RIGHT)),
    )
    placed = replace(control, place=(int(column), int(row)))
    return replace(
        setup, controls=tuple(placed if each is control else each for each in setup.controls)
    )


def _rows(setup: Setup) -> list[str]:
    """As in `left-knee on the left, right-knee on the right`, a line for each row of the card."""
    places = places_of(setup)
    rows: dict[int, list[tuple[int, str]]] = {}
    for word, (column, row) in places.items():
        rows.setdefault(row, []).append((column, word))
    return [
        ", ".join(
            f"{word} {_SIDE_WORDS.get(column, 'farther right')}"
            for column, word in sorted(rows[row])
        )
        for row in sorted(rows)
    ]
