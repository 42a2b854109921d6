"""The vocabulary in which the schema of a layout is written: kinds of values, as data.

The same data is read by three: `evaluate` checks a file against it, `json_schema` publishes it for
editors, `reference` prints it as a page.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from functools import cache

from remapd.language.scalars import Family, read_quantity


class Names(Enum):
    """What a word names; whether it names anything is found when the layout is built."""

    TARGET = "a pad button, a trigger, a direction or a verb"
    BUTTON_OR_STICK = "a pad control or a verb"
    STICK = "a stick of the pad or a verb for one"
    LAYER = "a layer"
    TUNING = "a tuning"
    CONTROL = "a control"
    BUTTON = "a control or one of its directions"
    MERGED = "`buttons`, `sticks`, `dpad`, a pad control or a verb"
    CUED = "a layer or an event"
    DEVICE = "a device of this layout"
    BINDING_KEY = "a control, a direction, a device or a chord `one + other`"
    NEW = "a name of your own"


class Codes(Enum):
    """Which codes of a device are meant: what they are called, their prefixes, examples."""

    KEY = ("a button or key", ("BTN_", "KEY_"), "BTN_0 or KEY_SPACE")
    AXIS = ("an absolute axis", ("ABS_",), "ABS_X or ABS_Z")
    RELATIVE = ("a relative axis", ("REL_",), "REL_X or REL_Y")

    def __init__(self, called: str, prefixes: tuple[str, ...], examples: str) -> None:
        self.called = called
        self.prefixes = prefixes
        self.examples = examples


@dataclass(frozen=True)
class Text:
    """Any text."""


@dataclass(frozen=True)
class Word:
    """One of a few words; each with what it means."""

    choices: Mapping[str, str]


@dataclass(frozen=True)
class Reference:
    """A word that names something."""

    names: Names


@dataclass(frozen=True)
class Flag:
    """`true` or `false`."""


@dataclass(frozen=True)
class WholeNumber:
    """A whole number of a range, or one of a few."""

    minimum: int
    maximum: int
    among: tuple[int, ...] = ()


@dataclass(frozen=True)
class Number:
    """A decimal number of a range."""

    minimum: Fraction
    maximum: Fraction


@dataclass(frozen=True)
class Quantity:
    """A number with a unit; the bounds as a layout would write them."""

    family: Family
    minimum: str
    maximum: str


@dataclass(frozen=True)
class Code:
    """The name of a button or axis of a device."""

    codes: Codes


@dataclass(frozen=True)
class ProductNumber:
    """A number of USB's kind: `0x1209`."""


@dataclass(frozen=True)
class FreeForm:
    """Anything: kept as plain data for those who show the layout."""


@dataclass(frozen=True)
class ListOf:
    """A list; `maximum` 0 means any number."""

    item: Kind
    minimum: int = 1
    maximum: int = 0
    without_repeats: bool = False


@dataclass(frozen=True)
class Field:
    """One setting of a group."""

    name: str
    kind: Kind
    about: str  #: what it is, in a short sentence without a full stop; it doubles as the gloss
    default: str = ""  #: as a layout would write it, or in words
    required: bool = False
    #: (other setting, word): it counts only beside that.
    goes_with: tuple[str, str] | None = None


@dataclass(frozen=True)
class Group:
    """A mapping with known settings; `called` completes `… needs` and `… has no setting`."""

    called: str
    fields: tuple[Field, ...]
    minimum: int = 0  #: how many of them must be written at least

    def field(self, name: str) -> Field | None:
        """The setting of that name."""
        return next((each for each in self.fields if each.name == name), None)


@dataclass(frozen=True)
class MapOf:
    """A mapping with names of the writer's own, or names of things."""

    called: str
    key: Names
    value: Kind
    minimum: int = 1


@dataclass(frozen=True)
class Either:
    """One kind for a single word, another for a group."""

    single: Kind
    group: Kind


@dataclass(frozen=True)
class FlagOrShare:
    """`true`, `false`, or a share."""


class Deciders(Enum):
    """Groups that one of their settings decides: which messages speak of them."""

    CONTROL = "control"
    ACTION = "action"


@dataclass(frozen=True)
class Decided:
    """A mapping whose kind is told by one of its settings (`{turbo: …}`, `{button: …}`)."""

    of: Deciders
    groups: Mapping[str, Group]
    #: Words that decide a group elsewhere only, with the sentence that says where.
    elsewhere: Mapping[str, str]


@dataclass(frozen=True)
class Named:
    """A kind by its name in the schema's table, so that actions may hold actions."""

    name: str


Kind = (
    Text
    | Word
    | Reference
    | Flag
    | WholeNumber
    | Number
    | Quantity
    | Code
    | ProductNumber
    | FreeForm
    | ListOf
    | Group
    | MapOf
    | Either
    | FlagOrShare
    | Decided
    | Named
)


@cache
def bounds_of(kind: Quantity) -> tuple[Fraction, Fraction]:
    """The bounds of a quantity as numbers: seconds, a share of 1, 1/s, degrees or Hz."""
    low, high = (read_quantity(each, kind.family) for each in (kind.minimum, kind.maximum))
    if not isinstance(low, Fraction) or not isinstance(high, Fraction):
        raise ValueError(f"not bounds of {kind.family}: {kind.minimum}, {kind.maximum}")
    return low, high
