"""The schema of a layout file, as data: the whole shape of the language in one place."""

from __future__ import annotations

from typing import Final

from remapd.language.kinds import (
    Code,
    Codes,
    Decided,
    Deciders,
    Either,
    Field,
    Flag,
    FlagOrShare,
    FreeForm,
    Group,
    Kind,
    ListOf,
    MapOf,
    Named,
    Names,
    ProductNumber,
    Quantity,
    Reference,
    Text,
    WholeNumber,
    Word,
)
from remapd.language.scalars import Family
from remapd.language.schema_actions import ACTION, BINDING, STEP, TARGET
from remapd.language.schema_cues import CUES
from remapd.language.schema_settings import (
    BUTTON_SETTINGS,
    LEVER_FIELDS,
    POINTER_FIELDS,
    STICK_FIELDS,
)

LANGUAGE_VERSION: Final = 1

BUTTON: Final = Group(
    "a button",
    (
        Field("button", Code(Codes.KEY), "the code of the switch or key", required=True),
        Field("inverted", Flag(), "true where letting go is the act", "false"),
        *BUTTON_SETTINGS,
    ),
)
LEVER: Final = Group(
    "a lever",
    (
        Field(
            "lever",
            Code(Codes.AXIS),
            "the code of the axis: a trigger, a pedal, sip-and-puff",
            required=True,
        ),
        Field(
            "rests-at",
            Word(
                {
                    "low": "at the low end of its range",
                    "high": "at the high end",
                    "middle": "in the middle: it moves both ways",
                }
            ),
            "where it stands when nobody touches it",
            "low",
        ),
        Field(
            "ends",
            ListOf(Reference(Names.NEW), 2, 2),
            "names for its low and its high end, such as `[sip, puff]`",
            "[low, high]",
        ),
        *LEVER_FIELDS,
    ),
)
STICK: Final = Group(
    "a stick",
    (
        Field(
            "stick",
            ListOf(Code(Codes.AXIS), 2, 2),
            "the codes of its axes: left and right, up and down",
            required=True,
        ),
        *STICK_FIELDS,
    ),
)
POINTER: Final = Group(
    "a pointer",
    (
        Field(
            "pointer",
            ListOf(Code(Codes.RELATIVE), 2, 2),
            "the codes of its axes: left and right, up and down",
            required=True,
        ),
        *POINTER_FIELDS,
    ),
)
CONTROL_GROUPS: Final = {"button": BUTTON, "lever": LEVER, "stick": STICK, "pointer": POINTER}
CONTROL: Final = Decided(Deciders.CONTROL, CONTROL_GROUPS, {})


def _tunable() -> Group:
    """Every setting that a tuning may change; which of them fit is found when it is built."""
    fields: dict[str, Field] = {}
    for each in (*BUTTON_SETTINGS, *STICK_FIELDS, *POINTER_FIELDS):
        fields.setdefault(each.name, each)
    return Group("a tuning", tuple(fields.values()))


TUNABLE: Final = _tunable()

