"""What a layout looks for, in words: `find` as status, health and packs say it."""

from __future__ import annotations

import re
import shlex

from remapd.engine.layout import Device


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


def set_line(device: str, port: str) -> str:
    """What to type, so that the layout says at which port a device is."""
    pattern = re.sub(r"[*?[]", r"[\g<0>]", port)
    return f"remapd set {device}.find.port {shlex.quote(pattern)}"
