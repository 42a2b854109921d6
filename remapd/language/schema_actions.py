"""The schema of actions: what a control can do in a layer."""

from __future__ import annotations

from typing import Final

from remapd.language.kinds import (
    Decided,
    Deciders,
    Either,
    Field,
    Group,
    Kind,
    ListOf,
    Named,
    Names,
    Quantity,
    Reference,
    Text,
    WholeNumber,
    Word,
)
from remapd.language.scalars import Family

_HOLD = {"hold": "as long as the control is pressed"}
_TOGGLE = {"toggle": "a press switches it on, the next one off"}
_SHORT_TIME = Quantity(Family.DURATION, "1ms", "10s")
_WAIT_TIME = Quantity(Family.DURATION, "1ms", "60s")
_LONG_TIME = Quantity(Family.DURATION, "1ms", "86400s")
_ACTION = Named("action")
_TARGET = Named("target")
_STICK = Reference(Names.STICK)


def _how(about: str, *choices: dict[str, str], default: str = "hold") -> Field:
    words: dict[str, str] = {}
    for each in choices:
        words |= each
    return Field("how", Word(words), about, default)


def _at_most(goes_with: tuple[str, str] | None = None) -> Field:
    return Field(
        "at-most", _LONG_TIME, "it ends by itself after this long", "no end", goes_with=goes_with
    )


_TOGETHER = Group(
    "`together`",
    (
        Field(
            "together",
            ListOf(Reference(Names.TARGET)),
            "presses all of these in one and the same frame",
            required=True,
        ),
    ),
)

ACTIONS: Final[dict[str, Group]] = {
    "together": _TOGETHER,
    "layer": Group(
        "`layer`",
        (
            Field("layer", Reference(Names.LAYER), "makes it active, on top", required=True),
            _how(
                "how long the layer is on",
                _HOLD,
                _TOGGLE,
                {"next": "on for the next press of another control"},
            ),
            Field(
                "give-up",
                _LONG_TIME,
                "a layer that waits for the next press goes off after this long",
                "20s",
                goes_with=("how", "next"),
            ),
        ),
    ),
    "cycle": Group(
        "`cycle`",
        (
            Field(
                "cycle",
                ListOf(Reference(Names.LAYER), 2),
                "each press puts the next of these layers on in place of the one before; the "
                "base's name stands for none of them",
                required=True,
            ),
            Field("back-after", _LONG_TIME, "returns to the first after this long", "never"),
        ),
    ),
    "turbo": Group(
        "`turbo`",
        (
            Field("turbo", _TARGET, "presses this again and again, at once", required=True),
            Field(
                "rate",
                Quantity(Family.RATE, "0.05/s", "100/s"),
                "how often it is pressed in a second",
                "8/s",
            ),
            Field(
                "duty",
                Quantity(Family.SHARE, "1%", "99%"),
                "the share of the time that it is down",
                "50%",
            ),
            _how("how long it goes on", _HOLD, _TOGGLE),
            _at_most(("how", "toggle")),
        ),
    ),
    "latch": Group(
        "`latch`",
        (
            Field("latch", _TARGET, "stays pressed until a latch of it is pressed", required=True),
            _at_most(),
        ),
    ),
    "pulse": Group(
        "`pulse`",
        (
            Field("pulse", _TARGET, "pressed once, for exactly `length`", required=True),
            Field("length", _WAIT_TIME, "how long that is", "150ms"),
        ),
    ),
    "short": Group(
        "`short`",
        (
            Field("short", _ACTION, "done when the control is let go sooner", required=True),
            Field("long", _ACTION, "done once the control has been held that long", required=True),
            Field("after", _SHORT_TIME, "how long a hold must be to be a long one", "800ms"),
        ),
    ),
    "once": Group(
        "`once`",
        (
            Field("once", _ACTION, "done when no second press comes in time", required=True),
            Field("twice", _ACTION, "done by a second press in time", required=True),
            Field("within", _SHORT_TIME, "how soon the second press must come", "500ms"),
        ),
    ),
    "on-release": Group(
        "`on-release`",
        (Field("on-release", _ACTION, "done when the control is let go", required=True),),
    ),
    "steps": Group(
        "`steps`",
        (
            Field(
                "steps",
                ListOf(Named("step")),
                "plays these actions one after the other; a `wait` replaces the pause",
                required=True,
            ),
            _how(
                "whether it stops when the control is let go",
                {"hold": "stops after the running step when the control is let go"},
                default="plays to its end",
            ),
        ),
    ),
    "push": Group(
        "`push`",
        (
            Field("push", _STICK, "moves this stick of the pad", required=True),
            Field(
                "toward",
                Word({way: f"{way} on the pad" for way in ("up", "down", "left", "right")}),
                "which way",
                required=True,
            ),
            Field("amount", Quantity(Family.SHARE, "1%", "100%"), "how far", "100%"),
            Field(
                "ramp",
                Quantity(Family.DURATION, "0ms", "10s"),
                "how long it takes to get there",
                "0ms",
            ),
            _how("how long it stays there", _HOLD, _TOGGLE),
        ),
    ),
    "keep": Group(
        "`keep`",
        (
            Field("keep", _STICK, "freezes it as it is, until pressed again", required=True),
            _at_most(),
        ),
    ),
    "scan": Group(
        "`scan`",
        (
            Field(
                "scan",
                ListOf(_ACTION, 2),
                "offers these actions one after the other, for a player with one switch",
                required=True,
            ),
            Field("every", _WAIT_TIME, "how long each is offered", "1s"),
            Field("first", _WAIT_TIME, "how long the first is offered", "twice `every`"),
            Field("rounds", WholeNumber(1, 100), "how often all are offered before it ends", "3"),
            Field(
                "pick",
                Reference(Names.BUTTON),
                "by hand: presses here go to the next item, this other control takes it",
                "items change by themselves",
            ),
        ),
    ),
    "lead": Group(
        "`lead`",
        (
            Field(
                "lead",
                Word({"player": "the player's part alone", "helper": "the helper's part alone"}),
                "this person alone counts",
                required=True,
            ),
            Field("for", ListOf(Reference(Names.BUTTON_OR_STICK)), "for these pad controls", "all"),
            _how("how long", _HOLD, _TOGGLE),
        ),
    ),
    "tuning": Group(
        "`tuning`",
        (
            Field("tuning", Reference(Names.TUNING), "puts this tuning in force", required=True),
            _how("how long", _HOLD, _TOGGLE),
        ),
    ),
    "rest": Group(
        "`rest`",
        (
            Field(
                "rest",
                _WAIT_TIME,
                "the pad goes neutral; holding this control that long ends it",
                required=True,
            ),
        ),
    ),
    "say": Group("`say`", (Field("say", Text(), "a cue and a notice; no press", required=True),)),
    "layout": Group(
        "`layout`",
        (
            Field(
                "layout",
                Text(),
                "changes to this layout: a file beside it, or one of its folder by name",
                required=True,
            ),
        ),
    ),
    "release": Group(
        "`release`",
        (
            Field(
                "release",
                Word({"everything": "of everyone"}),
                "ends all that lasts by itself",
                required=True,
            ),
        ),
    ),
}
#: The word that stands beside the deciding one is as good a sign of the same action.
_SECONDS = {"long": ACTIONS["short"], "twice": ACTIONS["once"]}

