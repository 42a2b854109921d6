"""Two boxes alike, told apart by port: where a plug has moved a press is asked for, no guess."""

from __future__ import annotations

import json
import signal
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from evdev import UInput, ecodes

from tests.support.daemon import BOX, Daemon, plugged, press, release, until

LAYOUT = """\
remapd: 1
title: Two boxes that move
devices:
  right-box:
    find: {name: "Moving box", port: "dock-2/*"}
    controls: {right-knee: {button: BTN_0}}
  left-box:
    find: {name: "Moving box", port: "dock-1/*"}
    controls: {left-knee: {button: BTN_0}}
layers:
  sail: {left-knee: west, right-knee: east}
"""


class Box:
    """One of two boxes that nothing but their ports tells apart."""

    def __init__(self, port: str) -> None:
        self._plug = ExitStack()
        self.plug_in(port)

    def plug_in(self, port: str) -> None:
        """Pulls it out of where it is, and plugs it in there."""
        self.pull_out()
        self._device: UInput = self._plug.enter_context(plugged(BOX, "Moving box", phys=port))

    def pull_out(self) -> None:
        self._plug.close()

    def tap(self) -> None:
        press(self._device, ecodes.BTN_0)
        release(self._device, ecodes.BTN_0)

    def gives(self, daemon: Daemon, control: str) -> None:
        """A press on it is this control of the pad and no other."""
        press(self._device, ecodes.BTN_0)
        daemon.game.until_pressed(control)
        release(self._device, ecodes.BTN_0)
        daemon.game.until_neutral()


@pytest.fixture
def boxes() -> Iterator[tuple[Box, Box]]:
    left, right = Box("dock-1/input0"), Box("dock-2/input0")
    yield left, right
    left.pull_out()
    right.pull_out()


def is_asked(daemon: Daemon, name: str) -> bool:
    device = daemon.device(name)
    return device["state"] == "moved" and bool(device["asked"])


def test_a_box_at_another_port_is_taken_upon_a_press_and_never_before(
    boxes: tuple[Box, Box], start_own: Callable[..., Daemon], tmp_path: Path
) -> None:
    left, right = boxes
    state = tmp_path / "state"
    memory = state / "remapd" / "remembered-moving.json"

    def remembered() -> Any:
        return json.loads(memory.read_text())["plugs"] if memory.exists() else {}

    daemon = start_own(LAYOUT, name="moving", XDG_STATE_HOME=str(state))
    daemon.until_taken("left-box", "right-box")

    # one is missing and one is there: it asks all the same, and its press is not played
    left.plug_in("dock-3/input0")
    until(lambda: is_asked(daemon, "left-box"))
    daemon.until_said(
        "`left-box` was at port dock-1/*; a box of that name is at port dock-3/input0: press a "
        "switch on left-box"
    )
    right.gives(daemon, "east")
    left.tap()
    daemon.until_taken("left-box")
    assert daemon.device("left-box")["moved_from"] == "dock-1/*"
    left.gives(daemon, "west")
    assert daemon.game.view.pressed == set()
    said = daemon.command("status", "--name", "moving").stdout
    assert "remapd set left-box.find.port dock-3/input0" in said
    until(lambda: remembered() == {"left-box": {"said": "dock-1/*", "is": "dock-3/input0"}})

    # it is known after a restart, and nobody is asked again
    daemon.end(signal.SIGKILL)
    daemon = start_own(path=daemon.layout_path, name="moving", XDG_STATE_HOME=str(state))
    daemon.until_taken("left-box", "right-box")
    left.gives(daemon, "west")
    assert "press a switch" not in daemon.journal()

    # both have moved: one is asked for after the other, and a press says which is which
    left.plug_in("dock-8/input0")
    right.plug_in("dock-9/input0")
    until(lambda: is_asked(daemon, "right-box"))
    right.tap()
    daemon.until_taken("right-box")
    until(lambda: is_asked(daemon, "left-box"))
    left.tap()
    daemon.until_taken("left-box")
    left.gives(daemon, "west")
    right.gives(daemon, "east")

    # back where the layout says: taken at once, and what was known is forgotten
    left.plug_in("dock-1/input0")
    daemon.until_taken("left-box")
    assert daemon.device("left-box")["moved_from"] is None
    left.gives(daemon, "west")
    until(lambda: set(remembered()) == {"right-box"})

    # a layout that says another port ends it too
    daemon.save(LAYOUT.replace("dock-2/*", "dock-9/*"))
    until(lambda: remembered() == {})
    daemon.until_taken("right-box")
    right.gives(daemon, "east")
    daemon.end()
