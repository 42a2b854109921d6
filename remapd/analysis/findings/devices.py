"""Findings about devices that others use too: a family's keyboard, the mouse of the desktop."""

from __future__ import annotations

from collections.abc import Iterator

from remapd.analysis.findings.finding import Finding, Weight
from remapd.analysis.reach.proof import Proof
from remapd.engine.layout import Device, PointerControl
from remapd.engine.matching import LETTER_KEYS


def check_devices(proof: Proof) -> Iterator[Finding]:
    """Every device that is, or may be, a typing keyboard or a mouse."""
    for device in proof.layout.devices:
        if device.find.shape == "keyboard" or device.keys >= LETTER_KEYS:
            yield _keyboard(device)
        elif _is_pointer(proof, device) and not device.exclusive_in_words:
            yield Finding(
                "pointer-shared",
                Weight.NOTE,
                f"`{device.name}` moves the mouse arrow as well: a mouse is taken for remapd alone "
                "only where the file says so",
                ("write `exclusive: true` if the arrow should stay still",),
                (("device", device.name),),
            )


def _keyboard(device: Device) -> Finding:
    place = (("device", device.name),)
    if device.exclusive and device.exclusive_in_words:
        return Finding(
            "keyboard-taken",
            Weight.WARNING,
            f"`{device.name}` takes a typing keyboard whole: while remapd runs, nobody can type on "
            "it. Holding Esc for 5 s pauses remapping and gives it back",
            (
                "use a second keyboard, or one that nobody types on (`find` it by name), or leave "
                "out `exclusive: true`",
            ),
            place,
        )
    return Finding(
        "keyboard-shared",
        Weight.NOTE,
        f"`{device.name}` is heard by games and programs as well: each press counts twice where "
        "a game listens to the keyboard too",
        ("write `exclusive: true` if remapd alone should hear it; then nobody can type on it",),
        place,
    )


def _is_pointer(proof: Proof, device: Device) -> bool:
    return device.find.shape == "pointer" or any(
        isinstance(proof.layout.controls[number], PointerControl) for number in device.controls
    )
