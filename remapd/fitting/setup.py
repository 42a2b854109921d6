"""What a fitting knows so far: the people, their devices and movements, and the game.

It is kept as JSON between two sittings, so that a fitting that was broken off goes on later.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from enum import Enum
from typing import Any, Final, Literal, get_args

from remapd.fitting.games import GAME_KINDS, GameNeeds, Use, Verb

Kind = Literal["button", "stick", "lever", "pointer"]
_KINDS: Final[dict[str, Kind]] = {kind: kind for kind in get_args(Kind)}
#: The version of the JSON form.
VERSION: Final = 1


class SetupUnreadable(ValueError):
    """A kept fitting cannot be gone on with; the text says why."""


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who plays: the player, or a helper who joins in.

    Attributes:
        name: As they are called; it stands in the layout's notes only.
        helper: Whether they are the layout's `helper` rather than its `player`.
    """

    name: str
    helper: bool = False


@dataclass(frozen=True, slots=True)
class FoundDevice:
    """An input device, and how a layout recognises it.

    Attributes:
        name: Its name in the layout.
        find: What the layout's `find` holds: name, serial, port, vendor, product, shape, nth.
        told: It in words: `Switch box (serial 12)`.
        person: The name of the person whose it is; None: the player's.
        stand_in: Whether it only stands in for one that is still to be had.
        optional: Whether the layout is whole without it.
        exclusive: Whether the layout has to say in words that it is taken for remapd alone, as it
            must for keyboards and pointers.
        gamepad: Whether all of it is used as the standard gamepad it is (`controls: gamepad`); its
            controls need not be found one by one then.
    """

    name: str
    find: Mapping[str, str]
    told: str
    person: str | None = None
    stand_in: bool = False
    optional: bool = False
    exclusive: bool = False
    gamepad: bool = False


@dataclass(frozen=True, slots=True)
class FoundControl:
    """One thing that a person presses or moves, and what the body behind it can do.

    Attributes:
        name: Its name in the layout.
        device: The layout's name of its device.
        kind: What it is.
        codes: The device's codes: one, or the two axes of a stick or pointer.
        settings: What the layout's line holds beside the codes: `acceptance-delay: 80ms`.
        reliable: Whether it comes when it is wanted, nearly always.
        small_range: Whether it moves only a little; for sticks, levers and pointers.
        can_hold: Whether it can be held without strain. Of a stick or pointer: kept pushed.
        movement: The movement in the player's own terms: `left knee`.
        place: Where it is as the player sees it, column and row from 1, for the card.
    """

    name: str
    device: str
    kind: Kind = "button"
    codes: tuple[str, ...] = ()
    settings: Mapping[str, str] = field(default_factory=dict)
    reliable: bool = True
    small_range: bool = False
    can_hold: bool = True
    movement: str = ""
    place: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class Setup:
    """All that a fitting knows.

    Attributes:
        title: The layout's title.
        people: Who plays; the player first.
        devices: The devices, in the order in which they were found.
        controls: The controls, in the order in which they were found.
        game: What the game needs.
        two_at_once: Whether the player can press or move two of these controls at the same time.
    """

    title: str = ""
    people: tuple[Person, ...] = ()
    devices: tuple[FoundDevice, ...] = ()
    controls: tuple[FoundControl, ...] = ()
    game: GameNeeds = GAME_KINDS["move-and-one-deed"]
    two_at_once: bool = False

    def device(self, name: str) -> FoundDevice:
        """The device of that name.

        Raises:
            KeyError: there is none.
        """
        for device in self.devices:
            if device.name == name:
                return device
        raise KeyError(name)

    def is_helpers(self, device: FoundDevice) -> bool:
        """Whether a device is a helper's."""
        return any(person.helper and person.name == device.person for person in self.people)

    @property
    def players_controls(self) -> tuple[FoundControl, ...]:
        """The controls of the player, without a helper's."""
        return tuple(
            control for control in self.controls if not self.is_helpers(self.device(control.device))
        )

    @property
    def helpers_devices(self) -> tuple[FoundDevice, ...]:
        """The devices that are a helper's."""
        return tuple(device for device in self.devices if self.is_helpers(device))


# ---------------------------------------------------------------------------- JSON


