"""The raw events of what a hand does with a layout's controls.

Trials and tests speak in the layout's own names: "press left-knee", "move roll to (1, 0)". Here
that becomes what the kernel would deliver: frames of raw events from the layout's stand-in devices.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable, Mapping
from typing import Final

from remapd.codes import EV_ABS, EV_KEY, EV_REL
from remapd.engine.layout import (
    ButtonControl,
    Control,
    Layout,
    LeverControl,
    PointerControl,
    StickControl,
)
from remapd.engine.source import AxisRange
from remapd.recording.lines import Event
from remapd.recording.stand_ins import StandIn, from_middle, from_rest, stand_ins

#: Events of one source: the layout device's index, and what its node sends in one frame.
DeviceEvents = tuple[int, list[Event]]

#: Where a stick goes when a direction is pressed: up, down, left, right; y grows downward.
_WAYS: Final = ((0.0, -1.0), (0.0, 1.0), (-1.0, 0.0), (1.0, 0.0))


class NoSuchControl(LookupError):
    """The layout has no control of this name, or it cannot do what was asked of it."""


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
                return self.deflect(control, x, y)
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

    def pointer_of(self, name: str) -> PointerControl | None:
        """The pointer that this is the name of, or of a direction of; None for anything else."""
        if name in self._controls:
            control = self.control(name)
        elif name in self._buttons:
            control = self.layout.controls[self.layout.buttons[self.button(name)].control]
        else:
            return None
        return control if isinstance(control, PointerControl) else None

    def deflection_of(self, name: str) -> tuple[float, float]:
        """Where a stick or pointer has to go for this direction of it to be pressed."""
        button = self.layout.buttons[self.button(name)]
        control = self.layout.controls[button.control]
        if not isinstance(control, StickControl | PointerControl) or button.part is None:
            raise NoSuchControl(f"`{name}` is not a direction")
        return _before_turning(control, {button.part})

    def deflect(self, pointer: PointerControl, x: float, y: float) -> DeviceEvents:
        """The counts that this share of full speed leaves in a pointer's window, in one frame."""
        settings = pointer.settings
        full = settings.full_speed * settings.window_us / 1_000_000
        pairs = ((pointer.x, window_counts(x, full)), (pointer.y, window_counts(y, full)))
        return pointer.device, [(EV_REL, code, count) for code, count in pairs if count]

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
                ways = {part} if pressed else set()
                return self.deflect(control, *_before_turning(control, ways))

    def _stick_events(self, control: StickControl, x: float, y: float) -> list[Event]:
        axes = self._by_device[control.device].source.axes
        for code_x, code_y in control.axes:
            if code_x in axes and code_y in axes:
                return [
                    (EV_ABS, code, from_middle(axes[code], share))
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
        return [(EV_ABS, code, from_rest(span, control.settings.rests_at, share))]


def window_counts(share: float, full: float) -> int:
    """Whole counts for a share of `full`; a share of 100 % gets enough to be full."""
    if abs(share) >= 1.0:
        return int(math.copysign(math.ceil(abs(share) * full - 1e-9), share))
    return round(share * full)


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
