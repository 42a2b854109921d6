"""Writing a recording, line by line: a crash or a full disk loses at most the last line.

The bytes depend on what is recorded and on nothing else, so that two replays can be compared with
`cmp`.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import BinaryIO, Final

from remapd.codes import EV_ABS, EV_KEY, EV_REL, code_name
from remapd.engine.source import AxisRange
from remapd.recording.lines import (
    FORMAT_KEY,
    FORMAT_VERSION,
    EndLine,
    FrameLine,
    LayoutLine,
    Line,
    MarkLine,
    OtherLine,
    PausedLine,
    PluggedLine,
    RecordedDevice,
    ReleaseLine,
    UnpluggedLine,
)

TYPE_NAMES: Final = {EV_KEY: "EV_KEY", EV_REL: "EV_REL", EV_ABS: "EV_ABS"}


class RecordingWriter:
    """Writes a recording to a stream of bytes.

    Times are given as they are (monotonic microseconds) and written counted from `start_us`; one
    that falls behind the last is written as the last, since a recording's time never falls. Events
    of other types than keys, relative and absolute axes mean nothing to a layout and are left out.
    OSError of the stream passes through.
    """

    def __init__(
        self,
        stream: BinaryIO,
        devices: Iterable[RecordedDevice],
        *,
        start_us: int = 0,
        flush: bool = True,
    ) -> None:
        """Writes the first line; `flush` hands each line to the system at once."""
        self._stream = stream
        self._start_us = start_us
        self._flush = flush
        self._last_us = 0
        self._event_heads: dict[tuple[int, int], str] = {}
        self._write_text(header_text(devices))

    def frame(self, us: int, device: int, events: Iterable[tuple[int, int, int]]) -> None:
        """One frame of a device; one without any event that counts is not written."""
        heads = self._event_heads
        parts = []
        for event_type, code, value in events:
            head = heads.get((event_type, code))
            if head is None:
                head = heads[event_type, code] = _event_head(event_type, code)
            if head:
                parts.append(f"{head}{value}]")
        if parts:
            self._write_text(
                f'{{"us": {self._count(us)}, "device": {device}, "events": [{", ".join(parts)}]}}'
            )

    def flat_frame(self, us: int, device: int, events: Sequence[int]) -> None:
        """One frame as the engine gives it out: [type, code, value, …, 0, 0, 0]."""
        self.frame(us, device, zip(events[0::3], events[1::3], events[2::3], strict=True))

    def plugged(self, us: int, device: RecordedDevice, *, described: bool = False) -> None:
        """A device is there (again); `described` writes what it is: needed for one that is new."""
        self.line(PluggedLine(self._count(us), device, described))

    def unplugged(self, us: int, device: int) -> None:
        """A device is gone."""
        self.line(UnpluggedLine(self._count(us), device))

    def layout(self, us: int, path: str, text: str) -> None:
        """A layout takes over."""
        self.line(LayoutLine(self._count(us), path, text))

    def paused(self, us: int, *, paused: bool) -> None:
        """Remapping pauses, or goes on: a `plugged` line for each device has to follow then."""
        self.line(PausedLine(self._count(us), paused))

    def release_everything(self, us: int) -> None:
        """`release everything` was asked for from outside the layout."""
        self.line(ReleaseLine(self._count(us)))

    def mark(self, us: int, text: str) -> None:
        """A remark."""
        self.line(MarkLine(self._count(us), text))

    def end(self, us: int) -> None:
        """The last line."""
        self.line(EndLine(self._count(us)))

    def line(self, line: Line) -> None:
        """One line as it was read, its time counted from the first line already."""
        self._last_us = max(self._last_us, line.us)
        self._write_text(line_text(line))

    def _count(self, us: int) -> int:
        self._last_us = max(self._last_us, us - self._start_us)
        return self._last_us

    def _write_text(self, text: str) -> None:
        # A file's name may be bytes that are no UTF-8: as an escape JSON brings them back.
        self._stream.write(text.encode(errors="backslashreplace") + b"\n")
        if self._flush:
            self._stream.flush()


def header_text(devices: Iterable[RecordedDevice]) -> str:
    """The first line of a recording, without its newline."""
    entries = [
        {"id": device.source.id, **_description(device), **_state(device)} for device in devices
    ]
    return _json({FORMAT_KEY: FORMAT_VERSION, "devices": entries})


def line_text(line: Line) -> str:
    """Any other line of a recording, without its newline."""
    fields: dict[str, object] = {"us": line.us}
    match line:
        case FrameLine():
            fields["device"] = line.device
            fields["events"] = [
                [TYPE_NAMES[event_type], code_name(event_type, code), value]
                for event_type, code, value in line.events
            ]
        case PluggedLine():
            fields["device"] = line.device.source.id
            fields["plugged"] = True
            if line.described:
                fields |= _description(line.device)
            fields |= _state(line.device)
        case UnpluggedLine():
            fields["device"] = line.device
            fields["plugged"] = False
        case LayoutLine():
            fields["layout"] = line.path
            fields["text"] = line.text
        case PausedLine():
            fields["paused"] = line.paused
        case ReleaseLine():
            fields["release"] = "everything"
        case MarkLine():
            fields["mark"] = line.text
        case EndLine():
            fields["end"] = True
        case OtherLine():
            pass
    return _json(fields)


def _event_head(event_type: int, code: int) -> str:
    """`["EV_KEY", "BTN_0", `, or nothing for a type that recordings do not hold."""
    if event_type not in TYPE_NAMES:
        return ""
    return f'["{TYPE_NAMES[event_type]}", "{code_name(event_type, code)}", '


def _description(device: RecordedDevice) -> dict[str, object]:
    source = device.source
    codes: dict[str, object] = {}
    if source.keys:
        codes["EV_KEY"] = [code_name(EV_KEY, code) for code in sorted(source.keys)]
    if source.rels:
        codes["EV_REL"] = [code_name(EV_REL, code) for code in sorted(source.rels)]
    if source.axes:
        codes["EV_ABS"] = {
            code_name(EV_ABS, code): _range_numbers(source.axes[code])
            for code in sorted(source.axes)
        }
    confirmed = {"confirmed-as": source.confirmed_as} if source.confirmed_as else {}
    return {
        "name": source.name,
        "vendor": source.vendor,
        "product": source.product,
        "version": source.version,
        "bus": source.bus,
        "port": source.port,
        "serial": source.serial,
        **confirmed,
        "codes": codes,
    }


def _range_numbers(axis: AxisRange) -> list[int]:
    return [axis.minimum, axis.maximum, axis.fuzz, axis.flat, axis.resolution]


def _state(device: RecordedDevice) -> dict[str, object]:
    return {
        "held": [code_name(EV_KEY, code) for code in sorted(device.held)],
        "axes": {code_name(EV_ABS, code): device.axes[code] for code in sorted(device.axes)},
    }


def _json(fields: Mapping[str, object]) -> str:
    return json.dumps(fields, ensure_ascii=False)
