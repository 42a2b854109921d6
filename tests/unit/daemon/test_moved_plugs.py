"""Which box may be the missing one, what counts as an act on it, and what ends the asking."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any, cast

import pytest

from remapd.codes import EV_ABS, EV_KEY, EV_REL, KEYS
from remapd.daemon import moved_plugs
from remapd.daemon.journal import Journal
from remapd.daemon.loop import Loop
from remapd.daemon.moved_plugs import MovedPlugs
from remapd.engine.layout import Layout
from remapd.engine.machine import Engine
from remapd.engine.matching import match
from remapd.engine.source import AxisRange, Source
from remapd.kernel.hotplug import NodeDescription
from remapd.remembered import MovedPlug
from tests.support.layouts import load_or_fail

BTN_0 = KEYS["BTN_0"]
LAYOUT = """\
remapd: 1
devices:
  left-box:
    find: {name: "Knee box", port: "dock-1/*"}
    controls: {left-knee: {button: BTN_0}}
  right-box:
    find: {name: "Knee box", port: "dock-2/*"}
    controls: {right-knee: {button: BTN_0}}
  stick:
    find: {port: "dock-3"}
    controls: {lean: {stick: [ABS_X, ABS_Y]}}
  ball:
    find: {name: "Ball", port: "dock-4"}
    controls: {roll: {pointer: [REL_X, REL_Y], full-speed: 600/s}}
layers:
  sail: {left-knee: west, right-knee: east, lean: left-stick, roll: right-stick}
"""


def node(port: str, number: int = 1, name: str = "Knee box", **other: Any) -> NodeDescription:
    plain: dict[str, Any] = {
        "keys": frozenset({BTN_0}),
        "rels": frozenset(),
        "axes": frozenset(),
    } | other
    return NodeDescription(f"/dev/input/event{number}", name, 1, 1, 1, 3, port, "", **plain)


STICK: dict[str, Any] = {"name": "Stick", "keys": frozenset(), "axes": frozenset({0, 1})}
BALL: dict[str, Any] = {"name": "Ball", "keys": frozenset(), "rels": frozenset({0, 1})}


class Hearing:
    """MovedPlugs on a bench: nodes send what a test says."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, known: Mapping[str, MovedPlug]) -> None:
        self.layout = load_or_fail(LAYOUT)
        self.readers: dict[int, Callable[[int], None]] = {}
        self.opened: dict[str, _Device] = {}
        self.confirmed = 0
        self.saved: list[dict[str, MovedPlug]] = []
        self.told: list[str] = []
        monkeypatch.setattr(moved_plugs, "SourceDevice", self._open)
        self.plugs = MovedPlugs(
            cast("Loop", self),
            Engine(self.layout),
            cast("Journal", self),
            known,
            self._confirm,
        )
        self.plugs.save = lambda plugs: self.saved.append(dict(plugs))
        self.plugs.tell = self._tell

    def _open(self, path: str) -> _Device:
        self.opened[path] = _Device(len(self.readers) + 10)
        return self.opened[path]

    def _confirm(self) -> None:
        self.confirmed += 1

    def _tell(self, device: str, sentence: str) -> None:
        assert device in sentence
        self.told.append(sentence)

    def add(self, fd: int, handler: Callable[[int], None]) -> None:
        self.readers[fd] = handler

    def remove(self, fd: int) -> None:
        del self.readers[fd]

    def now(self) -> int:
        return 0

    def say(self, *words: object, **details: object) -> None:
        """The journal; what is said there is told too."""

    def send(self, path: str, *events: tuple[int, int, int]) -> None:
        device = self.opened[path]
        device.frames = [(0, list(events))]
        reader = self.readers.get(device.fd)
        if reader is not None:
            reader(1)

    def device(self, name: str) -> Any:
        return next(each for each in self.layout.devices if each.name == name)

    def look(self, *nodes: NodeDescription, missing: tuple[str, ...]) -> None:
        self.plugs.look([self.device(name) for name in missing], nodes)


class _Device:
    def __init__(self, fd: int) -> None:
        self.fd = fd
        self.frames: list[tuple[int, list[tuple[int, int, int]]]] | None = []
        span = AxisRange(-100, 100)
        self.source = Source(1, "x", axes=MappingProxyType({0: span, 1: span}))

    def fileno(self) -> int:
        return self.fd

    def read_frames(self) -> Any:
        return self.frames

    def axes(self) -> dict[int, int]:
        return {0: 10, 1: 0}

    def close(self) -> None:
        """In a thread."""


@pytest.fixture
def hearing(monkeypatch: pytest.MonkeyPatch) -> Hearing:
    return Hearing(monkeypatch, {})


