"""From what the daemon sends of a recording to the recording's file."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Mapping
from typing import Any, BinaryIO, Final

from remapd.codes import EV_KEY, KEYS
from remapd.daemon.wire import source_of, state_of
from remapd.engine.matching import is_keyboard
from remapd.language import load_text
from remapd.recording.lines import RecordedDevice
from remapd.recording.writer import RecordingWriter

#: Stands for every key of a masked keyboard: that something was pressed, and for how long.
MASK: Final = KEYS["KEY_UNKNOWN"]


class RecordingFile:
    """Writes the messages of one recording to `stream`, line by line.

    What is typed on a typing keyboard is private: unless `keep_keys`, its keys are written as one
    and the same, which nothing is bound to, but for those that a layout uses as switches.
    """

    def __init__(self, stream: BinaryIO, *, keep_keys: bool = False) -> None:
        self._stream = stream
        self._keep_keys = keep_keys
        self._writer: RecordingWriter | None = None
        self._masked: set[int] = set()
        self._known: set[int] = set()
        self._switches: set[int] = set()
        self._start_us = 0
        self._last_us = 0
        self._frames = 0

    @property
    def begun(self) -> bool:
        """Whether anything was written."""
        return self._writer is not None

    def summary(self) -> str:
        """How much there is, in words."""
        return f"{(self._last_us - self._start_us) / 1e6:.1f} s, {self._frames} frames of input"

    def take(self, message: Mapping[str, Any]) -> bool:
        """One message of the daemon; whether the recording has ended with it."""
        match message.get("event"):
            case "recording":
                self._begin(message["us"], message["state"])
            case "recording-frames":
                self._write(message["items"])
            case "recording-end":
                if self._writer is not None:
                    self._last_us = max(self._last_us, message["us"])
                    self._writer.end(self._last_us)
                return True
        return False

    def _begin(self, us: int, state: Mapping[str, Any]) -> None:
        self._start_us = self._last_us = us
        self._learn_switches(state["text"])
        devices = [self._device(fields) for fields in state["devices"]]
        self._writer = RecordingWriter(self._stream, devices, start_us=us)
        if state["layout"] is not None:
            self._writer.layout(us, state["layout"], state["text"])
        if state["paused"]:
            self._writer.paused(us, paused=True)

    def _write(self, items: Iterable[tuple[int, int, Any]]) -> None:
        writer = self._writer
        if writer is None:
            return
        for us, device, what in items:
            self._last_us = max(self._last_us, us)
            if device >= 0:
                self._frames += 1
                writer.frame(us, device, self._mask(what) if device in self._masked else what)
            elif "plugged" in what:
                new = what["plugged"]["id"] not in self._known
                writer.plugged(us, self._device(what["plugged"]), described=new)
            elif "unplugged" in what:
                writer.unplugged(us, what["unplugged"])
            elif "layout" in what:
                self._learn_switches(what["text"])
                writer.layout(us, what["layout"], what["text"])
            elif "paused" in what:
                writer.paused(us, paused=what["paused"])
            elif "release" in what:
                writer.release_everything(us)
            elif "mark" in what:
                writer.mark(us, what["mark"])

    def _device(self, fields: Mapping[str, Any]) -> RecordedDevice:
        source = source_of(fields)
        held, axes = state_of(fields)
        self._known.add(source.id)
        if not self._keep_keys and is_keyboard(source):
            self._masked.add(source.id)
            held = held & self._switches
            source = dataclasses.replace(source, keys=source.keys | {MASK})
        return RecordedDevice(source, held, axes)

    def _learn_switches(self, text: str) -> None:
        """The keys that this layout uses."""
        layout = load_text(text).layout
        if layout is not None:
            for device in layout.devices:
                self._switches |= device.keys

    def _mask(self, events: Iterable[tuple[int, int, int]]) -> list[tuple[int, int, int]]:
        return [
            (event_type, MASK, value)
            if event_type == EV_KEY and code not in self._switches
            else (event_type, code, value)
            for event_type, code, value in events
        ]
