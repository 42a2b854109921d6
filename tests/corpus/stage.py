"""The stage of a session: real devices, the real daemon, `remapd record`, and a game."""

from __future__ import annotations

import contextlib
import os
import select
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Generic, TypeVar

from remapd.kernel.frames import Event
from remapd.kernel.source import SourceDevice
from tests.support.daemon import Daemon, until
from tests.support.source_devices import WAIT_S, open_source

D = TypeVar("D")

#: Long enough for whatever a layout of the corpus still has running when hands are still.
_SETTLE_S = 1.5


class Slot(Generic[D]):
    """A place where one device of a session is plugged in; `device` while it is."""

    def __init__(self, make: Callable[[], Any]) -> None:
        self._make = make
        self._device: D | None = None

    @property
    def device(self) -> D:
        """What is plugged in."""
        assert self._device is not None, "nothing is plugged in"
        return self._device

    def plug(self) -> D:
        """Plugs it in."""
        device: D = self._make()
        self._device = device
        return device

    def unplug(self) -> None:
        """Pulls it out; nothing where there is none."""
        if self._device is not None:
            device, self._device = self._device, None
            device.close()  # type: ignore[attr-defined] # every device has it


class Watcher:
    """Reads the pad as a game does, all the time; `frames` is what came."""

    def __init__(self, node: str) -> None:
        self.frames: list[list[Event]] = []
        self.source: SourceDevice = open_source(node)
        self._ends, self._end = os.pipe()
        self._thread = threading.Thread(target=self._watch, name="a game")
        self._thread.start()

    def close(self) -> None:
        """Ends reading."""
        os.write(self._end, b".")
        self._thread.join()
        os.close(self._ends)
        os.close(self._end)
        self.source.close()

    def _watch(self) -> None:
        while True:
            ready, _, _ = select.select([self.source.fileno(), self._ends], [], [])
            if self.source.fileno() in ready:
                frames = self.source.read_frames()
                if frames is None:
                    return
                self.frames += [events for _, events in frames]
            if self._ends in ready:
                return


class Stage:
    """One session: the daemon with a layout, its devices, and the recording under way.

    `seen` are the pad's frames as a game read them, once the stage is left.
    """

    def __init__(
        self, folder: Path, name: str, layout: str, devices: Mapping[str, Callable[[], Any]]
    ) -> None:
        self.recording = folder / f"{name}.jsonl"
        self.seen: list[list[Event]] = []
        self._folder = folder
        self._layout_path = folder / f"{name}.yaml"
        self._layout_path.write_text(layout)
        self._slots: dict[str, Slot[Any]] = {name: Slot(make) for name, make in devices.items()}
        self._began_s = 0.0

    def __enter__(self) -> Stage:
        with contextlib.ExitStack() as at_failure:
            for slot in self._slots.values():
                slot.plug()
                at_failure.callback(slot.unplug)
            self.daemon = Daemon(self._folder, self._layout_path)
            at_failure.callback(self.daemon.close)
            self.daemon.until_taken(*self._slots)
            self._recorder = self._record()
            at_failure.callback(self._recorder.kill)
            self._watcher = Watcher(self.daemon.status()["pad"]["node"])
            at_failure.pop_all()
        self._began_s = time.monotonic()
        return self

    def __exit__(self, kind: object, *_: object) -> None:
        with contextlib.ExitStack() as at_end:  # whatever fails here, nothing of it stays
            for slot in self._slots.values():
                at_end.callback(slot.unplug)
            at_end.callback(self.daemon.close)
            at_end.callback(self._watcher.close)
            at_end.callback(self._recorder.kill)
            time.sleep(_SETTLE_S)
            self._recorder.send_signal(signal.SIGINT)
            said, complained = self._recorder.communicate(timeout=WAIT_S)
        self.seen = self._watcher.frames
        lost = self._watcher.source.drops
        journal = self.daemon.journal()
        if kind is None:
            assert self._recorder.returncode == 0, complained
            assert str(self.recording) in said
            assert lost == 0, "the game's own queue ran over"
            assert "mistake in remapd" not in journal

    # ---------------------------------------------------------------- what hands do
    def at(self, ms: float) -> None:
        """Waits until so long after the beginning."""
        time.sleep(max(0.0, self._began_s + ms / 1000 - time.monotonic()))

    def of(self, name: str) -> Any:
        """What is plugged in as this device of the layout."""
        return self._slots[name].device

    def tap(self, device: str, number: int, at: float, length: float) -> None:
        """A switch pressed and let go."""
        self.at(at)
        self.of(device).press(number)
        self.at(at + length)
        self.of(device).release(number)

    def unplug(self, device: str) -> None:
        """Pulls a device out, and waits until the daemon knows."""
        self._slots[device].unplug()
        until(lambda: self.daemon.device(device)["state"] != "taken")

    def plug(self, device: str, prepare: Callable[[Any], None]) -> None:
        """Plugs it in again, with something done to it before the daemon can look."""
        self.stall(lambda: prepare(self._slots[device].plug()))
        until(lambda: self.daemon.device(device)["state"] == "taken")

    def save(self, layout: str) -> None:
        """Saves another text of the layout, and waits until it plays."""
        title = layout.partition("title: ")[2].partition("\n")[0]
        self.daemon.save(layout)
        self.daemon.until_status(lambda status: title in str(status))

    def mark(self, text: str) -> None:
        """Somebody says what has just gone wrong."""
        self.daemon.ask("mark", text=text)

    def stall(self, meanwhile: Callable[[], None]) -> None:
        """Something is done while the daemon gets no processor time at all."""
        self.daemon.process.send_signal(signal.SIGSTOP)
        try:
            meanwhile()
        finally:
            self.daemon.process.send_signal(signal.SIGCONT)

    def _record(self) -> subprocess.Popen[str]:
        """`remapd record`, under way."""
        recorder = subprocess.Popen(
            [sys.executable, "-m", "remapd", "record", "-o", str(self.recording)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env=os.environ | {"RUNTIME_DIRECTORY": str(self._folder)},
        )
        until(
            lambda: (
                recorder.poll() is not None
                or (self.recording.exists() and self.recording.stat().st_size > 0)
            )
        )
        assert recorder.poll() is None, recorder.communicate()
        return recorder