def test_only_a_box_that_differs_in_nothing_but_the_port_is_asked_for(hearing: Hearing) -> None:
    hearing.look(
        node("dock-7/a", 1, name="Another box"),
        node("dock-7/b", 2, keys=frozenset({KEYS["BTN_1"]})),
        missing=("left-box",),
    )
    assert hearing.plugs.asked is None
    assert hearing.told == []
    hearing.look(node("dock-7/c", 3), missing=("left-box",))
    assert hearing.told == [
        "`left-box` was at port dock-1/*; a box of that name is at port dock-7/c: press a switch "
        "on left-box"
    ]
    hearing.look(node("dock-7/c", 3), missing=("left-box",))
    assert len(hearing.told) == 1


def test_of_two_boxes_that_moved_a_press_says_which_it_is(hearing: Hearing) -> None:
    nodes = node("dock-7", 1), node("dock-8", 2)
    hearing.look(*nodes, missing=("left-box", "right-box"))
    assert "boxes of that name are at the ports dock-7 and dock-8" in hearing.told[0]
    hearing.send("/dev/input/event2", (EV_KEY, BTN_0, 1))
    assert hearing.confirmed == 1
    assert hearing.plugs.known == {"left-box": MovedPlug("dock-1/*", "dock-8")}
    assert hearing.saved == [hearing.plugs.known]
    assert [hearing.plugs.confirmed_as(each) for each in nodes] == ["", "left-box"]
    assert hearing.readers == {}


def test_a_release_an_autorepeat_or_another_switch_is_no_press(hearing: Hearing) -> None:
    hearing.look(node("dock-7", 1), missing=("left-box",))
    hearing.send("/dev/input/event1", (EV_KEY, BTN_0, 0))
    hearing.send("/dev/input/event1", (EV_KEY, BTN_0, 2))
    hearing.send("/dev/input/event1", (EV_KEY, KEYS["BTN_1"], 1))
    assert hearing.confirmed == 0
    hearing.send("/dev/input/event1", (EV_KEY, BTN_0, 1))
    assert hearing.confirmed == 1


def test_a_stick_must_be_moved_far_and_a_ball_rolled(hearing: Hearing) -> None:
    hearing.look(node("dock-7", 1, **STICK), missing=("stick",))
    assert hearing.told[0].endswith(": move stick")
    hearing.send("/dev/input/event1", (EV_ABS, 0, 65))
    assert hearing.confirmed == 0
    hearing.send("/dev/input/event1", (EV_ABS, 0, 75))
    assert hearing.confirmed == 1
    hearing.look(node("dock-8", 2, **BALL), missing=("ball",))
    hearing.send("/dev/input/event2", (EV_REL, 0, -30), (EV_REL, 1, 9))
    assert hearing.confirmed == 1
    hearing.send("/dev/input/event2", (EV_REL, 1, 1))
    assert hearing.confirmed == 2


def test_asking_ends_when_the_box_is_taken_or_gone(hearing: Hearing) -> None:
    hearing.look(node("dock-7", 1), missing=("left-box",))
    hearing.plugs.settle([hearing.device("right-box")])
    assert hearing.plugs.asked is None
    assert hearing.readers == {}
    hearing.look(node("dock-7", 1), missing=("left-box",))
    hearing.opened["/dev/input/event1"].frames = None
    next(iter(hearing.readers.values()))(1)
    assert hearing.readers == {}
    hearing.plugs.vanished("/dev/input/event1")
    hearing.look(missing=("left-box",))
    assert hearing.plugs.asked is None


def test_what_is_known_ends_when_the_plug_is_back_or_the_layout_says_otherwise(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    known = {"left-box": MovedPlug("dock-1/*", "dock-7"), "right-box": MovedPlug("old", "dock-8")}
    hearing = Hearing(monkeypatch, known)
    assert hearing.plugs.confirmed_as(node("dock-7")) == "left-box"
    assert hearing.plugs.confirmed_as(node("dock-8")) == ""
    hearing.plugs.follow_layout()
    assert set(hearing.plugs.known) == {"left-box"}
    hearing.plugs.forget_returned([node("dock-1/x")], [hearing.device("right-box")])
    assert set(hearing.plugs.known) == {"left-box"}  # it is taken at its new port: left in peace
    hearing.plugs.forget_returned([node("dock-1/x")], [hearing.device("left-box")])
    assert hearing.plugs.known == {}
    assert hearing.saved[-1] == {}


def test_a_confirmed_node_is_that_device_and_no_other() -> None:
    layout: Layout = load_or_fail(LAYOUT)
    keys = frozenset({BTN_0})
    there = Source(1, "Knee box", port="dock-9", keys=keys, confirmed_as="right-box")
    assert match(layout, [there]) == {1: 1}
    at_the_left = Source(1, "Knee box", port="dock-1/x", keys=keys, confirmed_as="right-box")
    assert match(layout, [at_the_left]) == {1: 1}