def to_json(setup: Setup) -> str:
    """The setup as text, to be kept; `from_json` gives the same again."""

    def plain(value: object) -> object:
        if isinstance(value, Enum):
            return value.value
        raise TypeError(f"{value!r} cannot be kept")

    held = {"remapd-fitting": VERSION, **asdict(setup)}
    return json.dumps(held, indent=1, ensure_ascii=False, default=plain) + "\n"


def from_json(text: str) -> Setup:
    """The setup that a text holds.

    Raises:
        SetupUnreadable: it is none, it is cut off, or it is of a newer version.
    """
    try:
        held = json.loads(text)
        version = held["remapd-fitting"]
    except (ValueError, TypeError, KeyError, RecursionError):
        raise SetupUnreadable("this is no kept fitting, or it was cut off") from None
    if version != VERSION:
        raise SetupUnreadable(
            f"this fitting was kept by another version of remapd (form {version!r}, "
            f"this one reads form {VERSION})"
        )
    try:
        return _setup(held)
    except (KeyError, TypeError, ValueError, AttributeError) as why:
        raise SetupUnreadable(f"this kept fitting has a part that does not fit: {why}") from None


def _setup(held: dict[str, Any]) -> Setup:
    setup = Setup(
        title=_text(held["title"]),
        people=tuple(
            Person(_text(each["name"]), _flag(each["helper"])) for each in _list(held["people"])
        ),
        devices=tuple(_device(each) for each in _list(held["devices"])),
        controls=tuple(_control(each) for each in _list(held["controls"])),
        game=_game(held["game"]),
        two_at_once=_flag(held["two_at_once"]),
    )
    known = {device.name for device in setup.devices}
    for control in setup.controls:
        if control.device not in known:
            raise ValueError(f"{control.name} is on {control.device}, which is not there")
    return setup


def _device(held: dict[str, Any]) -> FoundDevice:
    return FoundDevice(
        name=_text(held["name"]),
        find=_texts(held["find"]),
        told=_text(held["told"]),
        person=None if held["person"] is None else _text(held["person"]),
        stand_in=_flag(held["stand_in"]),
        optional=_flag(held["optional"]),
        exclusive=_flag(held["exclusive"]),
        gamepad=_flag(held["gamepad"]),
    )


def _control(held: dict[str, Any]) -> FoundControl:
    kind = _text(held["kind"])
    if kind not in _KINDS:
        raise ValueError(f"no kind of control is called {kind}")
    place = held["place"]
    if place is not None:
        column, row = (_number(each) for each in _list(place))
        place = (column, row)
    return FoundControl(
        name=_text(held["name"]),
        device=_text(held["device"]),
        kind=_KINDS[kind],
        codes=tuple(_text(each) for each in _list(held["codes"])),
        settings=_texts(held["settings"]),
        reliable=_flag(held["reliable"]),
        small_range=_flag(held["small_range"]),
        can_hold=_flag(held["can_hold"]),
        movement=_text(held["movement"]),
        place=place,
    )


def _game(held: dict[str, Any]) -> GameNeeds:
    return GameNeeds(
        kind=_text(held["kind"]),
        title=_text(held["title"]),
        told=_text(held["told"]),
        verbs=tuple(
            Verb(
                name=_text(each["name"]),
                pad=_text(each["pad"]),
                use=Use(each["use"]),
                ways=tuple(_text(way) for way in _list(each["ways"])),
                by_degrees=_flag(each["by_degrees"]),
                in_haste=_flag(each["in_haste"]),
                deliberate=_flag(each["deliberate"]),
                along_with=tuple(_text(name) for name in _list(each["along_with"])),
            )
            for each in _list(held["verbs"])
        ),
    )


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise ValueError(f"{value!r} is no text")
    return value


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise ValueError(f"{value!r} is neither true nor false")
    return value


def _number(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise ValueError(f"{value!r} is no whole number")
    return value


def _list(value: object) -> list[Any]:
    if not isinstance(value, list):
        raise ValueError(f"{value!r} is no list")
    return value


def _texts(value: object) -> dict[str, str]:
    if not isinstance(value, dict):
        raise ValueError(f"{value!r} is no table")
    return {_text(key): _text(each) for key, each in value.items()}
