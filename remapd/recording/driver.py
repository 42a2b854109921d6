"""Stand-in devices for a layout, and the raw events of what a hand does with their controls.

Trials and tests speak in the layout's own names: "press left-knee", "move roll to (1, 0)". Here
that becomes what the kernel would deliver: a source for each of the layout's devices, made so that
its `find` takes it, and frames of raw events for it. Stand-in axes have a range of a million steps
each way, so that a share written in a layout or a test is reached exactly.
"""

from __future__ import annotations

import dataclasses
import fnmatch
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from remapd.codes import AXES, EV_ABS, EV_KEY, EV_REL, KEYS, RELS
from remapd.engine.layout import (
    ButtonControl,
    Control,
    Device,
    Layout,
    LeverControl,
    PointerControl,
    StickControl,
)
from remapd.engine.matching import match
from remapd.engine.settings import Rest
from remapd.engine.source import AxisRange, Source

Event = tuple[int, int, int]
#: Events of one source: the layout device's index, and what its node sends in one frame.
DeviceEvents = tuple[int, list[Event]]

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

#: Where a stick goes when a direction is pressed: up, down, left, right; y grows downward.
_WAYS: Final = ((0.0, -1.0), (0.0, 1.0), (-1.0, 0.0), (1.0, 0.0))


class NoSuchControl(LookupError):
    """The layout has no control of this name, or it cannot do what was asked of it."""


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