FIND: Final = Group(
    "`find`",
    (
        Field("name", Text(), "the device's name; `*` stands for any letters"),
        Field("port", Text(), "where it is plugged in (the kernel's `phys`), with `*` as above"),
        Field("serial", Text(), "its serial number (the kernel's `uniq`), with `*` as above"),
        Field("vendor", ProductNumber(), "the maker's number"),
        Field("product", ProductNumber(), "the product's number"),
        Field(
            "shape",
            Word(
                {
                    "gamepad": "has the south button of a pad",
                    "keyboard": "has all letter keys",
                    "pointer": "a mouse or trackball: moves, and has a left button",
                }
            ),
            "what kind of device it is",
        ),
        Field("nth", WholeNumber(1, 64), "which of several alike, in the order of their ports"),
    ),
    minimum=1,
)
DEVICE: Final = Group(
    "a device",
    (
        Field(
            "person",
            Word({"player": "the player", "helper": "who plays along"}),
            "whose device it is",
            "player",
        ),
        Field("find", FIND, "how it is recognised: all that is given must fit", required=True),
        Field(
            "controls",
            Either(
                single=Word({"gamepad": "every control of a standard pad, under its usual name"}),
                group=MapOf("controls", Names.NEW, CONTROL),
            ),
            "the things on it that a person presses or moves",
            required=True,
        ),
        Field(
            "exclusive",
            Flag(),
            "whether remapd alone hears it, so that a game does not see each press twice",
            "true",
        ),
        Field("optional", Flag(), "true where the layout is whole without it", "false"),
        Field(
            "rumble",
            FlagOrShare(),
            "whether the game's rumble is felt on it, or how strongly: only where this is written",
            "false",
        ),
    ),
)
#: Keys of `merge` that stand for several pad controls.
MERGE_GROUPS: Final = ("buttons", "sticks", "dpad")
MERGE_RULES: Final = {
    "either": "anyone presses; of triggers the larger counts",
    "player-first": "the helper counts once the player has had it neutral for a while",
    "stronger": "the larger counts",
    "sum": "both are added",
    "both": "only when both do it",
    "player-only": "the player alone",
    "helper-only": "the helper alone",
}
RULE_GROUP: Final = Group(
    "a merge rule",
    (
        Field("rule", Word(MERGE_RULES), "the rule", required=True),
        Field(
            "after-player",
            Quantity(Family.DURATION, "0ms", "60s"),
            "how long the player must have had it neutral before the helper counts",
            "400ms",
            goes_with=("rule", "player-first"),
        ),
    ),
)
RULE: Final = Either(single=Word(MERGE_RULES), group=RULE_GROUP)
PAD: Final = Group(
    "`pad`",
    (
        Field(
            "faces",
            Word({"as-specified": "north as 0x133, west as 0x134, after the kernel's page"}),
            "which codes west and north are sent as",
            "as games read them: west as 0x133, north as 0x134",
        ),
        Field(
            "identity",
            Group(
                "`identity`",
                (
                    Field("vendor", ProductNumber(), "the vendor number shown", required=True),
                    Field("product", ProductNumber(), "the product number shown", required=True),
                    Field("version", ProductNumber(), "the version shown", "0x0001"),
                ),
            ),
            "what the pad calls itself, for a game that knows only certain pads; from the next "
            "start on",
        ),
    ),
)

LAYOUT: Final = Group(
    "a layout",
    (
        Field(
            "remapd",
            WholeNumber(LANGUAGE_VERSION, LANGUAGE_VERSION),
            "the version of the language; always the first line",
            required=True,
        ),
        Field("title", Text(), "what the layout is called", "the file's name"),
        Field("notes", Text(), "anything worth knowing about it"),
        Field("include", Text(), "a file whose devices are taken as well"),
        Field(
            "verbs",
            MapOf("verbs", Names.NEW, Reference(Names.BUTTON_OR_STICK)),
            "the game's own words for pad controls",
        ),
        Field(
            "needs",
            ListOf(Reference(Names.BUTTON_OR_STICK), without_repeats=True),
            "what the game uses; `remapd check` proves that it can be reached",
        ),
        Field(
            "base",
            Reference(Names.LAYER),
            "the layer that is always active; needed when there is more than one",
        ),
        Field("devices", MapOf("devices", Names.NEW, DEVICE), "what is plugged in, by names"),
        Field(
            "layers",
            MapOf("layers", Names.NEW, MapOf("a layer", Names.BINDING_KEY, BINDING, minimum=0)),
            "what each control does, layer by layer",
            required=True,
        ),
        Field(
            "merge",
            MapOf("merge", Names.MERGED, RULE),
            "how two people's parts become one",
        ),
        Field(
            "tunings",
            MapOf("tunings", Names.NEW, MapOf("a tuning", Names.CONTROL, TUNABLE)),
            "other settings for other hours, chosen by an action",
        ),
        Field(
            "tap",
            Quantity(Family.DURATION, "1ms", "5s"),
            "the length of a press that is made up by remapd",
            "60ms",
        ),
        Field(
            "shortest-press",
            Quantity(Family.DURATION, "0ms", "1s"),
            "how long every press of the pad lasts at least, so that the game sees it",
            "34ms",
        ),
        Field(
            "chord-window",
            Quantity(Family.DURATION, "1ms", "5s"),
            "how soon after each other two controls make a chord",
            "200ms",
        ),
        Field("pad", PAD, "how the pad appears to games"),
        Field("cues", CUES, "what is played, spoken or shown, and when"),
        Field("place", FreeForm(), "where controls are, for the card on the wall"),
    ),
)

KINDS: Final[dict[str, Kind]] = {
    "action": ACTION,
    "binding": BINDING,
    "step": STEP,
    "target": TARGET,
}


def resolve(kind: Kind) -> Kind:
    """The kind that a name stands for."""
    return KINDS[kind.name] if isinstance(kind, Named) else kind
