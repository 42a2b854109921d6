"""The daemon on a machine that lets nobody make devices: everything but kernel and pad is real.

    with StandInDaemon(folder, layout_path) as daemon:
        daemon.press("left-knee")

It is a process of its own: the daemon's loop, engine, layout reader and control socket, with the
layout's stand-in devices plugged in. What needs real devices is tested in tests/kernel.
"""

from __future__ import annotations

import contextlib
import json
import os
import struct
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import Any, Final, Self, TypeVar, cast

from remapd.codes import EV_SYN, SYN_REPORT
from remapd.compiling.finder import Form
from remapd.daemon import devices, status
from remapd.daemon.beginning import begin_with
from remapd.daemon.client import DaemonClient, NotRunning
from remapd.daemon.journal import Journal
from remapd.daemon.layout_reader import LayoutReader
from remapd.daemon.layouts import Layouts
from remapd.daemon.notify import Notify
from remapd.daemon.places import Place
from remapd.daemon.running import Daemon, InForce
from remapd.daemon.service import first_reading
from remapd.engine.output import OutputFrame
from remapd.engine.source import Source
from remapd.kernel.frames import FrameSplitter
from remapd.kernel.hotplug import NodeDescription
from remapd.kernel.pad import Pad
from remapd.kernel.source import SourceDevice
from remapd.kernel.timer import monotonic_us
from remapd.recording.driver import ControlDriver

T = TypeVar("T")
WAIT_S = 20.0

Events = list[tuple[int, int, int]]