class ControlDriver:
    """Turns what a hand does with named controls into the raw events of their devices.

    It remembers which directions of a stick are pressed, and nothing else: pressing twice sends the
    same event twice, as a device might.
    """

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.stand_ins = stand_ins(layout)
        self._by_device = {s.device: s for s in self.stand_ins if s.device is not None}
        self._controls = _unique_names(
            layout, [(control.name, control.device, n) for n, control in enumerate(layout.controls)]
        )
        self._buttons = _unique_names(
            layout,
            [
                (button.name, layout.controls[button.control].device, n)
                for n, button in enumerate(layout.buttons)
            ],
        )
        self._devices = {device.name: n for n, device in enumerate(layout.devices)}
        self._pressed_ways: dict[int, set[int]] = {}

    # ---------------------------------------------------------------- names
    def device(self, name: str) -> int:
        """The index of the device of this name; NoSuchControl if there is none."""
        if name not in self._devices:
            raise NoSuchControl(f"the layout has no device `{name}`")
        return self._devices[name]

    def stand_in(self, device: int) -> StandIn:
        """The stand-in of a layout device."""
        return self._by_device[device]

    def use(self, device: int, stand_in: StandIn) -> None:
        """From now on a layout device's controls are moved on this node (one of another layout)."""
        self._by_device[device] = dataclasses.replace(stand_in, device=device)

    def control(self, name: str) -> Control:
        """The control of this name (`roll`, or `device.roll`); NoSuchControl if there is none."""
        return self.layout.controls[self._look_up(self._controls, name)]

    def button(self, name: str) -> int:
        """The number of the button or direction of this name; NoSuchControl if there is none."""
        return self._look_up(self._buttons, name)

    def names(self) -> list[str]:
        """Every name that can be pressed or moved, sorted."""
        return sorted({*self._controls, *self._buttons})

    # ---------------------------------------------------------------- what a hand does
    def press(self, name: str) -> DeviceEvents:
        """A button pressed, or a stick or lever pushed fully that way."""
        return self._set_button(name, pressed=True)

    def release(self, name: str) -> DeviceEvents:
        """A button let go, or that direction of a stick or lever let go.

        Counts of a pointer that have been sent cannot be taken back: they leave its window.
        """
        return self._set_button(name, pressed=False)

    def move(self, name: str, x: float, y: float = 0.0) -> DeviceEvents:
        """A stick, lever or pointer deflected: shares of the way, before conditioning, y down.

        A stick's shares count from the middle of its axes. A lever's x is the share of its way from
        where it rests (negative: the other way, for one that rests in the middle). A pointer sends
        at once the counts that this share of its full speed leaves in its window.
        """
        control = self.control(name)
        match control:
            case StickControl():
                return control.device, self._stick_events(control, x, y)
            case LeverControl():
                return control.device, self._lever_events(control, x)
            case PointerControl():
                settings = control.settings
                counts = settings.full_speed * settings.window_us / 1_000_000
                return self.count(name, window_counts(x, counts), window_counts(y, counts))
            case ButtonControl():
                raise NoSuchControl(f"`{name}` is a button: it is pressed, not moved")

    def rest(self, name: str) -> DeviceEvents:
        """A stick or lever let go: back to where it rests. Empty for a pointer."""
        control = self.control(name)
        match control:
            case StickControl():
                self._pressed_ways.pop(control.buttons[0], None)
                return control.device, self._stick_events(
                    control, control.settings.centre_x, control.settings.centre_y
                )
            case LeverControl():
                return control.device, self._lever_events(control, 0.0)
            case PointerControl():
                return control.device, []
            case ButtonControl():
                return self.release(name)

    def count(self, name: str, dx: int, dy: int) -> DeviceEvents:
        """A pointer that sends these counts; a count of 0 is not sent."""
        control = self.control(name)
        if not isinstance(control, PointerControl):
            raise NoSuchControl(f"`{name}` is not a pointer: it sends no counts")
        pairs = ((control.x, dx), (control.y, dy))
        return control.device, [(EV_REL, code, count) for code, count in pairs if count]

    def held_codes(self, device: int, pressed: Iterable[str]) -> frozenset[int]:
        """The keys that are down on a device while these of its buttons are pressed."""
        held = set(self._by_device[device].held)
        for name in pressed:
            owner, events = self.press(name)
            if owner != device:
                raise NoSuchControl(f"`{name}` is not on `{self.layout.devices[device].name}`")
            for event_type, code, value in events:
                if event_type != EV_KEY:
                    raise NoSuchControl(f"`{name}` is not a button: only those can be held")
                (held.add if value else held.discard)(code)
        return frozenset(held)

    # ---------------------------------------------------------------- raw events
    def _look_up(self, table: Mapping[str, int | None], name: str) -> int:
        if name not in table:
            raise NoSuchControl(f"the layout has no control `{name}`")
        number = table[name]
        if number is None:
            raise NoSuchControl(f"`{name}` is on more than one device; write device.{name}")
        return number

    def _set_button(self, name: str, *, pressed: bool) -> DeviceEvents:
        button = self.layout.buttons[self.button(name)]
        control = self.layout.controls[button.control]
        part = button.part or 0
        match control:
            case ButtonControl():
                down = pressed != control.inverted
                return control.device, [(EV_KEY, control.code, int(down))]
            case StickControl():
                ways = self._pressed_ways.setdefault(control.buttons[0], set())
                (ways.add if pressed else ways.discard)(part)
                return control.device, self._stick_events(control, *_before_turning(control, ways))
            case LeverControl():
                if not pressed:
                    return control.device, self._lever_events(control, 0.0)
                axis = self._lever_axis(control)
                if axis is None:
                    assert control.key is not None  # noqa: S101 - a lever has an axis or a key
                    return control.device, [(EV_KEY, control.key, part)]
                code, span = axis
                return control.device, [(EV_ABS, code, (span.minimum, span.maximum)[part])]
            case PointerControl():
                settings = control.settings
                x, y = _before_turning(control, {part} if pressed else set())
                counts = settings.full_speed * settings.window_us / 1_000_000
                counts_x, counts_y = window_counts(x, counts), window_counts(y, counts)
                pairs = ((control.x, counts_x), (control.y, counts_y))
                return control.device, [(EV_REL, code, count) for code, count in pairs if count]

    def _stick_events(self, control: StickControl, x: float, y: float) -> list[Event]:
        axes = self._by_device[control.device].source.axes
        for code_x, code_y in control.axes:
            if code_x in axes and code_y in axes:
                return [
                    (EV_ABS, code, _from_middle(axes[code], share))
                    for code, share in ((code_x, x), (code_y, y))
                ]
        assert control.keys is not None  # noqa: S101 - a stick has axes or keys
        down = (y < -0.5, y > 0.5, x < -0.5, x > 0.5)
        return [
            (EV_KEY, code, int(is_down)) for code, is_down in zip(control.keys, down, strict=True)
        ]

    def _lever_axis(self, control: LeverControl) -> tuple[int, AxisRange] | None:
        axes = self._by_device[control.device].source.axes
        return next(((code, axes[code]) for code in control.axes if code in axes), None)

    def _lever_events(self, control: LeverControl, share: float) -> list[Event]:
        axis = self._lever_axis(control)
        if axis is None:
            assert control.key is not None  # noqa: S101 - a lever has an axis or a key
            return [(EV_KEY, control.key, int(share > 0.5))]
        code, span = axis
        return [(EV_ABS, code, _from_rest(span, control.settings.rests_at, share))]


