"""Why a layout does not find its devices in a recording, in sentences for the user."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fnmatch import fnmatchcase

from remapd.codes import EV_ABS, EV_KEY, EV_REL, code_name
from remapd.engine.layout import Device, Layout
from remapd.engine.matching import fits, has_codes, is_gamepad, is_keyboard, is_pointer
from remapd.engine.source import Source
from remapd.recording.lines import RecordingError

_SHAPES = {"gamepad": is_gamepad, "keyboard": is_keyboard, "pointer": is_pointer}


def check_found(
    layout: Layout, file: str, sources: Sequence[Source], taken: Mapping[int, int]
) -> list[str]:
    """Notes about devices of the layout that a recording lacks at its beginning.

    Raises RecordingError where it lacks all of them.
    """
    if sources and not taken:
        what = nothing_found(layout, sources)
        raise RecordingError(file, 1, what, nothing_found_remedy(layout, sources))
    return not_found(layout, sources, taken) if sources else []


def nothing_found(layout: Layout, sources: Sequence[Source]) -> str:
    """What is wrong when none of the recording's devices is one of the layout's."""
    wanted = ", ".join(f"`{device.name}`" for device in layout.devices) or "none"
    there = ", ".join(f"`{source.name}`" for source in sources)
    return f"the layout finds none of its devices ({wanted}) here; the recording has {there}"


def nothing_found_remedy(layout: Layout, sources: Sequence[Source]) -> str:
    """How near the nearest comes, and what to do about it."""
    nearest = [_nearest(device, sources) for device in layout.devices]
    return "; ".join([*nearest, "change `find` in the layout, or take another recording"])


def not_found(layout: Layout, sources: Sequence[Source], taken: Mapping[int, int]) -> list[str]:
    """One note for each device that the layout needs and the recording does not begin with."""
    found = set(taken.values())
    free = [source for source in sources if source.id not in taken]
    return [
        f"the recording has no device for `{device.name}`"
        + (f": {_nearest(device, free)}" if free else "")
        for number, device in enumerate(layout.devices)
        if number not in found and not device.optional
    ]


def _nearest(device: Device, sources: Sequence[Source]) -> str:
    """What keeps the nearest of the nodes from being this device."""
    source, reasons = min(
        ((source, _differences(device, source)) for source in sources), key=lambda it: len(it[1])
    )
    return f"`{source.name}` is not `{device.name}` because {', and '.join(reasons)}"


def _differences(device: Device, source: Source) -> list[str]:
    find = device.find
    reasons = [
        f"its {what} is `{there}` and not `{wanted}`"
        for what, wanted, there in (
            ("name", find.name, source.name),
            ("port", find.port, source.port),
            ("serial", find.serial, source.serial),
        )
        if wanted is not None and not fnmatchcase(there, wanted)
    ]
    reasons += [
        f"its {what} is 0x{there:04x} and not 0x{wanted:04x}"
        for what, wanted, there in (
            ("vendor", find.vendor, source.vendor),
            ("product", find.product, source.product),
        )
        if wanted is not None and wanted != there
    ]
    if find.shape is not None and not _SHAPES[find.shape](source):
        reasons.append(f"it is no {find.shape}")
    lacking = [
        *(code_name(EV_KEY, code) for code in sorted(device.keys - source.keys)),
        *(code_name(EV_REL, code) for code in sorted(device.rels - source.rels)),
        *(code_name(EV_ABS, code) for code in sorted(device.axes) if code not in source.axes),
    ]
    if lacking and not device.gamepad:
        reasons.append(f"it has no {', '.join(lacking[:4])}{' …' if len(lacking) > 4 else ''}")
    if source.confirmed_as and source.confirmed_as != device.name:
        return [f"a press has shown it to be `{source.confirmed_as}`"]
    if not reasons and fits(device.find, source) and has_codes(device, source):
        reasons.append(f"`nth: {find.nth}` asks for another one")
    return reasons or ["it is no gamepad"]
