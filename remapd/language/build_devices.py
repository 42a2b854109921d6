"""Devices and their controls: numbers every control and button, and makes their names known."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass, field

from remapd import codes
from remapd.diagnostics import Span
from remapd.engine.layout import (
    Button,
    ButtonControl,
    Control,
    Device,
    Find,
    LeverControl,
    PointerControl,
    StickControl,
)
from remapd.engine.pad_controls import PERSON_NAMES
from remapd.engine.settings import (
    PLAIN,
    ButtonSettings,
    LeverSettings,
    Rest,
    StickSettings,
    with_overrides,
)
from remapd.language import messages
from remapd.language.build_settings import check_thresholds, overrides_of
from remapd.language.gamepad_controls import gamepad_controls
from remapd.language.names import DIRECTIONS, RESERVED, ControlNames, Spot, part_names
from remapd.language.reporter import Reporter
from remapd.language.values import Entries, Entry, Fields

Places = dict[tuple[str, ...], Span]


@dataclass(slots=True)
class Inventory:
    """All devices, controls and buttons of a layout, and their names."""

    devices: list[Device] = field(default_factory=list)
    controls: list[Control] = field(default_factory=list)
    buttons: list[Button] = field(default_factory=list)
    names: ControlNames = field(default_factory=ControlNames)
    places: Places = field(default_factory=dict)

    def button_at(self, spot: Spot) -> int:
        """The number of the button at a spot that can be pressed."""
        control = self.controls[spot.control]
        if isinstance(control, ButtonControl):
            return control.button
        if spot.part is None:
            raise ValueError(f"{control.name} is not pressed as a whole")
        return control.buttons[spot.part]


def build_devices(entries: Sequence[Entry], reporter: Reporter) -> Inventory:
    """The devices in their order; what is broken is left out, its names stay known."""
    building = _Building(reporter)
    for entry in entries:
        building.device(entry)
    building.finish()
    return building.inventory


class _Building:
    """One pass over the devices."""

    def __init__(self, reporter: Reporter) -> None:
        self.reporter = reporter
        self.inventory = Inventory()
        self.inventory.names.controls = self.inventory.controls
        #: Names of controls, with the place where the first of that name stands.
        self.control_places: dict[str, Span] = {}
        self.device_places: dict[str, Span] = {}
        self.written_places: list[tuple[str, str, Span]] = []

    def device(self, entry: Entry) -> None:
        inventory = self.inventory
        name = entry.name
        if name in inventory.names.devices:
            self.reporter.report(
                messages.DEVICE_TWICE,
                entry.key.span,
                name=name,
                notes=[("the first one is here", self.device_places[name])],
            )
            return
        self.device_places[name] = entry.key.span
        self.refuse_reserved(entry, "a device")
        number = inventory.names.devices[name] = len(inventory.devices)
        inventory.places["device", name] = entry.key.span
        if entry.value is None:
            inventory.names.incomplete = True
            inventory.devices.append(Device(name, Find()))
            return
        fields: Fields = entry.value.data
        inventory.devices.append(Device(name, Find()))
        first = len(inventory.controls)
        controls = fields.value("controls")
        is_gamepad = fields.data("controls") == "gamepad"
        if is_gamepad:
            self.gamepad(name, number, fields.values["controls"].span)
        elif controls is not None and isinstance(controls.data, Entries):
            self.written_controls(name, number, controls.data)
        else:
            inventory.names.incomplete = True
        mine = inventory.controls[first:]
        if not is_gamepad:
            self.warn_of_code_read_twice(mine, first)
        inventory.devices[number] = _device(name, fields, tuple(mine), first, is_gamepad)

    def gamepad(self, device: str, number: int, span: Span) -> None:
        names = self.inventory.names
        for control in gamepad_controls(number, len(self.inventory.buttons)):
            at = len(self.inventory.controls)
            self.add(device, control, span)
            names.add(device, control.name, Spot(at))
            if control.name == "dpad":
                for part, direction in enumerate(DIRECTIONS):
                    names.add(device, f"dpad-{direction}", Spot(at, part))

    def written_controls(self, device: str, number: int, entries: Entries) -> None:
        for entry in entries.items:
            self.refuse_reserved(entry, "a control")
            self.control_places.setdefault(entry.name, entry.key.span)
            control = None
            if entry.value is not None:
                control = self.control(entry.name, number, entry.value.data)
            if control is None:
                self.inventory.names.add(device, entry.name, None)
                continue
            spot = Spot(len(self.inventory.controls))
            self.add(device, control, entry.key.span)
            self.inventory.names.add(device, entry.name, spot)

    def add(self, device: str, control: Control, span: Span) -> None:
        """Numbers the buttons of a control that has been made for them."""
        at = len(self.inventory.controls)
        self.inventory.controls.append(control)
        parts = part_names(control)
        if parts:
            self.inventory.buttons += [
                Button(f"{control.name}.{part}", at, index) for index, part in enumerate(parts)
            ]
        else:
            self.inventory.buttons.append(Button(control.name, at))
        self.written_places.append((device, control.name, span))

    def control(self, name: str, device: int, fields: Fields) -> Control | None:
        """A control of one of the four kinds; None where what it reads is broken."""
        source = fields.value(fields.decider)
        if source is None:
            return None
        button = len(self.inventory.buttons)
        overrides = overrides_of(fields, lever=fields.decider == "lever")
        if fields.decider == "button":
            return ButtonControl(
                name,
                device,
                source.data,
                button,
                fields.data("inverted", default=False),
                with_overrides(ButtonSettings(), overrides),
            )
        if fields.decider == "lever":
            return self.lever(name, device, button, fields, source.data)
        x, y = (each.data for each in source.data)
        if x == y:
            code = getattr(source.data[1].node, "text", "")
            self.reporter.report(messages.SAME_AXIS_TWICE, source.data[1].span, code=code)
        buttons = (button, button + 1, button + 2, button + 3)
        is_pointer = fields.decider == "pointer"
        plain = StickSettings(dead_zone=0.0) if is_pointer else StickSettings()
        settings = with_overrides(plain, overrides)
        check_thresholds(settings, fields, self.reporter)
        if is_pointer:
            return PointerControl(name, device, x, y, buttons, settings)
        return StickControl(name, device, ((x, y),), buttons, settings=settings)

    def lever(self, name: str, device: int, button: int, fields: Fields, axis: int) -> LeverControl:
        rest = Rest(fields.data("rests-at", "low"))
        settings = with_overrides(
            LeverSettings(rests_at=rest, buttons=PLAIN), overrides_of(fields, lever=True)
        )
        check_thresholds(settings, fields, self.reporter)
        ends = ("low", "high")
        if (written := fields.value("ends")) is not None:
            low, high = (each.data for each in written.data)
            ends = (low, high)
            if low == high:
                self.reporter.report(messages.ENDS_ALIKE, written.data[1].span, name=high)
        return LeverControl(name, device, (axis,), (button, button + 1), ends, settings=settings)

    def refuse_reserved(self, entry: Entry, what: str) -> None:
        if entry.name in RESERVED:
            self.reporter.report(messages.RESERVED_NAME, entry.key.span, name=entry.name, what=what)

    def warn_of_code_read_twice(self, controls: Sequence[Control], first: int) -> None:
        """Two controls of a device that read the same code; most often a slip of the pen."""
        readers: dict[tuple[int, int], str] = {}
        for number, control in enumerate(controls, first):
            for code in _codes_of(control):
                if readers.setdefault(code, control.name) != control.name:
                    self.reporter.report(
                        messages.CODE_READ_TWICE,
                        self.written_places[number][2],
                        code=codes.code_name(*code),
                        first=readers[code],
                        second=control.name,
                    )

    def finish(self) -> None:
        """Once all names are known: refuses those of two meanings, and gives controls theirs."""
        inventory = self.inventory
        names = inventory.names
        for name, span in self.control_places.items():
            if name in names.devices:
                self.reporter.report(
                    messages.NAME_TAKEN,
                    span,
                    name=name,
                    notes=[("the device is here", self.device_places[name])],
                )
        for number, (device, short, span) in enumerate(self.written_places):
            own = names.own_name(device, short)
            inventory.places["control", own] = span
            if own == short:
                continue
            inventory.controls[number] = dataclasses.replace(inventory.controls[number], name=own)
            control = inventory.controls[number]
            numbers = (control.button,) if isinstance(control, ButtonControl) else control.buttons
            for at in numbers:
                button = inventory.buttons[at]
                full = f"{device}.{button.name}"
                inventory.buttons[at] = dataclasses.replace(button, name=full)


def _device(
    name: str, fields: Fields, controls: tuple[Control, ...], first: int, is_gamepad: bool
) -> Device:
    find = fields.data("find")
    keys: set[int] = set()
    rels: set[int] = set()
    axes: set[int] = set()
    by_type = {codes.EV_KEY: keys, codes.EV_REL: rels, codes.EV_ABS: axes}
    for control in controls:
        for event_type, code in [] if is_gamepad else _codes_of(control):
            by_type[event_type].add(code)
    if is_gamepad:
        keys = {codes.KEYS["BTN_SOUTH"]}
    return Device(
        name,
        _find(find) if find is not None else Find(),
        PERSON_NAMES.index(fields.data("person", "player")),
        fields.data("exclusive", default=True),
        fields.data("exclusive", default=False),
        fields.data("optional", default=False),
        is_gamepad,
        tuple(range(first, first + len(controls))),
        frozenset(keys),
        frozenset(rels),
        frozenset(axes),
        float(fields.data("rumble", default=False)),  # `true` is the whole of it
    )


def _find(fields: Fields) -> Find:
    return Find(**{name: value.data for name, value in fields.values.items()})


def _codes_of(control: Control) -> list[tuple[int, int]]:
    match control:
        case ButtonControl():
            return [(codes.EV_KEY, control.code)]
        case PointerControl():
            return [(codes.EV_REL, control.x), (codes.EV_REL, control.y)]
        case StickControl():
            return [(codes.EV_ABS, axis) for pair in control.axes for axis in pair]
        case LeverControl():
            return [(codes.EV_ABS, axis) for axis in control.axes]