def window_counts(share: float, full: float) -> int:
    """Whole counts for a share of `full`; a share of 100 % gets enough to be full."""
    if abs(share) >= 1.0:
        return int(math.copysign(math.ceil(abs(share) * full - 1e-9), share))
    return round(share * full)


# -------------------------------------------------------------------- stand-ins
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
                    at_rest[code] = _from_rest(axes[code], rests_at, 0.0)
        elif isinstance(control, StickControl):
            settings = control.settings
            for code_x, code_y in control.axes:
                if code_x in axes and code_y in axes:
                    at_rest[code_x] = _from_middle(axes[code_x], settings.centre_x)
                    at_rest[code_y] = _from_middle(axes[code_y], settings.centre_y)

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


def _unique_names(layout: Layout, entries: Iterable[tuple[str, int, int]]) -> dict[str, int | None]:
    """Numbers by short and by `device.` name; None for a short name that several devices have."""
    table: dict[str, int | None] = {}
    for name, device, number in entries:
        prefix = f"{layout.devices[device].name}."
        short = name.removeprefix(prefix)
        table[short] = None if short in table else number
        table[prefix + short] = number
    return table


def _before_turning(control: StickControl | PointerControl, ways: set[int]) -> tuple[float, float]:
    """The deflection which, after the control's `turn` and `flip`, points these ways together."""
    x = sum(_WAYS[way][0] for way in ways)
    y = sum(_WAYS[way][1] for way in ways)
    radius = math.hypot(x, y)
    if radius > 1.0:
        x, y = x / radius, y / radius
    settings = control.settings
    x = -x if settings.flip_x else x
    y = -y if settings.flip_y else y
    if not ways and isinstance(control, StickControl):
        return settings.centre_x, settings.centre_y
    if settings.turn_degrees == 0:
        return x, y
    angle = math.radians(settings.turn_degrees)
    cosine, sine = math.cos(angle), math.sin(angle)
    return x * cosine + y * sine, y * cosine - x * sine


def _from_middle(span: AxisRange, share: float) -> int:
    middle = (span.minimum + span.maximum) / 2
    half = (span.maximum - span.minimum) / 2
    return max(span.minimum, min(span.maximum, round(middle + share * half)))


def _from_rest(span: AxisRange, rests_at: Rest, share: float) -> int:
    whole = span.maximum - span.minimum
    if rests_at is Rest.MIDDLE:
        return _from_middle(span, share)
    if rests_at is Rest.HIGH:
        return max(span.minimum, min(span.maximum, round(span.maximum - share * whole)))
    return max(span.minimum, min(span.maximum, round(span.minimum + share * whole)))
