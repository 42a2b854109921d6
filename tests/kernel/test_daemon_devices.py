"""Devices that come, go, are shared, held, not allowed, or out of sight for a while."""

from __future__ import annotations

import os
import select
import signal
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from evdev import InputDevice, UInput, ecodes

from tests.support.daemon import (
    BOX,
    KEYBOARD,
    STICK,
    Daemon,
    grabbed_by_someone,
    move,
    plugged,
    press,
    release,
    until,
)
from tests.support.source_devices import path_of, send

Start = Callable[..., Daemon]
Plug = Callable[..., UInput]


def stop_for_a_while(daemon: Daemon) -> None:
    """Stops it, and waits until it has stopped (proc(5): state `T` in /proc/PID/stat)."""
    os.kill(daemon.process.pid, signal.SIGSTOP)
    stat = Path(f"/proc/{daemon.process.pid}/stat")
    until(lambda: stat.read_text().rpartition(")")[2].split()[0] == "T")


KNEES = """
remapd: 1
title: Two knees
devices:
  knees:
    find: {name: "Knee box"}
    controls:
      left-knee: {button: BTN_0}
      right-knee: {button: BTN_1}
layers:
  sail:
    left-knee: south
    right-knee: {latch: east}
"""
SHARED = KNEES.replace("    controls:", "    exclusive: false\n    controls:")


def sees(reader: InputDevice[str], wait_s: float) -> list[tuple[int, int]]:
    """What another program reads of a device within this time: keys and their values."""
    found: list[tuple[int, int]] = []
    deadline = time.monotonic() + wait_s
    while (left := deadline - time.monotonic()) > 0 and not found:
        if select.select([reader.fd], [], [], left)[0]:
            found += [(e.code, e.value) for e in reader.read() if e.type == ecodes.EV_KEY]
    return found


# ---------------------------------------------------------------- plugging
def test_unplugging_releases_what_is_held_and_what_was_begun(start: Start, plug: Plug) -> None:
    del plug
    with plugged(BOX, "Knee box") as knees:
        daemon = start(KNEES)
        daemon.until_taken("knees")
        press(knees, ecodes.BTN_1)
        press(knees, ecodes.BTN_0)
        daemon.game.until_pressed("south", "east")
    daemon.game.until_neutral()
    # Mostly one frame. The kernel lets go of what is held before it takes the device away, and a
    # reader that it wakes in between sees that release first.
    ended = daemon.game.view.changes[-2:]
    assert sorted((seen.name, seen.value) for seen in ended) == [("east", 0), ("south", 0)]
    assert daemon.device("knees")["state"] == "missing"


def test_a_device_that_comes_back_is_taken_again(start: Start) -> None:
    with plugged(BOX, "Knee box"):
        daemon = start(KNEES)
        daemon.until_taken("knees")
    daemon.until_status(lambda status: status["devices"][0]["state"] == "missing")
    with plugged(BOX, "Knee box") as knees:
        daemon.until_taken("knees")
        press(knees, ecodes.BTN_0)
        daemon.game.until_pressed("south")
        assert grabbed_by_someone(knees)


def test_a_device_that_comes_after_the_start_is_taken(start: Start, plug: Plug) -> None:
    daemon = start(KNEES)
    knees = plug(BOX, "Knee box")
    daemon.until_taken("knees")
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")


def test_two_boxes_alike_are_told_apart_by_port(start: Start, plug: Plug) -> None:
    # plugged in against the order of their ports
    right = plug(BOX, "Knee box", phys="dock-2/input0")
    left = plug(BOX, "Knee box", phys="dock-1/input0")
    daemon = start("""
remapd: 1
title: Two boxes
devices:
  right-box:
    find: {name: "Knee box", port: "dock-2/*"}
    controls: {right-knee: {button: BTN_0}}
  left-box:
    find: {name: "Knee box", port: "dock-1/*"}
    controls: {left-knee: {button: BTN_0}}
layers:
  sail: {left-knee: west, right-knee: east}
""")
    daemon.until_taken("left-box", "right-box")
    press(left, ecodes.BTN_0)
    daemon.game.until_pressed("west")
    press(right, ecodes.BTN_0)
    daemon.game.until_pressed("west", "east")


def test_a_device_with_several_nodes_gives_the_node_that_has_the_codes(
    start: Start, plug: Plug
) -> None:
    other = plug({ecodes.EV_KEY: [ecodes.KEY_VOLUMEUP]}, "Knee box")
    knees = plug(BOX, "Knee box")
    daemon = start(KNEES)
    daemon.until_taken("knees")
    assert daemon.device("knees")["node"] == path_of(knees)
    assert not grabbed_by_someone(other)


