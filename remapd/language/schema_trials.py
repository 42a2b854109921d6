"""The schema of a file of trials, in the same vocabulary as that of a layout."""

from __future__ import annotations

from typing import Final

from remapd.language.kinds import (
    Field,
    FreeForm,
    Group,
    ListOf,
    Names,
    Quantity,
    Reference,
    Text,
    WholeNumber,
    Word,
)
from remapd.language.scalars import Family

_TIME: Final = Quantity(Family.DURATION, "0ms", "3600s")
SHARE: Final = Quantity(Family.SHARE, "-100%", "100%")
_CONTROL: Final = Reference(Names.BUTTON)
_PAD_CONTROL: Final = Reference(Names.BUTTON_OR_STICK)
_PAD_CONTROLS: Final = ListOf(_PAD_CONTROL, without_repeats=True)
_TO: Final = "how far: `[100%, 0%]` to the right and down for a stick or pointer, one share else"

#: What an input can be: the word, and which other settings go with it (those in capitals must be).
INPUT_VERBS: Final = {
    "press": ("for",),
    "release": (),
    "move": ("TO", "for"),
    "turn": ("TO", "FOR"),
    "count": ("BY",),
    "unplug": (),
    "plug": (),
}
EXPECT_VERBS: Final[dict[str, tuple[str, ...]]] = {
    "press": ("within",),
    "release": ("within",),
    "move": ("TO", "within", "give"),
}

INPUT: Final = Group(
    "a part of `input`",
    (
        Field("at", _TIME, "when, counted from the start of the trial", required=True),
        Field("press", _CONTROL, "a button, or a direction that is pushed fully"),
        Field("release", _CONTROL, "a button or direction that is let go"),
        Field("move", _CONTROL, "a stick, lever or pointer that is deflected"),
        Field("turn", _CONTROL, "a pointer that is turned, with counts as they come"),
        Field("count", _CONTROL, "a pointer that sends so many counts at once"),
        Field("unplug", _CONTROL, "a device that is pulled out"),
        Field("plug", _CONTROL, "a device that is plugged in again"),
        Field("to", FreeForm(), _TO),
        Field("by", ListOf(WholeNumber(-100_000, 100_000), 2, 2), "counts to the right and down"),
        Field("for", Quantity(Family.DURATION, "1ms", "3600s"), "how long; then it is let go"),
    ),
)
EXPECT: Final = Group(
    "a part of `expect`",
    (
        Field("at", _TIME, "when the change comes, counted from the start of the trial"),
        Field("settles-by", _TIME, "when it has got there, whatever the way"),
        Field("press", _PAD_CONTROL, "a button or trigger of the pad, or the verb for it"),
        Field("release", _PAD_CONTROL, "a button or trigger of the pad, or the verb for it"),
        Field("move", _PAD_CONTROL, "a stick or trigger of the pad, or the verb for it"),
        Field("to", FreeForm(), _TO),
        Field("within", _TIME, "how much earlier or later it may come", "0.5ms"),
        Field("give", Quantity(Family.SHARE, "0%", "100%"), "how far off it may be", "0.5%"),
    ),
)
TRIAL: Final = Group(
    "a trial",
    (
        Field("name", Text(), "what it shows, in a few words", required=True),
        Field("input", ListOf(INPUT), "what is done with the controls", required=True),
        Field("expect", ListOf(EXPECT, 0), "every change of the pad, or `[]`", required=True),
        Field("only", _PAD_CONTROLS, "the pad controls that are looked at", "all"),
        Field("never", _PAD_CONTROLS, "pad controls that must not come at all"),
        Field(
            "ends",
            Word({"held": "something is still pressed or moved at the end"}),
            "how it ends",
            "with the pad at rest",
        ),
    ),
)
TRIALS_FILE: Final = Group(
    "a file of trials", (Field("trials", ListOf(TRIAL), "the trials", required=True),)
)
