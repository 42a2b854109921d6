"""`remapd devices` on real devices: what it lists, what it names when pressed, and the bench."""

from __future__ import annotations

import json
import os
import signal
import struct
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from evdev import InputDevice, UInput, ecodes

from tests.support.daemon import BOX, GAMEPAD, KEYBOARD, press, release, until
from tests.support.source_devices import WAIT_S, open_source, path_of

Plug = Callable[..., UInput]
#: linux/input.h's struct input_event; the kernel puts its own time in.
_EVENT = struct.Struct("llHHi")


class Devices:
    """`remapd devices …` as a process; what it says goes to files, which no reader can hold up."""

    def __init__(self, folder: Path, *words: str) -> None:
        self._out, self._asks = folder / "out", folder / "asks"
        with self._out.open("wb") as out, self._asks.open("wb") as asks:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "remapd", "devices", *words],
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=asks,
            )

    def until_said(self, words: str, times: int = 1) -> None:
        """Waits until it has printed or asked this so many times."""

        def is_said() -> bool:
            if (self._out.read_text() + self._asks.read_text()).count(words) >= times:
                return True
            assert self.process.poll() is None, self._asks.read_text()
            return False

        until(is_said)

    def output(self, *, interrupt: bool = False) -> str:
        """All that it has printed, at its end."""
        if interrupt:
            self.process.send_signal(signal.SIGINT)
        assert self.process.wait(6 * WAIT_S) == 0, self._asks.read_text()
        return self._out.read_text()


def test_it_lists_what_each_device_is_and_who_has_taken_it(plug: Plug, tmp_path: Path) -> None:
    pad = plug(GAMEPAD, "Listed pad", vendor=0x1209, product=0x7A01)
    box = plug(BOX, "Listed box", phys="dock-4/input0")
    keyboard = plug(KEYBOARD, "Listed keyboard")
    for device in (pad, box, keyboard):
        open_source(device).close()  # udev allows it a moment after the plug
    other_program: InputDevice[str] = InputDevice(path_of(keyboard))
    other_program.grab()
    try:
        told = Devices(tmp_path, "--no-live").output()
        found = json.loads(Devices(tmp_path, "--json").output())
    finally:
        other_program.close()
    listed: dict[str, Any] = {each["name"]: each for each in found}

    assert listed["Listed pad"]["kind"] == "gamepad"
    assert listed["Listed pad"]["axes"]["ABS_Z"] == [0, 255, 0, 0, 0]
    assert listed["Listed pad"]["taken_alone"] is False
    assert listed["Listed box"]["keys"] == [f"BTN_{number}" for number in range(8)]
    assert listed["Listed box"]["port"] == "dock-4/input0"
    assert listed["Listed keyboard"]["kind"] == "keyboard"
    assert listed["Listed keyboard"]["taken_alone"] is True
    assert os.getpid() in [each["process"] for each in listed["Listed keyboard"]["open_in"]]

    assert "“Listed box” is a " in told
    assert 'find: {name: "Listed box"' in told
    _, _, of_keyboard = told.partition("“Listed keyboard” is ")
    assert "One program has taken it for itself" in of_keyboard.partition("\n\n")[0]


def test_what_is_pressed_is_named_and_becomes_lines_of_a_layout(plug: Plug, tmp_path: Path) -> None:
    box = plug(BOX, "Named box")
    open_source(box).close()
    live = Devices(tmp_path, "Named box", "--live", "--plain")
    live.until_said(f"Named box: a switch box with 8 switches, at {path_of(box)}.")
    press(box, ecodes.BTN_3)
    live.until_said("Named box: BTN_3 pressed")
    release(box, ecodes.BTN_3)
    box.close()
    live.until_said("Named box is gone.")
    again = plug(BOX, "Named box")
    live.until_said("Named box: a switch box with 8 switches, at ", times=2)
    press(again, ecodes.BTN_5)
    release(again, ecodes.BTN_5)
    live.until_said("Named box: BTN_5 released after")
    _, _, lines = live.output(interrupt=True).rpartition("For a layout:\n")
    assert "# Named box" in lines
    first = next(line for line in lines.splitlines() if "button:" in line)
    assert "BTN_5" in first


def test_the_bench_tells_a_bouncing_contact_from_presses(plug: Plug, tmp_path: Path) -> None:
    box = plug(BOX, "Bench box")
    open_source(box).close()
    bench = Devices(tmp_path, "Bench box", "--bench", "--presses", "3", "--every", "1s")
    bench.until_said("Press the switch and hold it")
    press(box, ecodes.BTN_2)
    bench.until_said("Let it go now")
    release(box, ecodes.BTN_2)
    for number in (1, 2, 3):
        bench.until_said(f"press {number} of 3")
        bouncing_press(box, ecodes.BTN_2)
        time.sleep(0.1)  # as long as a hand holds it
        release(box, ecodes.BTN_2)
    told = bench.output()

    assert "Bench box, BTN_2" in told
    assert "3 presses asked for, 3 came." in told
    assert "true press and release" in told
    assert "A program without a debounce would see 6 presses." in told


def bouncing_press(box: UInput, code: int) -> None:
    """Closed, open, closed: three frames in one write, so close together as a contact bounces."""
    frames = b""
    for value in (1, 0, 1):
        frames += _EVENT.pack(0, 0, ecodes.EV_KEY, code, value)
        frames += _EVENT.pack(0, 0, ecodes.EV_SYN, ecodes.SYN_REPORT, 0)
    os.write(box.fd, frames)
