"""Which event node is which device of the layout (`find`).

A node is taken once, by the first device in the file that it fits. `nth` picks among the nodes that
match alike, in the order of their port.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from fnmatch import fnmatchcase

from remapd.engine.layout import Device, Find, Layout
from remapd.engine.source import Source

BTN_LEFT = 0x110
BTN_SOUTH = 0x130
REL_X = 0x00
REL_Y = 0x01
#: KEY_A to KEY_Z, as the three rows of a keyboard number them.
LETTER_KEYS = frozenset((*range(16, 26), *range(30, 39), *range(44, 51)))


def is_gamepad(source: Source) -> bool:
    """Has BTN_SOUTH, by which the Linux gamepad specification knows a pad."""
    return BTN_SOUTH in source.keys


def is_keyboard(source: Source) -> bool:
    """Has all letter keys: a keyboard that somebody types on."""
    return source.keys >= LETTER_KEYS


def is_pointer(source: Source) -> bool:
    """Has two relative axes and a left mouse button."""
    return REL_X in source.rels and REL_Y in source.rels and BTN_LEFT in source.keys


_SHAPES = {"gamepad": is_gamepad, "keyboard": is_keyboard, "pointer": is_pointer}


def fits(find: Find, source: Source) -> bool:
    """Whether every key of `find` but `nth` matches the node."""
    return (
        (find.name is None or fnmatchcase(source.name, find.name))
        and (find.port is None or fnmatchcase(source.port, find.port))
        and (find.serial is None or fnmatchcase(source.serial, find.serial))
        and (find.vendor is None or find.vendor == source.vendor)
        and (find.product is None or find.product == source.product)
        and (find.shape is None or _SHAPES[find.shape](source))
    )


def is_device(device: Device, source: Source) -> bool:
    """Whether the node may be this device; one that was confirmed is that device alone."""
    if source.confirmed_as:
        return source.confirmed_as == device.name
    return fits(device.find, source) and has_codes(device, source)


def has_codes(device: Device, source: Source) -> bool:
    """Whether the node can send every code that the device's controls name."""
    if device.gamepad and not is_gamepad(source):
        return False
    return (
        device.keys <= source.keys
        and device.rels <= source.rels
        and all(code in source.axes for code in device.axes)
    )


def port_order(source: Source) -> tuple[tuple[tuple[int, int, str], ...], int]:
    """Sorts ports as a person reads them: `usb-2` before `usb-10`; then by id."""
    parts = re.findall(r"\d+|\D+", source.port)
    return tuple((0, int(p), "") if p.isdigit() else (1, 0, p) for p in parts), source.id


def match(
    layout: Layout, sources: Iterable[Source], current: Mapping[int, int] | None = None
) -> dict[int, int]:
    """Who takes whom: source id to device index, of all nodes that are plugged in.

    A device that has a node now (`current`, in the same terms) keeps it; only `nth`, which is about
    the order of those that are there, may move one.
    """
    ordered = sorted(sources, key=port_order)
    in_use = dict(current or {})
    taken: dict[int, int] = {}
    for index, device in enumerate(layout.devices):
        alike = [source for source in ordered if is_device(device, source)]
        nth = device.find.nth
        if nth is not None:
            alike = alike[nth - 1 : nth]
        else:
            alike.sort(key=lambda s: _preference(in_use.get(s.id), index))
        for source in alike:
            if source.id not in taken:
                taken[source.id] = index
                break
    return taken


def _preference(in_use_as: int | None, device: int) -> int:
    """First the node that the device has, then the free ones, then those of others."""
    if in_use_as == device:
        return 0
    return 1 if in_use_as is None else 2
