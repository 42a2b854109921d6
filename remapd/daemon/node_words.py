"""Devices in words: what a layout looks for, and what is there."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from remapd.codes import KEYS
from remapd.engine.layout import Device
from remapd.kernel.hotplug import NodeDescription

_POWER_KEYS: Final = frozenset(KEYS[name] for name in ("KEY_POWER", "KEY_SLEEP", "KEY_WAKEUP"))


def found_by(device: Device) -> str:
    """What the layout looks for."""
    find = device.find
    parts = [
        f"{key} “{value}”"
        for key, value in (("name", find.name), ("port", find.port), ("serial", find.serial))
        if value is not None
    ]
    parts += [
        f"{key} 0x{value:04x}"
        for key, value in (("vendor", find.vendor), ("product", find.product))
        if value is not None
    ]
    if find.shape is not None:
        parts.append(f"any {find.shape}")
    if find.nth is not None:
        parts.append(f"number {find.nth} of them")
    return ", ".join(parts) if parts else "any device with its controls"


def what_is_there(names: Iterable[str]) -> str:
    """The devices that are plugged in and not taken."""
    listed = ", ".join(f"“{name}”" for name in sorted(set(names)))
    return f"plugged in beside it: {listed}" if listed else "nothing else is plugged in"


def can_be_pressed_or_moved(node: NodeDescription) -> bool:
    """Not so: the speaker, and the machine's own power button."""
    return bool(node.rels or node.axes or node.keys - _POWER_KEYS)
