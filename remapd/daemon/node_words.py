"""Devices in words: what is plugged in."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from remapd.codes import KEYS
from remapd.kernel.hotplug import NodeDescription

_POWER_KEYS: Final = frozenset(KEYS[name] for name in ("KEY_POWER", "KEY_SLEEP", "KEY_WAKEUP"))


def what_is_there(names: Iterable[str]) -> str:
    """The devices that are plugged in and not taken."""
    listed = ", ".join(f"“{name}”" for name in sorted(set(names)))
    return f"plugged in beside it: {listed}" if listed else "nothing else is plugged in"


def can_be_pressed_or_moved(node: NodeDescription) -> bool:
    """Not so: the speaker, and the machine's own power button."""
    return bool(node.rels or node.axes or node.keys - _POWER_KEYS)
