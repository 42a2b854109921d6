"""Messages of the control socket as tests write them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

Message = dict[str, Any]


def status(**changes: Any) -> Message:
    """The answer to `status`; changes replace its parts."""
    parts: Message = {
        "layout": {
            "path": "/home/bo/harbour.yaml",
            "title": "Harbour",
            "in_force_us": 0,
            "took_us": None,
        },
        "refused": None,
        "paused": None,
        "layers": ["sail"],
        "devices": [device("knees")],
        "others": [],
    }
    return {"ok": True, "status": parts | changes}


def device(called: str, state: str = "taken", **changes: Any) -> Message:
    """One device of the status."""
    fields: Message = {
        "device": called,
        "person": "player",
        "optional": False,
        "looks_for": "a box of switches",
        "state": state,
        "name": "Switch box",
        "node": "/dev/input/event3",
        "alone": True,
        "waits_to_be_alone": False,
        "problem": "another program has it",
    }
    return fields | changes


def layout(
    controls: Sequence[tuple[str, str]] = (("left-knee", "button"), ("roll", "pointer")),
    layers: Sequence[str] = ("sail", "net"),
    **verbs: str,
) -> Message:
    """The answer to `layout`."""
    return {
        "ok": True,
        "layout": {
            "title": "Harbour",
            "layers": [{"layer": name, "stays": True} for name in layers],
            "controls": [
                {"control": name, "kind": kind, "device": "knees", "person": "player"}
                for name, kind in controls
            ],
            "verbs": verbs or {"hoist": "south", "steer": "left-stick"},
            "cues": {},
        },
    }


def press(control: str, us: int, *, pressed: bool = True) -> Message:
    """A control of a hand."""
    return {"event": "control", "us": us, "control": control, "pressed": pressed}


def pad(control: str, us: int, change: str = "press") -> Message:
    """A button of the pad."""
    return {"event": "pad", "us": us, "control": control, "change": change}


def stick(control: str, us: int, x: int, y: int) -> Message:
    """A stick of the pad."""
    return {"event": "pad", "us": us, "control": control, "at": [x, y]}


def notice(kind: str, text: str, us: int, person: str = "player") -> Message:
    """Something that people are told."""
    return {"event": "notice", "us": us, "kind": kind, "text": text, "person": person}


def layer(kind: str, text: str, us: int, layers: Sequence[str]) -> Message:
    """A layer that comes on or goes off."""
    return {"event": "layer", "us": us, "kind": kind, "text": text, "layers": list(layers)}


def decision(control: str, text: str, us: int) -> Message:
    """What became of a press."""
    return {"event": "decision", "us": us, "control": control, "text": text}
