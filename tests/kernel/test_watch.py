"""Screens and cues beside the running daemon: true to what happens, and no burden to play."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from evdev import UInput, ecodes

from tests.support.daemon import BOX, STICK, Daemon, press, release, until

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
