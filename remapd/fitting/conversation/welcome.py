"""How a sitting begins: what it does, how to answer, and whether to go on with another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from remapd.codes import KEYS
from remapd.fitting.conversation.dialogue import Switch
from remapd.fitting.conversation.questions import (
    Choose,
    Find,
    Heading,
    Interview,
    Option,
    Say,
    yes_or_no,
)
from remapd.fitting.identity import Identity

CAUTIONS: Final = (
    "Stop at pain, tingling or numbness, and rest before it tires. Look at the skin where "
    "something presses or is strapped on. Keep cords away from necks, beds and wheels. Where to "
    "mount a switch is for the therapist to say; local rules come first."
)


@dataclass(frozen=True, slots=True)
class Beginning:
    """What is known when a sitting begins.

    Attributes:
        about: What the sitting is for, a paragraph.
        broken_off: The day of an earlier sitting that was broken off; empty for none.
        title: The title that it had.
        found: The names of the controls that it had found.
        daemon_plays: Whether a running daemon has devices for itself alone.
        notes: What else there is to say, such as devices that may not be read.
    """

    about: str
    broken_off: str = ""
    title: str = ""
    found: Sequence[str] = ()
    daemon_plays: bool = False
    notes: Sequence[str] = ()


@dataclass(frozen=True, slots=True)
class Welcomed:
    """How to go on: the switch that answers, if one does; and what was agreed to."""

    switch: Switch | None
    goes_on: bool
    pauses: bool


def welcome(beginning: Beginning) -> Interview[Welcomed]:
    """The interview before the interview."""
    yield Heading("Fitting a set-up")
    yield Say(beginning.about)
    yield Say(CAUTIONS)
    for note in beginning.notes:
        yield Say(note)
    switch = yield from _ask_how()
    if switch is not None:
        yield Say(
            "Each answer is named, one after another. Press when the right one is named. Hold the "
            "switch for two seconds, or press another one, to go back."
        )
    goes_on = False
    if beginning.broken_off:
        names = f" ({', '.join(beginning.found)})" if beginning.found else ""
        title = f", “{beginning.title}”" if beginning.title else ""
        what = yield Choose(
            "go-on",
            f"A fitting of {beginning.broken_off}{title}{names} was broken off. Go on with it?",
            (Option("on", "go on with it"), Option("new", "begin anew; the old one is kept")),
            "on",
        )
        goes_on = what == "on"
    pauses = False
    if beginning.daemon_plays:
        pauses = yield from yes_or_no(
            "pause",
            "remapd is playing here and has devices for itself. May it pause meanwhile? "
            "It goes on afterwards.",
            "yes",
            "While it plays, the devices that it has cannot be heard.",
        )
    return Welcomed(switch, goes_on, pauses)


def _ask_how() -> Interview[Switch | None]:
    number = 0
    while True:
        number += 1
        answer: Any = yield Find(
            f"how-{number}",
            "Press Enter to answer at this keyboard. To answer everything with one switch, hold "
            "that switch for a second now.",
            (Option("go", "answer at this keyboard"),),
            about="`help`, `back`, `again` and `stop` can be typed at every question. "
            "Ctrl-C keeps what was found for another time.",
            usual="go",
        )
        if answer == "go":
            return None
        if answer["kind"] == "button":
            identity = Identity.from_data(answer["device"])
            return Switch(identity.key, KEYS[answer["codes"][0]])
        yield Say("That is no switch or button.")
