"""The built layout: what the language makes of a file, and all that the engine knows of it.

Everything is immutable, checked, and in the engine's units: names have become indices, durations
integer microseconds, event codes numbers. Indices are positions in the tuples of `Layout`.

A *button* here is anything that can be pressed: a button control, one of the four directions of a
stick or pointer (up, down, left, right), or one of the two ends of a lever (low, high). Buttons are
numbered through the whole layout in the order of the file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from types import MappingProxyType
from typing import Any

from remapd.engine.actions import Action, Whole
from remapd.engine.pad_controls import PLAYER, SLOT_COUNT, SLOT_LEFT_STICK
from remapd.engine.settings import ButtonSettings, LeverSettings, Overrides, StickSettings


@dataclass(frozen=True, slots=True)
class Find:
    """Which event node a device is; every given key must match. Patterns are shell-style."""

    name: str | None = None
    port: str | None = None
    serial: str | None = None
    vendor: int | None = None
    product: int | None = None
    shape: str | None = None  #: gamepad, keyboard or pointer
    nth: int | None = None  #: from 1, among the nodes that match alike, in the order of their port


@dataclass(frozen=True, slots=True)
class Device:
    """One input device of the layout; the node must have every code that its controls name."""

    name: str
    find: Find
    person: int = PLAYER
    exclusive: bool = True
    #: Whether the file writes `exclusive: true` in words (a keyboard or pointer is taken only so).
    exclusive_in_words: bool = False
    optional: bool = False
    #: `controls: gamepad`: codes that the node lacks are simply silent; it must have BTN_SOUTH.
    gamepad: bool = False
    controls: tuple[int, ...] = ()
    keys: frozenset[int] = frozenset()
    rels: frozenset[int] = frozenset()
    axes: frozenset[int] = frozenset()
    #: How strongly the game's rumble is felt on it, 0 (not at all) to 1; unread by the engine.
    rumble: float = 0.0


@dataclass(frozen=True, slots=True)
class ButtonControl:
    """A switch or a key."""

    name: str
    device: int
    code: int
    button: int  #: its button number
    inverted: bool = False
    settings: ButtonSettings = field(default_factory=ButtonSettings)


@dataclass(frozen=True, slots=True)
class StickControl:
    """Two absolute axes, or four keys of a d-pad; the first pair that the node has is read.

    `keys`, in the order up, down, left, right, serve where the node has none of the axes.
    """

    name: str
    device: int
    axes: tuple[tuple[int, int], ...]
    buttons: tuple[int, int, int, int]  #: button numbers of up, down, left, right
    keys: tuple[int, int, int, int] | None = None
    settings: StickSettings = field(default_factory=StickSettings)


@dataclass(frozen=True, slots=True)
class PointerControl:
    """Two relative axes used as a stick."""

    name: str
    device: int
    x: int
    y: int
    buttons: tuple[int, int, int, int]
    settings: StickSettings = field(default_factory=lambda: StickSettings(dead_zone=0.0))


@dataclass(frozen=True, slots=True)
class LeverControl:
    """One absolute axis (the first that the node has), or else a key."""

    name: str
    device: int
    axes: tuple[int, ...]
    buttons: tuple[int, int]  #: button numbers of the low and the high end
    ends: tuple[str, str] = ("low", "high")
    key: int | None = None
    settings: LeverSettings = field(default_factory=LeverSettings)


Control = ButtonControl | StickControl | PointerControl | LeverControl


@dataclass(frozen=True, slots=True)
class Button:
    """Anything that can be pressed; `name` is as the layout writes it (`left-knee`, `roll.up`)."""

    name: str
    control: int
    #: None for a button control; 0 to 3 up, down, left, right; 0 and 1 the low and high end.
    part: int | None = None


@dataclass(frozen=True, slots=True)
class Chord:
    """Two buttons that are pressed together, as the first-named one's person."""

    first: int
    second: int
    action: Action


@dataclass(frozen=True, slots=True)
class Layer:
    """What the controls do in one layer. A stick stands in it whole or by direction."""

    name: str
    #: By button number.
    bindings: Mapping[int, Action] = field(default_factory=lambda: MappingProxyType({}))
    #: By control number: sticks, pointers and levers bound whole.
    wholes: Mapping[int, Whole] = field(default_factory=lambda: MappingProxyType({}))
    chords: tuple[Chord, ...] = ()


class RuleKind(Enum):
    """How two people's parts become one; see section 6 of the language."""

    EITHER = "either"
    PLAYER_FIRST = "player-first"
    STRONGER = "stronger"
    SUM = "sum"
    BOTH = "both"
    PLAYER_ONLY = "player-only"
    HELPER_ONLY = "helper-only"


@dataclass(frozen=True, slots=True)
class Rule:
    """A merge rule; `after_player_us` is that of `player-first`."""

    kind: RuleKind
    after_player_us: int = 400_000


DEFAULT_RULES: tuple[Rule, ...] = (Rule(RuleKind.EITHER),) * SLOT_LEFT_STICK + (
    Rule(RuleKind.PLAYER_FIRST),
) * (SLOT_COUNT - SLOT_LEFT_STICK)


@dataclass(frozen=True, slots=True)
class Tuning:
    """Other values for some controls, by control number."""

    name: str
    overrides: Mapping[int, Overrides]


@dataclass(frozen=True, slots=True)
class Identity:
    """What the pad calls itself to games, where the layout asks for it."""

    vendor: int
    product: int
    version: int


@dataclass(frozen=True, slots=True)
class Layout:
    """A whole layout. `layers[0]` is the base."""

    title: str
    devices: tuple[Device, ...]
    controls: tuple[Control, ...]
    buttons: tuple[Button, ...]
    layers: tuple[Layer, ...]
    tunings: tuple[Tuning, ...] = ()
    rules: tuple[Rule, ...] = DEFAULT_RULES  #: by merging slot
    tap_us: int = 60_000
    shortest_press_us: int = 34_000
    chord_window_us: int = 200_000
    faces_as_specified: bool = False
    identity: Identity | None = None
    notes: str = ""
    #: Verb to the pad control's name, in the order of the file.
    verbs: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    needs: tuple[str, ...] = ()
    #: `cues` and `place` as plain data, for those who show the layout; unread by the engine.
    cues: Mapping[str, Any] = field(default_factory=lambda: MappingProxyType({}))
    place: Mapping[str, Any] = field(default_factory=lambda: MappingProxyType({}))

    @property
    def cue_devices(self) -> frozenset[str]:
        """The names of the devices on which some cue is felt."""
        cues = [cue for cue in self.cues.values() if cue is not None]
        cues += [cue["off"] for cue in cues if cue.get("off") is not None]
        return frozenset(cue["rumble"] for cue in cues if "rumble" in cue)
