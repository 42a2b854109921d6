"""Where controls are on the card, guessed from the words for the movement."""

from __future__ import annotations

import re
from typing import Final

from remapd.fitting.body import word_of
from remapd.fitting.setup import FoundControl, Setup

#: Rows of the card from the head down. Words that begin so count: `elbow`, `elbows`.
_ROWS: Final = (
    (1, ("head", "cheek", "temple", "brow", "eye", "ear")),
    (2, ("mouth", "chin", "lip", "tongue", "sip", "puff", "breath", "jaw", "neck")),
    (3, ("shoulder", "elbow", "arm", "forearm")),
    (4, ("hand", "wrist", "finger", "thumb", "fist", "palm", "knuckle")),
    (5, ("hip", "thigh", "knee", "leg")),
    (6, ("foot", "toe", "heel", "ankle", "sole")),
)
LEFT: Final = 1
MIDDLE: Final = 2
RIGHT: Final = 3
_COLUMNS: Final = {"left": LEFT, "right": RIGHT}


def guessed(movement: str) -> tuple[int, int] | None:
    """Column and row of a movement as the player sees it; None where the words say nothing."""
    words = re.findall(r"[a-z]+", movement.lower())
    row = next((row for row, parts in _ROWS for word in words if word.startswith(parts)), None)
    if row is None:
        return None
    return next((_COLUMNS[word] for word in words if word in _COLUMNS), MIDDLE), row


def place_of(control: FoundControl) -> tuple[int, int] | None:
    """Column and row of a control: as was said, or as its name tells."""
    return control.place or guessed(control.movement)


def places_of(setup: Setup) -> dict[str, tuple[int, int]]:
    """A place for each of the player's controls, all or none, no two the same, from row 1 on."""
    controls = setup.players_controls
    wanted: dict[str, tuple[int, int]] = {}
    for control in controls:
        place = place_of(control)
        if place is None:
            return {}
        wanted[word_of(control, setup)] = place
    return _compact(_apart(wanted, controls, setup))


def _apart(
    wanted: dict[str, tuple[int, int]], controls: tuple[FoundControl, ...], setup: Setup
) -> dict[str, tuple[int, int]]:
    """The same with those that want one place beside each other."""
    taken: dict[tuple[int, int], str] = {}
    told = {word_of(each, setup): each.place is not None for each in controls}
    for word in sorted(wanted, key=lambda word: not told[word]):
        column, row = wanted[word]
        while (column, row) in taken:
            column += 1
        taken[column, row] = word
    at = {word: place for place, word in taken.items()}
    return {word: at[word] for word in wanted}


def _compact(places: dict[str, tuple[int, int]]) -> dict[str, tuple[int, int]]:
    rows = sorted({row for _, row in places.values()})
    return {word: (column, rows.index(row) + 1) for word, (column, row) in places.items()}
