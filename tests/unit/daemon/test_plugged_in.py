"""A device that is plugged in while others play, and takes its time to be opened.

The loop, the engine and the devices are real; the kernel's nodes are files here, and stand-in
devices send what is sent. Real nodes: tests/kernel/test_daemon_devices.py.
"""

from __future__ import annotations

import dataclasses
import os
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from remapd.codes import EV_KEY, KEYS
from remapd.daemon import devices as devices_module
from remapd.daemon.devices import Devices
from remapd.daemon.figures import Figures
from remapd.daemon.journal import Journal
from remapd.daemon.loop import Loop
from remapd.daemon.memory import Memory
from remapd.engine.machine import Engine
from remapd.engine.output import OutputFrame
from remapd.engine.source import Source
from remapd.kernel.hotplug import NodeChange, NodeDescription, NodeEvent
from remapd.recording.driver import ControlDriver
from tests.conftest import FORM
from tests.support.layouts import load_or_fail
from tests.support.stand_in_daemon import _Device, _Pad

pytestmark = pytest.mark.skipif(
    FORM in os.environ, reason="a compiled loop takes no pad and no device that only stand in"
)

LAYOUT = """
remapd: 1
title: Two boxes
devices:
  knees:
    find: {name: "Knee box"}
    controls: {left-knee: {button: BTN_0}}
  feet:
    find: {name: "Foot box"}
    controls: {left-foot: {button: BTN_0}}
layers:
  sail: {left-knee: south, left-foot: east}
"""
SOUTH, EAST = KEYS["BTN_SOUTH"], KEYS["BTN_EAST"]


class Pad(_Pad):
    """Keeps what the game sees."""

    def __init__(self) -> None:
        super().__init__()
        self.pressed: set[int] = set()

    def write_all(self, frames: list[OutputFrame]) -> None:
        for events in (frame.events for frame in frames):
            for kind, code, value in zip(events[0::3], events[1::3], events[2::3], strict=True):
                if kind == EV_KEY:
                    (self.pressed.add if value else self.pressed.discard)(code)


class Plugs:
    """In the place of the kernel's news of nodes: what the test plugs in and pulls out."""

    def __init__(self) -> None:
        self._readable, self._wake = os.pipe()
        self._news: list[NodeEvent] = []

    def fileno(self) -> int:
        return self._readable

    def read(self) -> list[NodeEvent]:
        os.read(self._readable, 4096)
        news, self._news = self._news, []
        return news

    def tell(self, path: str, change: NodeChange) -> None:
        self._news.append(NodeEvent(change, path))
        os.write(self._wake, b".")


def described(path: str, source: Source) -> NodeDescription:
    """What is known of a node before it is opened."""
    known = {
        each.name: getattr(source, each.name)
        for each in dataclasses.fields(NodeDescription)
        if hasattr(source, each.name)
    }
    return NodeDescription(path=path, **known | {"axes": frozenset(source.axes)})


class Machine:
    """A machine with two boxes that are not plugged in yet; `slow` makes one slow to open."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        layout = load_or_fail(LAYOUT)
        self.slow: dict[str, threading.Event] = {}
        self.pad = Pad()
        self.plugs = Plugs()
        self.boxes: dict[str, _Device] = {}
        self.nodes: dict[str, Any] = {}
        for stand_in in ControlDriver(layout).stand_ins:
            device = _Device(stand_in.source, frozenset(), {})
            device.path = str(folder / f"event{stand_in.source.id}")
            Path(device.path).touch()
            self.boxes[stand_in.source.name] = device
            self.nodes[device.path] = described(device.path, stand_in.source)
        by_path = {device.path: device for device in self.boxes.values()}
        at_once = os.open

        def slowly(path: Any, flags: int, *rest: int) -> int:
            if path in self.slow and threading.current_thread() is not threading.main_thread():
                self.slow[path].wait()
            return at_once(path, flags, *rest)

        monkeypatch.setattr(os, "open", slowly)
        monkeypatch.setattr(devices_module, "HotplugWatch", lambda: self.plugs)
        monkeypatch.setattr(devices_module, "list_nodes", list)
        monkeypatch.setattr(devices_module, "describe_node", self.nodes.get)
        monkeypatch.setattr(devices_module, "is_remapd_pad", lambda _node: False)
        monkeypatch.setattr(devices_module, "SourceDevice", lambda path, _id: by_path[path])
        self.engine = Engine(layout)
        memory = Memory(dict)
        self.loop = Loop(self.engine, self.pad, memory, Figures())  # type: ignore[arg-type]
        self.devices = Devices(self.loop, self.engine, Journal(), memory, lambda _name: None)
        memory.begin()
        self.devices.begin()

    def plug(self, name: str) -> None:
        self.plugs.tell(self.boxes[name].path, NodeChange.APPEARED)

    def until_taken(self, *names: str) -> None:
        """Runs the loop until exactly these are taken."""
        self._until(lambda: {each.source.name for each in self.devices.opened.values()} == {*names})

    def until_pressed(self, *codes: int) -> None:
        """Runs the loop until the game sees exactly these pressed."""
        self._until(lambda: self.pad.pressed == {*codes})

    def _until(self, reached: Any) -> None:
        for _ in range(2000):
            if reached():
                return
            tick = self.loop.alarm(lambda _us: self.loop.stop())
            tick.set(self.loop.now() + 10_000)
            self.loop._stopped = False
            self.loop.run()
        raise AssertionError((self.devices.opened, self.pad.pressed))


@pytest.fixture
def machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Machine]:
    made = Machine(tmp_path, monkeypatch)
    yield made
    for event in made.slow.values():
        event.set()
    made.loop.close()


def test_one_person_plays_on_while_anothers_device_wakes_up(machine: Machine) -> None:
    machine.plug("Knee box")
    machine.until_taken("Knee box")
    feet = machine.boxes["Foot box"]
    awake = machine.slow[feet.path] = threading.Event()

    machine.plug("Foot box")
    machine.boxes["Knee box"].send([(EV_KEY, KEYS["BTN_0"], 1)])
    machine.until_pressed(SOUTH)
    assert feet.path not in machine.devices.opened

    awake.set()
    machine.until_taken("Knee box", "Foot box")
    feet.send([(EV_KEY, KEYS["BTN_0"], 1)])
    machine.until_pressed(SOUTH, EAST)


def test_one_that_is_pulled_out_while_it_wakes_up_is_not_taken(machine: Machine) -> None:
    feet = machine.boxes["Foot box"]
    awake = machine.slow[feet.path] = threading.Event()
    machine.plug("Foot box")
    machine.plug("Knee box")
    machine.plugs.tell(feet.path, NodeChange.VANISHED)
    del machine.nodes[feet.path]

    awake.set()

    machine.until_taken("Knee box")
    assert machine.devices.missing()[0].name == "feet"
