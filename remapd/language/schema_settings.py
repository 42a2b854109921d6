"""The schema of conditioning: how a control is made to fit a body before it counts.

Ranges are wide: they keep out what cannot be meant, not what is unusual. Defaults are those of the
engine's settings; a test compares them.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from remapd.language.kinds import (
    Either,
    Field,
    Group,
    ListOf,
    Number,
    Quantity,
    WholeNumber,
    Word,
)
from remapd.language.scalars import Family

#: Long enough for a rest on a switch, short enough to show a slip of the unit.
_FILTER_TIME = Quantity(Family.DURATION, "0ms", "10s")
_PRESS_SHARE = Quantity(Family.SHARE, "1%", "100%")
_CENTRE_SHARE = Quantity(Family.SHARE, "-99%", "99%")
_FLIP = ListOf(Word({"x": "left and right", "y": "up and down"}), maximum=2, without_repeats=True)

DEBOUNCE: Final = Field(
    "debounce",
    _FILTER_TIME,
    "how long a contact may chatter after each change without being heard; adds no delay",
    "15ms",
)
#: The settings of buttons that stand with no default on sticks, pointers and levers.
PRESS_FILTERS: Final = (
    Field(
        "release-delay",
        _FILTER_TIME,
        "how long a press must be up to count as released; bridges a slipping grip or a tremor",
        "0ms",
    ),
    Field(
        "acceptance-delay",
        _FILTER_TIME,
        "how long a touch must last to count; a shorter one does nothing",
        "0ms",
    ),
    Field(
        "repeat-guard",
        _FILTER_TIME,
        "how soon after a press the next one is ignored, for presses that come twice unmeant",
        "0ms",
    ),
    Field(
        "longest",
        Quantity(Family.DURATION, "0ms", "600s"),
        "how long a press can last; it ends by itself then, as for a spasm",
        "0ms",
    ),
)
BUTTON_SETTINGS: Final = (DEBOUNCE, *PRESS_FILTERS)
DIRECTION_SETTINGS: Final = (
    Field(DEBOUNCE.name, DEBOUNCE.kind, f"for each direction: {DEBOUNCE.about}", "0ms"),
    *(Field(f.name, f.kind, f"for each direction: {f.about}", f.default) for f in PRESS_FILTERS),
)

STEADY: Final = Field(
    "steady",
    Either(
        single=Word(
            {
                "light": "cutoff 3Hz, beta 0.02",
                "medium": "cutoff 1.5Hz, beta 0.02",
                "strong": "cutoff 0.8Hz, beta 0.02",
            }
        ),
        group=Group(
            "`steady`",
            (
                Field(
                    "cutoff",
                    Quantity(Family.FREQUENCY, "0.05Hz", "50Hz"),
                    "shaking faster than this is taken out; lower is calmer and slower to follow",
                    required=True,
                ),
                Field(
                    "beta",
                    Number(Fraction(0), Fraction(100)),
                    "how much faster it follows when the movement is fast",
                    "0.02",
                ),
            ),
        ),
    ),
    "takes the shaking out of a movement (the 1-euro filter)",
    "no filter",
)
REACH_SHARE: Final = Quantity(Family.SHARE, "1%", "100%")
STICK_REACH: Final = Field(
    "reach",
    Either(
        single=REACH_SHARE,
        group=Group(
            "`reach`",
            tuple(
                Field(way, REACH_SHARE, f"how far this player gets {words}", "100%")
                for way, words in (
                    ("left", "to the left"),
                    ("right", "to the right"),
                    ("up", "up"),
                    ("down", "down"),
                )
            ),
        ),
    ),
    "how far this player gets; that far then counts as all the way",
    "100%",
)
LEVER_REACH: Final = Field("reach", REACH_SHARE, STICK_REACH.about, "100%")
CENTRE: Final = Field(
    "centre",
    ListOf(_CENTRE_SHARE, 2, 2),
    "where the stick stands when nobody moves it, as shares of half its range",
    "[0%, 0%]",
)
TURN: Final = Field(
    "turn",
    Quantity(Family.ANGLE, "-360deg", "360deg"),
    "how far, clockwise, the stick is mounted askew",
    "0deg",
)
FLIP: Final = Field("flip", _FLIP, "turns an axis round: `[x]`, `[y]` or `[x, y]`", "none")
DEAD_ZONE_KIND: Final = Quantity(Family.SHARE, "0%", "95%")
DEAD_ZONE: Final = Field(
    "dead-zone",
    DEAD_ZONE_KIND,
    "how far it may be from its middle and still count as not moved",
    "10%",
)
POINTER_DEAD_ZONE: Final = Field("dead-zone", DEAD_ZONE_KIND, DEAD_ZONE.about, "0%")
CURVE: Final = Field(
    "curve",
    Number(Fraction(1), Fraction(4)),
    "1 is even; up to 4 is gentle near the middle and quick at the edge",
    "1",
)
THRESHOLDS: Final = (
    Field("press-at", _PRESS_SHARE, "how far a direction must be moved to count as pressed", "50%"),
    Field(
        "release-at",
        _PRESS_SHARE,
        "below what a direction that is pressed counts as released",
        "40%",
    ),
)
WAYS: Final = Field(
    "ways",
    WholeNumber(4, 8, (4, 8)),
    "8 lets two neighbouring directions press together, 4 only the larger",
    "8",
)
POINTER_SETTINGS: Final = (
    Field(
        "full-speed",
        Quantity(Family.RATE, "1/s", "1000000/s"),
        "how many counts of the ball or mouse in a second move the stick all the way",
        "800/s",
    ),
    Field(
        "window",
        Quantity(Family.DURATION, "1ms", "2s"),
        "over how long its counts are added up; longer is calmer and slower",
        "60ms",
    ),
)

STICK_FIELDS: Final = (
    CENTRE,
    TURN,
    STICK_REACH,
    FLIP,
    STEADY,
    DEAD_ZONE,
    CURVE,
    *THRESHOLDS,
    WAYS,
    *DIRECTION_SETTINGS,
)
POINTER_FIELDS: Final = (
    *POINTER_SETTINGS,
    TURN,
    STICK_REACH,
    FLIP,
    STEADY,
    POINTER_DEAD_ZONE,
    CURVE,
    *THRESHOLDS,
    WAYS,
    *DIRECTION_SETTINGS,
)
LEVER_FIELDS: Final = (LEVER_REACH, STEADY, DEAD_ZONE, CURVE, *THRESHOLDS, *DIRECTION_SETTINGS)
