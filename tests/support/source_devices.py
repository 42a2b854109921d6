"""Input devices for tests on a real kernel, made by uinput, and waiting for what they send."""

from __future__ import annotations

import select
import time
from typing import Any

from evdev import AbsInfo, UInput

from remapd.codes import AXES, EV_ABS, EV_KEY, EV_REL, KEYS
from remapd.kernel.errors import SourceDenied, SourceGone
from remapd.kernel.frames import Event, Frame
from remapd.kernel.source import SourceDevice

SOUTH = KEYS["BTN_SOUTH"]
EAST = KEYS["BTN_EAST"]
X = AXES["ABS_X"]
HAT_X = AXES["ABS_HAT0X"]

#: Generous: the VM without KVM is about ten times slower than a machine.
WAIT_S = 40.0

GAMEPAD: dict[int, Any] = {
    EV_KEY: [SOUTH, EAST, KEYS["BTN_TL"]],
    EV_ABS: [
        (X, AbsInfo(0, -100, 100, 0, 0, 0)),
        (AXES["ABS_Y"], AbsInfo(3, 0, 255, 0, 15, 4)),
        (HAT_X, AbsInfo(0, -1, 1, 0, 0, 0)),
    ],
}
BALL: dict[int, Any] = {EV_KEY: [KEYS["BTN_LEFT"]], EV_REL: [0, 1]}


def make_device(codes: dict[int, Any] | None = None, **described: Any) -> UInput:
    """A gamepad unless `codes` says else; `described` is name, vendor, product, phys, ..."""
    return UInput(GAMEPAD if codes is None else codes, **{"name": "test device"} | described)


def path_of(device: UInput) -> str:
    """The event node of a made device."""
    return str(device.device.path)


def send(device: UInput, *events: Event) -> None:
    """One frame."""
    for event in events:
        device.write(*event)
    device.syn()


def open_source(device: UInput | str) -> SourceDevice:
    """Opens it, waiting for udev to allow it."""
    path = device if isinstance(device, str) else path_of(device)
    deadline = time.monotonic() + WAIT_S
    while True:
        try:
            return SourceDevice(path)
        except (SourceDenied, SourceGone):
            if time.monotonic() > deadline:
                raise
            time.sleep(0.02)


def readable(descriptor: Any, wait_s: float = WAIT_S) -> bool:
    """Waits for a poll to say that there is something to read."""
    return bool(select.select([descriptor], [], [], wait_s)[0])


def next_frames(source: SourceDevice, count: int = 1) -> list[Frame]:
    """Waits for that many frames."""
    frames: list[Frame] = []
    while len(frames) < count:
        assert readable(source), f"only {len(frames)} of {count} frames came"
        got = source.read_frames()
        assert got is not None, "the device is gone"
        frames += got
    return frames
