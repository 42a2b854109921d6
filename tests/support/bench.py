"""A layout on a bench: its devices as stand-ins, virtual time, and the pad read back in names.

    bench = Bench(LAYOUT_TEXT)
    bench.press("left-knee", at=0)
    bench.release("left-knee", at=120)
    bench.until(1000)
    assert bench.changes == [Change(0, "press", "south"), Change(120_000, "release", "south")]

Times are milliseconds (int or float) in calls and whole microseconds in results. Calls have to
come in the order of time.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable

import pytest

from remapd.engine import Engine, Layout, Notice, TraceLine
from remapd.recording.driver import ControlDriver, DeviceEvents
from remapd.recording.lines import Event
from remapd.recording.pad_changes import Change, PadView
from tests.support.layouts import load_or_fail

Milliseconds = int | float
#: What `Bench.frame` takes: ("press", name), ("release", name), ("move", name, x, y),
#: ("count", name, dx, dy).
Act = tuple[str, str] | tuple[str, str, float] | tuple[str, str, float, float]


class Bench:
    """One engine with the layout's stand-in devices plugged in at time 0."""

    def __init__(self, layout: str | Layout, *, explain: bool = True) -> None:
        self.layout = load_or_fail(layout) if isinstance(layout, str) else layout
        self.driver = ControlDriver(self.layout)
        self.engine = Engine(self.layout, explain=explain)
        self.view = PadView(faces_as_specified=self.layout.faces_as_specified)
        self.changes: list[Change] = []
        #: One entry for each output frame: its time, and what changed in it, in its order.
        self.frames: list[tuple[int, list[Change]]] = []
        self.notices: list[Notice] = []
        self.now_us = 0
        self._sources: dict[int, int] = {}  # layout device -> source id
        self._next_id = 1000  # for devices that only a later layout knows
        for stand_in in self.driver.stand_ins:
            source_id = stand_in.source.id
            self.engine.plug(0, stand_in.source, stand_in.held, stand_in.axes)
            if stand_in.device is not None:
                self._sources[stand_in.device] = source_id
        self._drain()
        for device, source_id in self._sources.items():
            taken = self.engine.taken.get(source_id)
            assert taken == device, (
                f"the stand-in for device {self.layout.devices[device].name!r} was taken as {taken}"
            )

    # ---------------------------------------------------------------- what hands do
    def press(self, name: str, *, at: Milliseconds) -> None:
        """Presses a button, or pushes a stick or lever fully that way (`roll.up`, `breath.sip`)."""
        self._feed(self.driver.press(name), at)

    def release(self, name: str, *, at: Milliseconds) -> None:
        """Lets a button or direction go."""
        self._feed(self.driver.release(name), at)

    def tap(self, name: str, *, at: Milliseconds, length: Milliseconds) -> None:
        """A press and its release `length` later."""
        self.press(name, at=at)
        self.release(name, at=at + length)

    def move(self, name: str, x: float, y: float = 0.0, *, at: Milliseconds) -> None:
        """Deflects a stick (shares of the way from the middle, y down) or a lever (from its rest).

        A pointer gets at once the counts that this deflection leaves in its window; they leave when
        they are as old as the window.
        """
        self._feed(self.driver.move(name, x, y), at)

    def count(self, name: str, dx: int, dy: int, *, at: Milliseconds) -> None:
        """A pointer sends these counts."""
        self._feed(self.driver.count(name, dx, dy), at)

    def frame(self, *acts: Act | list[Act], at: Milliseconds) -> None:
        """Several acts in one frame for each device that they are on, in the order given."""
        frames: dict[int, list[Event]] = {}
        for act in _flat(acts):
            device, events = self._act(act)
            frames.setdefault(device, []).extend(events)
        for device, events in frames.items():
            self._feed((device, events), at)

    def raw(self, device: str, events: list[Event], *, at: Milliseconds) -> None:
        """One frame of raw events (type, code, value) from a device, as they are."""
        self._feed((self.driver.device(device), events), at)

    # ---------------------------------------------------------------- what happens to devices
    def unplug(self, device: str, *, at: Milliseconds) -> None:
        """A device is pulled out."""
        self.engine.unplug(self._reach(at), self._sources[self.driver.device(device)])
        self._drain()

    def plug(self, device: str, *, at: Milliseconds, held: Iterable[str] = ()) -> None:
        """A device comes back, with these of its buttons pressed already."""
        self._plug(self.driver.device(device), self._reach(at), held)
        self._drain()

    def swap(self, layout: str | Layout, *, at: Milliseconds) -> None:
        """Another layout takes over; devices that only it knows are plugged in then."""
        us = self._reach(at)
        self.layout = load_or_fail(layout) if isinstance(layout, str) else layout
        plugged = {
            source_id: self.driver.stand_in(device) for device, source_id in self._sources.items()
        }
        self.engine.swap_layout(us, self.layout)
        self._drain()
        self.view.use_faces(as_specified=self.layout.faces_as_specified)
        self.driver = ControlDriver(self.layout)
        self._sources = {
            device: source_id
            for source_id, device in self.engine.taken.items()
            if source_id in plugged
        }
        for device, source_id in self._sources.items():
            self.driver.use(device, plugged[source_id])
        for stand_in in self.driver.stand_ins:
            if stand_in.device is not None and stand_in.device not in self._sources:
                self._next_id += 1
                source = dataclasses.replace(stand_in.source, id=self._next_id)
                self.driver.use(stand_in.device, dataclasses.replace(stand_in, source=source))
                self._plug(stand_in.device, us, ())
        self._drain()

    def release_everything(self, *, at: Milliseconds) -> None:
        """What the control socket's `release everything` does."""
        self.engine.release_everything(self._reach(at))
        self._drain()

    def pause(self, *, at: Milliseconds) -> None:
        """Devices are given back."""
        self.engine.pause(self._reach(at))
        self._drain()

    def resume(self, *, at: Milliseconds, held: Iterable[str] = ()) -> None:
        """Devices are taken again, with these buttons pressed already."""
        us = self._reach(at)
        self.engine.resume(us)
        names = list(held)
        for stand_in in self.driver.stand_ins:
            device = stand_in.device
            if device is None:
                self.engine.plug(us, stand_in.source, stand_in.held, stand_in.axes)
            else:
                self._plug(device, us, [n for n in names if self._device_of(n) == device])
        self._drain()

    def until(self, at: Milliseconds) -> None:
        """Time goes on to `at`, and everything due by then happens."""
        self.engine.advance(self._reach(at))
        self._drain()

    # ---------------------------------------------------------------- what came out
    @property
    def trace(self) -> list[TraceLine]:
        """The engine's decisions so far."""
        return self.engine.trace

    @property
    def pressed(self) -> set[str]:
        """Pad buttons that are pressed now; a trigger counts when it reads anything above 0."""
        return self.view.pressed | {name for name, value in self.view.triggers.items() if value}

    def stick(self, name: str) -> tuple[int, int]:
        """Where a stick of the pad stands now, (x, y) from -32767 to 32767."""
        return self.view.sticks[name]

    def trigger(self, name: str) -> int:
        """What a trigger of the pad reads now, 0 to 255."""
        return self.view.triggers[name]

    @property
    def neutral(self) -> bool:
        """Whether the pad is at rest."""
        return self.view.neutral

    def only(self, *controls: str) -> list[Change]:
        """The changes of these pad controls alone."""
        return [change for change in self.changes if change.control in controls]

    # ---------------------------------------------------------------- inside
    def _act(self, act: Act) -> DeviceEvents:
        match act:
            case ("press", name):
                return self.driver.press(name)
            case ("release", name):
                return self.driver.release(name)
            case ("move", name, x, *rest):
                return self.driver.move(name, float(x), *map(float, rest))
            case ("count", name, dx, dy):
                return self.driver.count(name, int(dx), int(dy))
        pytest.fail(f"not an act of a frame: {act!r}")

    def _device_of(self, name: str) -> int:
        return self.driver.press(name)[0]

    def _plug(self, device: int, us: int, held: Iterable[str]) -> None:
        stand_in = self.driver.stand_in(device)
        keys = self.driver.held_codes(device, held)
        self._sources[device] = stand_in.source.id
        self.engine.plug(us, stand_in.source, keys, stand_in.axes)

    def _feed(self, what: DeviceEvents, at: Milliseconds) -> None:
        device, events = what
        us = self._reach(at)
        self.engine.feed(us, self._sources[device], events)
        self._drain()

    def _reach(self, at: Milliseconds) -> int:
        us = round(at * 1000)
        assert us >= self.now_us, f"{at} ms comes before {self.now_us / 1000} ms"
        self.now_us = us
        return us

    def _drain(self) -> None:
        for frame in self.engine.drain():
            changes = self.view.apply(frame.us, frame.events)
            self.frames.append((frame.us, changes))
            self.changes.extend(changes)
        self.notices.extend(self.engine.drain_notices())


def _flat(acts: Iterable[Act | list[Act]]) -> Iterable[Act]:
    for act in acts:
        if isinstance(act, list):
            yield from act
        else:
            yield act
