"""A part of a recording, as if the recording had begun and ended there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import chain
from types import MappingProxyType
from typing import Final

from remapd.codes import EV_ABS, EV_KEY
from remapd.recording.lines import (
    EndLine,
    FrameLine,
    LayoutLine,
    Line,
    PausedLine,
    PluggedLine,
    RecordedDevice,
    RecordingError,
    UnpluggedLine,
)
from remapd.recording.reader import RecordingReader

_AUTOREPEAT: Final = 2


class Excerpt:
    """The lines from `from_us` to `until_us` (None: to the end), their times counted from there.

    `devices` are those that are plugged in at its beginning, with what is held and where axes stand
    then; `layout` is the recording's own that is in force then, if there is one. Iterate for the
    lines, once.
    """

    def __init__(
        self, recording: RecordingReader, from_us: int = 0, until_us: int | None = None
    ) -> None:
        """Reads up to `from_us`; raises RecordingError where the recording is over before."""
        self.file = recording.file
        self.layout: LayoutLine | None = None
        self._recording = recording
        self._from_us = from_us
        self._until_us = until_us
        self._devices = {device.source.id: device for device in recording.devices}
        self._held = {number: set(device.held) for number, device in self._devices.items()}
        self._axes = {number: dict(device.axes) for number, device in self._devices.items()}
        self._lines: Iterator[Line] = iter(recording)
        last_us = 0
        for line in self._lines:
            last_us = line.us
            if line.us > from_us or (line.us == from_us and not isinstance(line, LayoutLine)):
                self._lines = chain([line], self._lines)
                break
            self._pass_over(line)
        else:
            if from_us:
                raise RecordingError(
                    self.file,
                    None,
                    f"the recording is over after {last_us / 1e6:.1f} s",
                    f"begin before that, and not at {from_us / 1e6:.1f} s",
                )
        self.devices = tuple(
            RecordedDevice(
                device.source,
                frozenset(self._held[number]),
                MappingProxyType(self._axes[number]),
            )
            for number, device in self._devices.items()
        )

    def __iter__(self) -> Iterator[Line]:
        for line in self._lines:
            if self._until_us is not None and line.us > self._until_us:
                yield EndLine(self._until_us - self._from_us)
                return
            yield replace(line, us=line.us - self._from_us) if self._from_us else line

    @property
    def warnings(self) -> list[str]:
        """What was forgiven so far."""
        return self._recording.warnings

    def _pass_over(self, line: Line) -> None:
        """What comes before the beginning counts by what it leaves behind."""
        match line:
            case FrameLine():
                for event_type, code, value in line.events:
                    if event_type == EV_ABS:
                        self._axes[line.device][code] = value
                    elif event_type == EV_KEY and value != _AUTOREPEAT:
                        held = self._held[line.device]
                        (held.add if value else held.discard)(code)
            case PluggedLine():
                number = line.device.source.id
                self._devices[number] = line.device
                self._held[number] = set(line.device.held)
                self._axes[number] = dict(line.device.axes)
            case UnpluggedLine():
                self._devices.pop(line.device)
            case PausedLine(paused=True):
                self._devices.clear()
            case LayoutLine():
                self.layout = line
            case _:
                pass
