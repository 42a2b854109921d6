"""Recordings for tests, made by stand-in hands on a layout's devices."""

from __future__ import annotations

import io
from collections.abc import Callable

from remapd.engine.layout import Layout
from remapd.recording.driver import ControlDriver, DeviceEvents
from remapd.recording.lines import RecordedDevice
from remapd.recording.reader import RecordingReader
from remapd.recording.writer import RecordingWriter
from tests.support.layouts import load_or_fail


class Take:
    """A recording in the making: presses by name, everything else by its `writer`.

    Device ids in it are the numbers of the layout's devices. Times are milliseconds.
    """

    def __init__(self, layout: Layout | str, *, text: str | None = None) -> None:
        """With `text`, the recording begins with that layout."""
        built = load_or_fail(layout) if isinstance(layout, str) else layout
        self.driver = ControlDriver(built)
        self.stream = io.BytesIO()
        self.writer = RecordingWriter(
            self.stream,
            [RecordedDevice(s.source, s.held, s.axes) for s in self.driver.stand_ins],
            flush=False,
        )
        if text is not None:
            self.writer.layout(0, "own.yaml", text)

    def press(self, name: str, at: float) -> None:
        self._frame(self.driver.press(name), at)

    def release(self, name: str, at: float) -> None:
        self._frame(self.driver.release(name), at)

    def tap(self, name: str, at: float, length: float) -> None:
        self.press(name, at)
        self.release(name, at + length)

    def move(self, name: str, x: float, y: float, at: float) -> None:
        self._frame(self.driver.move(name, x, y), at)

    def count(self, name: str, dx: int, dy: int, at: float) -> None:
        self._frame(self.driver.count(name, dx, dy), at)

    def device(self, name: str) -> RecordedDevice:
        """A device at rest, as it would be plugged in."""
        stand_in = self.driver.stand_in(self.driver.device(name))
        return RecordedDevice(stand_in.source, stand_in.held, stand_in.axes)

    def end(self, at: float) -> None:
        self.writer.end(round(at * 1000))

    @property
    def data(self) -> bytes:
        return self.stream.getvalue()

    def reader(self, mend: Callable[[bytes], bytes] = bytes) -> RecordingReader:
        """The recording as written so far, or as changed by `mend`."""
        return RecordingReader(io.BytesIO(mend(self.data)), "take.jsonl")

    def _frame(self, what: DeviceEvents, at: float) -> None:
        device, events = what
        self.writer.frame(round(at * 1000), device, events)
