"""What the layout in force has, for those who show it or play its cues."""

from __future__ import annotations

from typing import Any

from remapd.analysis.layers_that_stay import layers_that_stay
from remapd.engine.layout import (
    ButtonControl,
    Control,
    Layout,
    LeverControl,
    PointerControl,
)
from remapd.engine.pad_controls import PERSON_NAMES


def described(layout: Layout) -> dict[str, Any]:
    """Plain data, as docs/control-socket.md describes it."""
    stays = layers_that_stay(layout)
    return {
        "title": layout.title,
        "layers": [
            {"layer": layer.name, "stays": number in stays}
            for number, layer in enumerate(layout.layers)
        ],
        "controls": [
            {
                "control": control.name,
                **_kind(control),
                "device": layout.devices[control.device].name,
                "person": PERSON_NAMES[layout.devices[control.device].person],
            }
            for control in layout.controls
        ],
        "verbs": dict(layout.verbs),
        "cues": _plain(layout.cues),
    }


def _kind(control: Control) -> dict[str, str]:
    match control:
        case ButtonControl():
            return {"kind": "button"}
        case LeverControl():
            return {"kind": "lever", "rests_at": control.settings.rests_at.value}
        case PointerControl():
            return {"kind": "pointer"}
    return {"kind": "stick"}


def _plain(value: Any) -> Any:
    """Read-only mappings as dictionaries, all the way down."""
    if hasattr(value, "items"):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value
