"""Stand-in devices for a layout: sources that its `find` takes, made from what it names.

Stand-in axes have a range of a million steps each way, so that a share that is written in a layout
or a test is reached exactly.
"""

from __future__ import annotations

import dataclasses
import fnmatch
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from remapd.codes import AXES, KEYS, RELS
from remapd.engine.layout import ButtonControl, Device, Layout, LeverControl, StickControl
from remapd.engine.matching import match
from remapd.engine.settings import Rest
from remapd.engine.source import AxisRange, Source

#: Steps from the middle to the end of a stand-in axis.
FULL: Final = 1_000_000
BUS_VIRTUAL: Final = 0x06

_HAT_CODES: Final = frozenset(range(AXES["ABS_HAT0X"], AXES["ABS_HAT3Y"] + 1))
_GAMEPAD_KEYS: Final = frozenset(
    KEYS[name]
    for name in (
        *("BTN_SOUTH", "BTN_EAST", "BTN_NORTH", "BTN_WEST", "BTN_TL", "BTN_TR", "BTN_SELECT"),
        *("BTN_START", "BTN_MODE", "BTN_THUMBL", "BTN_THUMBR"),
    )
)
_GAMEPAD_STICKS: Final = frozenset(AXES[name] for name in ("ABS_X", "ABS_Y", "ABS_RX", "ABS_RY"))
_GAMEPAD_TRIGGERS: Final = frozenset(AXES[name] for name in ("ABS_Z", "ABS_RZ"))
_GAMEPAD_HAT: Final = frozenset(AXES[name] for name in ("ABS_HAT0X", "ABS_HAT0Y"))
_LETTERS: Final = frozenset(KEYS[f"KEY_{letter}"] for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ")


@dataclass(frozen=True, slots=True)
class StandIn:
    """A stand-in node: its description, and its state when nobody touches it.

    `device` is the index of the layout device that it is made for, or None for a node that only has
    to be there (the first of two that match alike, when the layout takes the second).
    """

    source: Source
    device: int | None
    held: frozenset[int]
    axes: Mapping[int, int]


def stand_ins(layout: Layout) -> list[StandIn]:
    """One stand-in for each device of the layout, in the order in which they have to be plugged in.

    Source ids are the devices' indices; those of nodes that only have to be there come after them.
    """
    made = [_stand_in(layout, number, device) for number, device in enumerate(layout.devices)]

    def plug_order(stand_in: StandIn) -> tuple[int, int]:
        device = stand_in.source.id if stand_in.device is None else stand_in.device
        nth = 0 if stand_in.device is None else layout.devices[device].find.nth or 1
        return nth, device

    for number, device in enumerate(layout.devices):
        for place in range(1, device.find.nth or 1):
            if match(layout, [stand_in.source for stand_in in made]).get(number) == number:
                break
            # The layout takes the second of two alike: so there has to be a first.
            source = dataclasses.replace(
                made[number].source, id=len(made), port=_port(device.find.port, place, number)
            )
            made.append(dataclasses.replace(made[number], source=source, device=None))
    return sorted(made, key=plug_order)


def _stand_in(layout: Layout, number: int, device: Device) -> StandIn:
    find = device.find
    axes: dict[int, AxisRange] = {}
    at_rest: dict[int, int] = {}
    keys, rels = set(device.keys), set(device.rels)
    axis_codes = set(device.axes)
    if device.gamepad:
        keys |= _GAMEPAD_KEYS
        axis_codes = set(_GAMEPAD_STICKS | _GAMEPAD_TRIGGERS | _GAMEPAD_HAT)
    if find.shape == "gamepad":
        keys.add(KEYS["BTN_SOUTH"])
    elif find.shape == "keyboard":
        keys |= _LETTERS
    elif find.shape == "pointer":
        keys.add(KEYS["BTN_LEFT"])
        rels |= {RELS["REL_X"], RELS["REL_Y"]}

    for code in sorted(axis_codes):
        axes[code] = AxisRange(-1, 1) if code in _HAT_CODES else AxisRange(-FULL, FULL)
        at_rest[code] = 0
    for control in (layout.controls[index] for index in device.controls):
        if isinstance(control, LeverControl):
            for code in control.axes:
                if code in axes:
                    rests_at = control.settings.rests_at
                    if rests_at is not Rest.MIDDLE:
                        axes[code] = AxisRange(0, FULL)
                    at_rest[code] = from_rest(axes[code], rests_at, 0.0)
        elif isinstance(control, StickControl):
            settings = control.settings
            for code_x, code_y in control.axes:
                if code_x in axes and code_y in axes:
                    at_rest[code_x] = from_middle(axes[code_x], settings.centre_x)
                    at_rest[code_y] = from_middle(axes[code_y], settings.centre_y)

    source = Source(
        id=number,
        name=literal(find.name or device.name),
        vendor=0x1209 if find.vendor is None else find.vendor,
        product=number + 1 if find.product is None else find.product,
        bus=BUS_VIRTUAL,
        port=_port(find.port, find.nth or 1, number),
        serial="" if find.serial is None else literal(find.serial),
        keys=frozenset(keys),
        rels=frozenset(rels),
        axes=MappingProxyType(axes),
    )
    return StandIn(source, number, _keys_at_rest(layout, device), MappingProxyType(at_rest))


def _keys_at_rest(layout: Layout, device: Device) -> frozenset[int]:
    """An inverted button is held down by a hand that does nothing."""
    return frozenset(
        control.code
        for control in (layout.controls[index] for index in device.controls)
        if isinstance(control, ButtonControl) and control.inverted
    )


def _port(pattern: str | None, nth: int, number: int) -> str:
    """A port that the pattern matches, in the order of `nth` among devices that match alike."""
    if pattern is None:
        return f"stand-in/{nth:03d}/{number:03d}"
    # Where the pattern leaves room the place goes into the first `*`; a port without a wildcard is
    # the same for all that match alike, and then only the order of plugging in tells them apart.
    return literal(pattern, star=f"{nth:03d}")


def literal(pattern: str, *, star: str = "") -> str:
    """A text that a shell-style pattern matches; each `*` becomes `star`, each `?` an `x`."""
    text: list[str] = []
    position = 0
    while position < len(pattern):
        letter = pattern[position]
        closing = pattern.find("]", position + 2) if letter == "[" else -1
        if closing > 0:
            choice = pattern[position : closing + 1]
            # Letters first; a set that leaves none of these names nothing real.
            candidates = sorted(map(chr, range(0x20, 0x2000)), key=lambda c: (not c.isalnum(), c))
            text.append(next((c for c in candidates if fnmatch.fnmatchcase(c, choice)), "["))
            position = closing + 1
            continue
        text.append({"*": star, "?": "x"}.get(letter, letter))
        position += 1
    return "".join(text)


def from_middle(span: AxisRange, share: float) -> int:
    """The raw value at a share of the way from the middle of an axis to its end."""
    middle = (span.minimum + span.maximum) / 2
    half = (span.maximum - span.minimum) / 2
    return max(span.minimum, min(span.maximum, round(middle + share * half)))


def from_rest(span: AxisRange, rests_at: Rest, share: float) -> int:
    """The raw value at a share of the way from where a lever rests."""
    whole = span.maximum - span.minimum
    if rests_at is Rest.MIDDLE:
        return from_middle(span, share)
    if rests_at is Rest.HIGH:
        return max(span.minimum, min(span.maximum, round(span.maximum - share * whole)))
    return max(span.minimum, min(span.maximum, round(span.minimum + share * whole)))