def test_where_nothing_fits_it_says_what_is_there(start: Start, plug: Plug) -> None:
    plug(STICK, "Foot stick")
    daemon = start(KNEES)
    journal = daemon.until_said("no device fits `knees`")
    assert "Foot stick" in journal
    assert "“Knee box”" in journal


# ---------------------------------------------------------------- alone or shared
def test_a_taken_device_is_hidden_from_others_and_given_back_at_the_end(
    start_own: Start, plug: Plug
) -> None:
    knees = plug(BOX, "Knee box")
    game: InputDevice[str] = InputDevice(path_of(knees))
    daemon = start_own(KNEES)
    daemon.until_taken("knees")
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")
    assert sees(game, 0.3) == []
    release(knees, ecodes.BTN_0)
    daemon.game.until_neutral()

    assert daemon.end() == 0

    press(knees, ecodes.BTN_0)
    assert sees(game, 5) == [(ecodes.BTN_0, 1)]
    game.close()


def test_a_shared_device_is_read_without_taking_it(start: Start, plug: Plug) -> None:
    knees = plug(BOX, "Knee box")
    game: InputDevice[str] = InputDevice(path_of(knees))
    daemon = start(SHARED)
    daemon.until_taken("knees")
    assert daemon.device("knees")["alone"] is False
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")
    assert sees(game, 5) == [(ecodes.BTN_0, 1)]
    game.close()


def test_a_device_with_a_held_button_is_grabbed_when_it_is_let_go(start: Start, plug: Plug) -> None:
    knees = plug(BOX, "Knee box")
    game: InputDevice[str] = InputDevice(path_of(knees))
    press(knees, ecodes.BTN_0)
    assert sees(game, 5) == [(ecodes.BTN_0, 1)]
    daemon = start(KNEES)
    daemon.until_status(lambda status: status["devices"][0]["state"] == "taken")
    assert daemon.device("knees")["waits_to_be_alone"]

    release(knees, ecodes.BTN_0)

    assert sees(game, 5) == [(ecodes.BTN_0, 0)], "others must see that it was let go"
    daemon.until_taken("knees")
    assert daemon.game.view.changes == [], "a button held at the start does nothing"
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")
    assert sees(game, 0.3) == []
    game.close()


TYPING = """
remapd: 1
title: A keyboard, to try it
devices:
  keys:
    find: {shape: keyboard, name: "Test keys"}
    EXCLUSIVE
    controls:
      hoist: {button: KEY_SPACE}
layers:
  sail:
    hoist: south
"""


def test_a_typing_keyboard_is_taken_alone_only_where_it_is_written(
    start: Start, plug: Plug
) -> None:
    keys = plug(KEYBOARD, "Test keys")
    daemon = start(TYPING.replace("EXCLUSIVE", "optional: false"))
    daemon.until_taken("keys")
    assert not grabbed_by_someone(keys)
    press(keys, ecodes.KEY_SPACE)
    daemon.game.until_pressed("south")
    release(keys, ecodes.KEY_SPACE)
    daemon.save(TYPING.replace("EXCLUSIVE", "exclusive: true"))
    until(lambda: grabbed_by_someone(keys))


def test_escape_held_for_five_seconds_gives_a_taken_keyboard_back(start: Start, plug: Plug) -> None:
    keys = plug(KEYBOARD, "Test keys")
    daemon = start(TYPING.replace("EXCLUSIVE", "exclusive: true"))
    daemon.until_taken("keys")
    press(keys, ecodes.KEY_ESC)
    began = time.monotonic()
    status = daemon.until_status(lambda status: status["paused"])
    held_s = time.monotonic() - began
    assert "Test keys" in status["paused"]
    assert held_s > 4.9
    assert not grabbed_by_someone(keys)
    release(keys, ecodes.KEY_ESC)
    daemon.ask("resume")
    daemon.until_taken("keys")
    assert grabbed_by_someone(keys)


# ---------------------------------------------------------------- in other hands
def test_a_device_in_another_programs_hands_is_taken_when_it_is_free(
    start: Start, plug: Plug
) -> None:
    knees = plug(BOX, "Knee box")
    other: InputDevice[str] = InputDevice(path_of(knees))
    other.grab()
    daemon = start(KNEES)
    daemon.until_said("another program has taken")
    assert daemon.device("knees")["state"] == "busy"
    other.ungrab()
    daemon.until_taken("knees")
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")
    other.close()


