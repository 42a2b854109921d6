"""Screens and cues beside the running daemon: true to what happens, and no burden to play."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from evdev import UInput, ecodes

from tests.support.daemon import BOX, STICK, Daemon, press, release, until
from tests.support.source_devices import WAIT_S

Start = Callable[..., Daemon]
Plug = Callable[..., UInput]

BOAT = """
remapd: 1
title: A boat
base: sail
verbs: {hoist: south, steer: left-stick}
devices:
  knees:
    find: {name: "Knee box"}
    controls:
      left-knee: {button: BTN_0, acceptance-delay: 80ms}
      right-knee: {button: BTN_1}
  foot:
    find: {name: "Foot stick"}
    controls:
      tiller: {stick: [ABS_X, ABS_Y]}
layers:
  sail:
    left-knee: hoist
    right-knee: {layer: net, how: toggle}
    tiller: steer
  net:
    left-knee: east
cues:
  net: {say: "Nets"}
"""


@pytest.fixture
def boat(start: Start, plug: Plug) -> tuple[Daemon, UInput, UInput]:
    knees, foot = plug(BOX, "Knee box"), plug(STICK, "Foot stick")
    daemon = start(BOAT)
    daemon.until_taken("knees", "foot")
    return daemon, knees, foot


@contextmanager
def beside(daemon: Daemon, out: Path, *words: str) -> Iterator[Callable[[str], bool]]:
    """A `remapd` command that runs beside the daemon; gives whether it has said something."""
    with out.open("wb") as file:
        process = subprocess.Popen(
            [sys.executable, "-m", "remapd", *words],
            stdin=subprocess.DEVNULL,
            stdout=file,
            stderr=subprocess.STDOUT,
            env=os.environ | {"RUNTIME_DIRECTORY": str(daemon.folder)},
        )

    def has_said(text: str) -> bool:
        assert process.poll() is None, out.read_text()
        return text in out.read_text()

    try:
        yield has_said
    finally:
        process.terminate()
        try:
            assert process.wait(6 * WAIT_S) == 0
        finally:
            process.kill()
            print(out.read_text())


def test_the_layout_in_force_is_told(boat: tuple[Daemon, UInput, UInput]) -> None:
    daemon, _, _ = boat

    layout = daemon.ask("layout")["layout"]

    assert layout["title"] == "A boat"
    assert layout["layers"] == [
        {"layer": "sail", "stays": False},
        {"layer": "net", "stays": True},
    ]
    assert layout["controls"][0] == {
        "control": "left-knee",
        "kind": "button",
        "device": "knees",
        "person": "player",
    }
    assert layout["verbs"] == {"hoist": "south", "steer": "left-stick"}
    assert layout["cues"] == {"net": {"say": "Nets"}}


def test_decisions_are_told_while_somebody_asks_for_them(
    boat: tuple[Daemon, UInput, UInput],
) -> None:
    daemon, knees, _ = boat
    with daemon.client() as client:
        client.ask("subscribe", to=["decisions"])
        press(knees, ecodes.BTN_0)
        release(knees, ecodes.BTN_0)
        ignored = client.receive()
        press(knees, ecodes.BTN_1)
        pressed = client.receive()

    assert ignored["event"] == "decision"
    assert ignored["control"] == "left-knee"
    assert ignored["text"].startswith("ignored: released after ")
    assert ignored["text"].endswith(", acceptance-delay is 80 ms")
    assert pressed["text"] == "pressed: layer net (toggle) (found in layer sail)"
    release(knees, ecodes.BTN_1)
    until(lambda: daemon.status()["clients"] == 1)
    with daemon.client() as client:
        client.ask("subscribe", to=["notices"])
        press(knees, ecodes.BTN_0)
        release(knees, ecodes.BTN_0)
        assert client.receive()["kind"] == "refused"


def test_watch_and_cues_tell_of_a_layer(
    boat: tuple[Daemon, UInput, UInput], tmp_path: Path
) -> None:
    """Pressed only when both have said that they know the layout: what was is not told."""
    daemon, knees, _ = boat
    with (
        beside(daemon, tmp_path / "watch", "watch", "--plain") as watch_said,
        beside(daemon, tmp_path / "cues", "cues", "--print") as cues_said,
    ):
        until(lambda: watch_said("`foot` (player)"), 6 * WAIT_S)
        until(lambda: cues_said("The cues of “A boat” are played from now on."), 6 * WAIT_S)
        press(knees, ecodes.BTN_1)
        until(lambda: daemon.status()["layers"] == ["sail", "net"])
        release(knees, ecodes.BTN_1)
        until(lambda: watch_said("layer net is on."), 6 * WAIT_S)
        until(lambda: cues_said("net: says “Nets”"), 6 * WAIT_S)
