"""A board of controls that the tests of the layout language share, and the pad's changes as text.

A layout of these tests is a few layers, one string each, over controls whose names are fixed:

    player, device `switches`:  knee cheek elbow thumb heel chin     buttons
            device `joystick`:  wand                                 a stick
            device `pedals`:    pedal (rests low), breath (sip, puff) levers
            device `trackball`: ball                                 a pointer, 800 counts/s
    helper, device `aides`:     mate crew deck, tiller, gaff         buttons, a stick, a lever

Only the devices whose controls the layers name are written into the layout.
"""

from __future__ import annotations

import re

from remapd.recording.pad_changes import Change
from tests.support.bench import Bench

DEVICES: dict[str, tuple[str, dict[str, str]]] = {
    "switches": (
        'find: {name: "Switch box"}',
        {
            name: f"button: BTN_{number}"
            for number, name in enumerate(("knee", "cheek", "elbow", "thumb", "heel", "chin"))
        },
    ),
    "joystick": ('find: {name: "Long joystick"}', {"wand": "stick: [ABS_X, ABS_Y]"}),
    "pedals": (
        'find: {name: "Pedals"}',
        {
            "pedal": "lever: ABS_Z",
            "breath": "lever: ABS_RZ, rests-at: middle, ends: [sip, puff]",
        },
    ),
    "trackball": (
        'find: {name: "Large trackball"}',
        {"ball": "pointer: [REL_X, REL_Y], full-speed: 800/s"},
    ),
    "aides": (
        'person: helper\n    find: {name: "Aide box"}',
        {
            "mate": "button: BTN_0",
            "crew": "button: BTN_1",
            "deck": "button: BTN_2",
            "tiller": "stick: [ABS_X, ABS_Y]",
            "gaff": "lever: ABS_Z",
        },
    ),
}


def board(*layers: str, top: str = "", **settings: str) -> str:
    """The text of a layout.

    Args:
        layers: `name: {control: action, ...}` each; the first is the base.
        top: further top-level lines.
        settings: by control name, what is added to its mapping (`knee="acceptance-delay: 80ms"`).
    """
    said = " ".join((*layers, top, *settings))
    lines = ["remapd: 1", "title: A board for tests", f"base: {layers[0].split(':')[0]}"]
    lines += [line for line in top.strip().splitlines() if line]
    lines.append("devices:")
    for device, (head, controls) in DEVICES.items():
        if not re.search(rf"\b({'|'.join(controls)})\b", said):
            continue
        lines += [f"  {device}:", f"    {head}", "    controls:"]
        for name, kind in controls.items():
            more = f", {settings[name]}" if name in settings else ""
            lines.append(f"      {name}: {{{kind}{more}}}")
    lines.append("layers:")
    lines += [f"  {layer}" for layer in layers]
    return "\n".join(lines) + "\n"


def milliseconds(us: int) -> str:
    """A time in ms, exactly: 62500 is `62.5`."""
    whole, rest = divmod(us, 1000)
    return f"{whole}.{rest:03}".rstrip("0") if rest else str(whole)


def line(change: Change) -> str:
    """`press south`, `left-stick 0 -32767`, `right-trigger 255`."""
    if change.value is None:
        return f"{change.what} {change.control}"
    if isinstance(change.value, tuple):
        return f"{change.control} {change.value[0]} {change.value[1]}"
    return f"{change.control} {change.value}"


def frames(bench: Bench, until: float | None = None) -> list[str]:
    """Every frame so far, each as `120: release south, press east, left-stick 0 0`.

    Time goes on to `until` (ms) first, where it is given.
    """
    if until is not None:
        bench.until(until)
    return [
        f"{milliseconds(us)}: {', '.join(line(change) for change in changes)}"
        for us, changes in bench.frames
    ]