class StandInDaemon:
    """Starts it, and does with its devices what hands would do."""

    def __init__(
        self, folder: Path, layout: Path, *, name: str = "main", state: Path | None = None
    ) -> None:
        self.folder = folder
        self.name = name
        self.layout = layout
        self.environment = os.environ | {"RUNTIME_DIRECTORY": str(folder)}
        if state is not None:
            self.environment["XDG_STATE_HOME"] = str(state)
        self._start()

    def _start(self) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.support.stand_in_daemon", self.name, str(self.layout)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env=self.environment,
            text=True,
            bufsize=1,
        )
        assert self.process.stdout is not None
        said = self.process.stdout.readline()
        assert said == "ready\n", said

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.end()

    def _tell(self, *words: object) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(json.dumps(words) + "\n")

    def press(self, control: str) -> None:
        """A hand presses a button or direction."""
        self._tell("press", control)

    def release(self, control: str) -> None:
        """It lets go."""
        self._tell("release", control)

    def tap(self, control: str, length_s: float = 0.05) -> None:
        """Presses and lets go after so long."""
        self.press(control)
        time.sleep(length_s)
        self.release(control)

    def touch(self, control: str) -> None:
        """Presses and lets go at once, however slow the machine: both are told in one write."""
        assert self.process.stdin is not None
        orders = [json.dumps(("press", control)), json.dumps(("release", control))]
        self.process.stdin.write("\n".join(orders) + "\n")

    def move(self, control: str, x: float, y: float = 0.0) -> None:
        """A stick or lever is moved there."""
        self._tell("move", control, x, y)

    def unplug(self, device: str) -> None:
        """A device is pulled out."""
        self._tell("unplug", device)

    def ask(self, request: str, **details: Any) -> dict[str, Any]:
        """One request at the control socket."""
        with self.client() as client:
            return client.ask(request, **details)

    def client(self) -> DaemonClient:
        """A connection to the control socket."""
        os.environ["RUNTIME_DIRECTORY"] = str(self.folder)
        return DaemonClient(self.name)

    def save(self, text: str) -> None:
        """Saves the layout in place."""
        self.layout.write_text(text)

    def restart(self) -> None:
        """Ends it, and starts it anew."""
        self.end()
        self._start()

    def kill(self) -> None:
        """Ends it as a crash does."""
        self.process.kill()
        self.end()

    def end(self) -> None:
        """Ends it."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        with contextlib.suppress(BrokenPipeError):
            self.process.stdin.close()
        self.process.wait(WAIT_S)
        self.process.stdout.close()


def until(ask: Callable[[], T], wait_s: float = WAIT_S) -> T:
    """Asks until the answer is true, and gives it."""
    deadline = time.monotonic() + wait_s
    while True:
        with contextlib.suppress(NotRunning):
            if answer := ask():
                return answer
        assert time.monotonic() < deadline, f"not within {wait_s} s"
        time.sleep(0.02)


# ---------------------------------------------------------------- the process itself
_RECORD: Final = struct.Struct("@LLHHi")


class _Pad:
    """A pad that nobody sees."""

    name = "remapd pad"
    node = "/dev/input/event-none"
    identity = None

    def __init__(self) -> None:
        self._readable, _ = os.pipe()

    def fileno(self) -> int:
        return self._readable

    def write_all(self, frames: list[OutputFrame]) -> None:
        """Goes nowhere."""

    def write_axes(self, moved: int, positions: list[int]) -> None:
        """Goes nowhere."""


class _Device:
    """What an event node would be; `send` puts a frame into it."""

    def __init__(self, source: Source, held: frozenset[int], axes: dict[int, int]) -> None:
        self.path = f"/dev/input/event{source.id}"
        self.source = source
        self.grabbed = False
        self.is_gone = False
        self.splitter = FrameSplitter()
        self.splitter.keys = dict.fromkeys(held, 1)
        self.splitter.axes = axes
        self._is_closed = False
        self._records = b""
        self._readable, self._wake = os.pipe()
        os.set_blocking(self._readable, False)

    @property
    def drops(self) -> int:
        return self.splitter.drops

    def send(self, events: Events) -> None:
        if self._is_closed:  # given back for a pause: nobody hears it
            return
        time = divmod(monotonic_us(), 1_000_000)
        records = [_RECORD.pack(*time, *event) for event in [*events, (EV_SYN, SYN_REPORT, 0)]]
        self._records += b"".join(records)
        os.write(self._wake, b".")

    def vanish(self) -> None:
        self.is_gone = True
        os.write(self._wake, b".")

    def fileno(self) -> int:
        return self._readable

    def read(self) -> bytes | None:
        if self.is_gone:
            return None
        with contextlib.suppress(BlockingIOError):
            os.read(self._readable, 4096)
        records, self._records = self._records, b""
        return records

    def frames_of(self, data: bytes) -> list[tuple[int, Events]]:
        return self.splitter.split(data)

    def read_frames(self) -> list[tuple[int, Events]] | None:
        data = self.read()
        return None if data is None else self.frames_of(data)

    def held(self) -> frozenset[int]:
        return frozenset(code for code, value in self.splitter.keys.items() if value)

    def axes(self) -> dict[int, int]:
        return dict(self.splitter.axes)

    def try_grab(self) -> bool:
        self.grabbed = True
        return True

    def ungrab(self) -> None:
        self.grabbed = False

    def close(self) -> None:
        self._is_closed = True
        os.close(self._readable)
        os.close(self._wake)


class _Hands:
    """Carries out what is told on standard input, in the loop."""

    def __init__(self, daemon: Daemon) -> None:
        self._daemon = daemon
        self._devices: dict[int, _Device] = {}
        self._driver = ControlDriver(daemon.in_force.layout)
        for stand_in in self._driver.stand_ins:
            if stand_in.device is None:
                continue
            device = _Device(stand_in.source, frozenset(stand_in.held), dict(stand_in.axes))
            self._devices[stand_in.device] = device
            node = cast("NodeDescription", _Node(device.path, stand_in.source))
            daemon.devices._admit(node, cast("SourceDevice", device))
        self._received = b""
        daemon.loop.add(0, self._read)

    def _read(self, mask: int) -> None:
        del mask
        data = os.read(0, 1 << 16)
        if not data:
            self._daemon.loop.stop()
            return
        *lines, self._received = (self._received + data).split(b"\n")
        for line in lines:
            self._do(*json.loads(line))

    def _do(self, what: str, *words: Any) -> None:
        if what == "unplug":
            self._devices[self._driver.device(words[0])].vanish()
            return
        device, events = getattr(self._driver, what)(*words)
        self._devices[device].send(events)


class _Node:
    """What is known of a node before it is opened."""

    def __init__(self, path: str, source: Source) -> None:
        self.path = path
        self.source = source

    def __getattr__(self, name: str) -> Any:
        return getattr(self.source, name)


class _NoHotplug:
    """Nothing is plugged in or pulled out: a machine without devices has no folder for them."""

    def __init__(self) -> None:
        self._never, self._end = os.pipe()

    def fileno(self) -> int:
        return self._never

    def read(self) -> list[object]:
        return []


def serve(name: str, path: str) -> None:
    """Runs until standard input ends."""
    devices.HotplugWatch = _NoHotplug  # type: ignore[assignment, attr-defined]
    devices.list_nodes = list  # type: ignore[assignment, attr-defined]
    # what is installed is compiled; its loop would not take our pad, which is no real one
    status.form_in_use = lambda: Form(is_compiled=True)  # type: ignore[attr-defined]
    with ExitStack() as at_end:
        place = Place(name)
        at_end.callback(place.release)
        reader = LayoutReader()
        beginning = begin_with(Path(path), name)
        reading, layout, refused = first_reading(reader, reader.use(str(beginning.path)), beginning)
        layouts = Layouts(reader, (name, str(beginning.started_with)))
        at_end.callback(layouts.close)
        in_force = InForce(layout, reading.path, reading.texts, reading.text, monotonic_us())
        daemon = Daemon(name, in_force, cast("Pad", _Pad()), Journal(), Notify(), layouts)
        daemon.begins_as(beginning.notes)
        if refused is not None:
            daemon.begins_instead(refused)
        daemon.listen(place.socket_path, None)
        daemon.begin()
        _Hands(daemon)
        print("ready", flush=True)
        daemon.run()
        assert daemon.control is not None
        daemon.control.close()


if __name__ == "__main__":
    serve(*sys.argv[1:])
