"""Devices as a recording describes them, and events by the names of their codes."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, NoReturn

from remapd.codes import EV_ABS, EV_KEY, EV_REL, code_number
from remapd.engine.source import AxisRange, Source
from remapd.recording.fields import INT32, UINT16, integer, shown, text
from remapd.recording.json_lines import JsonLines
from remapd.recording.lines import Event, RecordedDevice

_TYPES: Final = {"EV_KEY": EV_KEY, "EV_REL": EV_REL, "EV_ABS": EV_ABS}

#: Event name to its type's name, its type and its code, for one device.
Names = dict[str, tuple[str, int, int]]


def described_device(
    lines: JsonLines, number: int, fields: Mapping[str, object]
) -> tuple[RecordedDevice, Names]:
    """The device that a line describes, at rest, and the names of its codes."""
    names: Names = {}
    keys, rels, axes = _codes(lines, fields, names)
    source = Source(
        id=number,
        name=text(lines, fields, "name"),
        vendor=integer(lines, fields, "vendor", UINT16, default=0),
        product=integer(lines, fields, "product", UINT16, default=0),
        version=integer(lines, fields, "version", UINT16, default=0),
        bus=integer(lines, fields, "bus", UINT16, default=0),
        port=text(lines, fields, "port", default=""),
        serial=text(lines, fields, "serial", default=""),
        confirmed_as=text(lines, fields, "confirmed-as", default=""),
        keys=keys,
        rels=rels,
        axes=axes,
    )
    return RecordedDevice(source), names


def with_state(
    lines: JsonLines, device: RecordedDevice, names: Names, fields: Mapping[str, object]
) -> RecordedDevice:
    """The device with the line's `held` and `axes`."""
    held = fields.get("held", [])
    if not isinstance(held, list):
        lines.fail("`held` is not a list of names")
    codes = set()
    for name in held:
        known = _look_up(name, names)
        if known is None or known[0] != "EV_KEY":
            lines.fail(f"`held` names {shown(name)}, which the device has not")
        codes.add(known[2])
    values = fields.get("axes", {})
    if not isinstance(values, dict):
        lines.fail("`axes` is not a group of axes with their values")
    axes = {}
    for name, value in values.items():
        known = _look_up(name, names)
        if known is None or known[0] != "EV_ABS":
            lines.fail(f"`axes` names {shown(name)}, which the device has not")
        if value.__class__ is not int or value not in INT32:
            lines.fail(f"the value of {name} cannot be {shown(value)}")
        axes[known[2]] = value
    return RecordedDevice(device.source, frozenset(codes), MappingProxyType(axes))


def _codes(
    lines: JsonLines, fields: Mapping[str, object], names: Names
) -> tuple[frozenset[int], frozenset[int], Mapping[int, AxisRange]]:
    codes = fields.get("codes")
    if not isinstance(codes, dict):
        lines.fail("a device has no `codes`")
    found: dict[int, list[int]] = {EV_KEY: [], EV_REL: []}
    for type_name, event_type in (("EV_KEY", EV_KEY), ("EV_REL", EV_REL)):
        listed = codes.get(type_name, [])
        if not isinstance(listed, list):
            lines.fail(f"`{type_name}` is not a list of names")
        for name in listed:
            code = _number(lines, type_name, name)
            names[name] = (type_name, event_type, code)
            found[event_type].append(code)
    ranges = codes.get("EV_ABS", {})
    if not isinstance(ranges, dict):
        lines.fail("`EV_ABS` is not a group of axes with their ranges")
    axes = {}
    for name, numbers in ranges.items():
        code = _number(lines, "EV_ABS", name)
        names[name] = ("EV_ABS", EV_ABS, code)
        axes[code] = _range(lines, name, numbers)
    return frozenset(found[EV_KEY]), frozenset(found[EV_REL]), MappingProxyType(axes)


def _range(lines: JsonLines, name: str, numbers: object) -> AxisRange:
    if (
        not isinstance(numbers, list)
        or len(numbers) != 5
        or any(number.__class__ is not int or number not in INT32 for number in numbers)
    ):
        lines.fail(f"the range of {name} is not [min, max, fuzz, flat, resolution]")
    return AxisRange(*numbers)


def read_event(lines: JsonLines, event: object, names: Names) -> Event:
    """One event of a frame, whose name may be any that its code has."""
    if not isinstance(event, list) or len(event) != 3:
        lines.fail(f"{shown(event)} is not an event: type, code and value")
    type_name, name, value = event
    known = _look_up(name, names)
    if known is None or known[0] != type_name or value.__class__ is not int or value not in INT32:
        fail_at_event(lines, type_name, name, value)
    return known[1], known[2], value


def _look_up(name: object, names: Names) -> tuple[str, int, int] | None:
    """What the device means by a name, which may be another name of a code that it has."""
    if not isinstance(name, str):
        return None
    if name not in names:
        try:
            event_type, code = code_number(name)
        except KeyError:
            return None
        for entry in names.values():
            if entry[1:] == (event_type, code):
                names[name] = entry
                break
    return names.get(name)


def _number(lines: JsonLines, type_name: str, name: object) -> int:
    try:
        event_type, code = code_number(name) if isinstance(name, str) else (-1, -1)
    except KeyError:
        event_type, code = -1, -1
    if event_type != _TYPES[type_name]:
        lines.fail(f"{shown(name)} is not a code of {type_name}")
    return code


def fail_at_event(lines: JsonLines, type_name: object, name: object, value: object) -> NoReturn:
    """Says what is wrong with an event."""
    if not isinstance(type_name, str) or type_name not in _TYPES:
        lines.fail(f"{shown(type_name)} is not a type of event")
    _number(lines, type_name, name)
    if value.__class__ is not int or value not in INT32:
        lines.fail(f"the value of {name} cannot be {shown(value)}")
    lines.fail(f"the device has no {name}: its description in the recording lacks it")