def test_of_two_boxes_alike_two_daemons_take_one_each(
    start: Start, start_own: Start, plug: Plug
) -> None:
    boxes = [plug(BOX, "Knee box", phys=f"dock-{n}/input0") for n in (1, 2)]
    first = start(KNEES)
    first.until_taken("knees")
    second = start_own(KNEES, name="second")
    second.until_taken("knees")
    nodes = {first.device("knees")["node"], second.device("knees")["node"]}
    assert nodes == {path_of(box) for box in boxes}
    for box in boxes:
        press(box, ecodes.BTN_0)
    first.game.until_pressed("south")
    second.game.until_pressed("south")
    assert first.status()["pad"]["node"] != second.status()["pad"]["node"]


def test_a_device_that_is_allowed_late_is_taken_then(start_own: Start, plug: Plug) -> None:
    knees = plug(BOX, "Knee box")
    node = Path(path_of(knees))
    # root without the right to pass over permissions, in front of another user's node
    os.chown(node, 65534, 65534)
    node.chmod(0o600)
    daemon = start_own(KNEES, before=["setpriv", "--bounding-set=-dac_override,-dac_read_search"])
    daemon.until_said("no permission to read")
    assert daemon.device("knees")["state"] == "denied"
    node.chmod(0o666)
    daemon.until_taken("knees")
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")
    assert daemon.journal().count("no permission to read") == 1, "said once"


# ---------------------------------------------------------------- losses
@pytest.mark.parametrize("finally_down", [True, False])
def test_events_that_were_lost_are_made_up_for(
    start: Start, plug: Plug, finally_down: bool
) -> None:
    knees = plug(BOX, "Knee box")
    daemon = start(KNEES.replace("{latch: east}", "east"))
    daemon.until_taken("knees")
    losses = daemon.status()["figures"]["losses"]
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")
    stop_for_a_while(daemon)
    for _ in range(200):  # far more than the kernel keeps
        press(knees, ecodes.BTN_1)
        release(knees, ecodes.BTN_1)
    release(knees, ecodes.BTN_0)
    if finally_down:
        press(knees, ecodes.BTN_1)
    os.kill(daemon.process.pid, signal.SIGCONT)
    if finally_down:
        daemon.game.until_pressed("east")
    else:
        daemon.game.until_neutral()
    assert daemon.status()["figures"]["losses"] > losses


def test_an_axis_that_was_lost_is_read_back(start: Start, plug: Plug) -> None:
    foot = plug(STICK, "Foot stick")
    daemon = start("""
remapd: 1
title: Stick
devices:
  foot: {find: {name: "Foot stick"}, controls: {tiller: {stick: [ABS_X, ABS_Y]}}}
layers:
  sail: {tiller: left-stick}
""")
    daemon.until_taken("foot")
    move(foot, ecodes.ABS_X, 50)
    daemon.game.until(lambda view: view.axes["left-stick.x"] > 0)
    stop_for_a_while(daemon)
    for value in range(400):
        send(foot, (ecodes.EV_ABS, ecodes.ABS_X, value % 50), (ecodes.EV_ABS, ecodes.ABS_Y, 0))
    move(foot, ecodes.ABS_X, -100)
    os.kill(daemon.process.pid, signal.SIGCONT)
    daemon.game.until(lambda view: view.axes["left-stick.x"] == -32767)


def test_frames_of_two_devices_go_in_the_order_of_their_times(start: Start, plug: Plug) -> None:
    # one box holds the layer, the other presses in it: read in the other order, the press is sail's
    first, second = plug(BOX, "Knee box"), plug(BOX, "Chin box")
    daemon = start("""
remapd: 1
title: Order
base: sail
devices:
  chin: {find: {name: "Chin box"}, controls: {nod: {button: BTN_0, debounce: 0ms}}}
  knees: {find: {name: "Knee box"}, controls: {left-knee: {button: BTN_0, debounce: 0ms}}}
layers:
  sail: {left-knee: {layer: net}, nod: south}
  net: {nod: east}
""")
    daemon.until_taken("knees", "chin")
    # no debounce: the pad is neutral before the layer's box is let go, and its next press is soon
    for _ in range(20):
        stop_for_a_while(daemon)
        press(first, ecodes.BTN_0)
        press(second, ecodes.BTN_0)
        os.kill(daemon.process.pid, signal.SIGCONT)
        daemon.game.until_pressed("east")
        release(second, ecodes.BTN_0)
        release(first, ecodes.BTN_0)
        daemon.game.until_neutral()


def test_names_are_what_the_kernel_says(start: Start, plug: Plug) -> None:
    details: dict[str, Any] = {"phys": "dock-7/input0"}
    knees = plug(BOX, "Knee box", **details)
    daemon = start(KNEES)
    daemon.until_taken("knees")
    device = daemon.device("knees")
    assert (device["name"], device["port"], device["node"]) == (
        "Knee box",
        "dock-7/input0",
        path_of(knees),
    )