SEND: Final = Group(
    "`send`",
    (
        Field("send", _STICK, "moves this stick of the pad with the whole control", required=True),
        Field("gain", Quantity(Family.SHARE, "1%", "100%"), "how much of the movement", "100%"),
        Field(
            "flip",
            ListOf(Word({"x": "left and right", "y": "up and down"}), 1, 2, without_repeats=True),
            "turns an axis round",
            "none",
        ),
        Field(
            "change",
            Word({"centred": "after a change of layers, only once it has been let go"}),
            "when it moves the new stick after a change of layers",
            "at once",
        ),
    ),
)
WAIT: Final = Group("`wait`", (Field("wait", _WAIT_TIME, "a pause of this length", required=True),))

_PRESSED_ONLY = "here stands what is pressed: a pad control, a verb, or `{together: [...]}`"
_SEND_ELSEWHERE = "`send` is for a whole stick or pointer, alone behind its name"
_WAIT_ELSEWHERE = "`wait` is a pause among `steps`"

#: A target as it stands alone: a word, or several pressed together.
TARGET: Final[Kind] = Either(
    single=Reference(Names.TARGET),
    group=Decided(
        Deciders.ACTION,
        {"together": _TOGETHER},
        dict.fromkeys((*ACTIONS, *_SECONDS, "send", "wait"), _PRESSED_ONLY),
    ),
)
ACTION: Final[Kind] = Either(
    single=Reference(Names.TARGET),
    group=Decided(
        Deciders.ACTION, ACTIONS | _SECONDS, {"send": _SEND_ELSEWHERE, "wait": _WAIT_ELSEWHERE}
    ),
)
STEP: Final[Kind] = Either(
    single=Reference(Names.TARGET),
    group=Decided(Deciders.ACTION, ACTIONS | _SECONDS | {"wait": WAIT}, {"send": _SEND_ELSEWHERE}),
)
#: What stands behind a control in a layer: an action, or a stick for a whole stick.
BINDING: Final[Kind] = Either(
    single=Reference(Names.TARGET),
    group=Decided(Deciders.ACTION, ACTIONS | _SECONDS | {"send": SEND}, {"wait": _WAIT_ELSEWHERE}),
)
