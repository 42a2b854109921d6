"""Reading a recording, line by line, as strictly as a file that decides about play must be read.

Whatever the bytes are, reading gives lines or ends with a RecordingError that has a line number.
Only two things are forgiven: keys that this version does not know are passed over, and a last line
that was cut off (the power went) is left out with a warning.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import MappingProxyType, TracebackType
from typing import BinaryIO, Final, NoReturn, Self

from remapd.codes import EV_ABS, EV_KEY, EV_REL, code_number
from remapd.engine.source import AxisRange, Source
from remapd.recording.lines import (
    FORMAT_KEY,
    FORMAT_VERSION,
    EndLine,
    Event,
    FrameLine,
    LayoutLine,
    Line,
    MarkLine,
    OtherLine,
    PausedLine,
    PluggedLine,
    RecordedDevice,
    RecordingError,
    ReleaseLine,
    UnpluggedLine,
)

CHUNK_BYTES: Final = 1 << 18
#: Far above any real line (a layout's text is a page or two): a longer one is another kind of file.
LONGEST_LINE_BYTES: Final = 16 << 20
LATEST_US: Final = (1 << 63) - 1
_INT32: Final = range(-(1 << 31), 1 << 31)
_TYPES: Final = {"EV_KEY": EV_KEY, "EV_REL": EV_REL, "EV_ABS": EV_ABS}
_NOT_A_RECORDING: Final = (
    "a recording begins with the line that `remapd record` writes first; check the file's name"
)
_DAMAGED: Final = (
    "the file was damaged or changed by hand; undo the change, or delete this line and all after it"
)

#: Event name to its type's name, its type and its code, for one device.
_Names = dict[str, tuple[str, int, int]]


class _CutOff(Exception):
    """The last line has no end, and is not whole without it."""


class RecordingReader:
    """The lines of a recording.

    `devices` are those of the first line, which is read at once. Iterate for the other lines, once.
    `warnings` grows as lines are read; `line_number` is that of the line read last; `bytes_read`
    tells how far into the file reading has come.
    """

    def __init__(self, stream: BinaryIO, file: str) -> None:
        """Reads the first line; raises RecordingError where it is not that of a recording."""
        self.file = file
        self.warnings: list[str] = []
        self.line_number = 0
        self.bytes_read = 0
        self._stream = stream
        self._decode = json.JSONDecoder().raw_decode
        self._last_us = 0
        self._described: dict[int, RecordedDevice] = {}
        self._names: dict[int, _Names] = {}
        self._plugged: set[int] = set()
        self._lines = self._split()
        self.devices: tuple[RecordedDevice, ...] = self._read_header()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._stream.close()

    def __iter__(self) -> Iterator[Line]:
        decode = self._decode
        for raw, is_whole in self._lines:
            try:
                text = raw.decode()
                fields, end = decode(text)
                if end != len(text):
                    raise ValueError  # blanks behind it, or more than one value: told below
            except (ValueError, RecursionError):
                try:
                    fields = self._parse(raw, is_whole=is_whole)
                except _CutOff:
                    self.warnings.append(
                        f"{self.file}:{self.line_number}: the last line is cut off; read up to "
                        "the line before"
                    )
                    return
            line = self._line(fields)
            yield line
            if line.__class__ is EndLine:
                break
        for raw, _ in self._lines:
            if raw.strip():
                self._fail("there are lines after the one that says `end`", _DAMAGED)

    # ---------------------------------------------------------------- bytes to JSON
    def _split(self) -> Iterator[tuple[bytes, bool]]:
        """Each line without its newline, and whether it had one; empty lines are passed over."""
        rest = b""
        while True:
            try:
                chunk = self._stream.read(CHUNK_BYTES)
            except OSError as error:
                self._fail(f"reading stopped: {error.strerror}", "check the disk or the copy")
            if not chunk:
                break
            self.bytes_read += len(chunk)
            lines = (rest + chunk).split(b"\n") if rest else chunk.split(b"\n")
            rest = lines.pop()
            for line in lines:
                self.line_number += 1
                if line:
                    yield line, True
            if len(rest) > LONGEST_LINE_BYTES:
                self.line_number += 1
                self._fail("this line is longer than any line of a recording", _NOT_A_RECORDING)
        if rest:
            self.line_number += 1
            yield rest, False

    def _parse(self, raw: bytes, *, is_whole: bool) -> object:
        """One line's JSON value, or where it has none; _CutOff for a last line without its end."""
        try:
            value: object = json.loads(raw.decode())
        except UnicodeDecodeError:
            what = "this line is not UTF-8 text"
        except RecursionError:
            what = "this line has too many brackets inside each other"
        except json.JSONDecodeError as error:
            what = f"this line is not JSON (column {error.colno})"
        except ValueError:  # Python reads no number of more than some thousand digits
            what = "this line has a number that is too long"
        else:
            return value
        if not is_whole:
            raise _CutOff
        raise RecordingError(self.file, self.line_number, what, _DAMAGED)

    # ---------------------------------------------------------------- JSON to lines
    def _read_header(self) -> tuple[RecordedDevice, ...]:
        first = next(self._lines, None)
        if first is None:
            raise RecordingError(self.file, None, "the file is empty", _NOT_A_RECORDING)
        raw, is_whole = first
        try:
            fields = self._parse(raw, is_whole=is_whole)
        except _CutOff:
            self._fail("the first line is cut off, or is not JSON", _NOT_A_RECORDING)
        except RecordingError as error:
            self._fail(f"not a recording: {error.what}", _NOT_A_RECORDING)
        if not isinstance(fields, dict) or FORMAT_KEY not in fields:
            self._fail("not a recording of remapd", _NOT_A_RECORDING)
        version = fields[FORMAT_KEY]
        if version.__class__ is not int or version != FORMAT_VERSION:
            self._fail(
                f"a recording of version {_shown(version)}; this program reads version "
                f"{FORMAT_VERSION}",
                "use a newer remapd, or record again",
            )
        entries = fields.get("devices")
        if not isinstance(entries, list):
            self._fail("the first line has no list of `devices`", _DAMAGED)
        devices = []
        for entry in entries:
            if not isinstance(entry, dict):
                self._fail("an entry of `devices` is not a group of fields", _DAMAGED)
            number = self._integer(entry, "id", range(1 << 31))
            if number in self._described:
                self._fail(f"two devices have the id {number}", _DAMAGED)
            device = self._with_state(self._described_device(number, entry), entry)
            self._plugged.add(number)
            devices.append(device)
        return tuple(devices)

    def _line(self, fields: object) -> Line:
        if not isinstance(fields, dict):
            self._fail("this line is not a group of fields in braces", _DAMAGED)
        us = fields.get("us")
        if us.__class__ is not int or not 0 <= us <= LATEST_US:
            self._fail_at_time(fields)
        if us < self._last_us:
            self._fail(
                f"time falls from {self._last_us} to {us} microseconds",
                "put the lines back into the order in which they were recorded",
            )
        self._last_us = us
        events = fields.get("events")
        if events is not None:
            return FrameLine(us, *self._frame(fields, events))
        if "plugged" in fields:
            return self._plugged_line(us, fields)
        if "layout" in fields:
            return LayoutLine(us, self._text(fields, "layout"), self._text(fields, "text"))
        if "paused" in fields:
            paused = self._truth(fields, "paused")
            if paused:
                self._plugged.clear()  # devices are given back; resuming is as plugging in
            return PausedLine(us, paused)
        if "release" in fields:
            if fields["release"] != "everything":
                self._fail(f"`release` cannot be {_shown(fields['release'])}", _DAMAGED)
            return ReleaseLine(us)
        if "mark" in fields:
            return MarkLine(us, self._text(fields, "mark"))
        if "end" in fields:
            if fields["end"] is not True:
                self._fail(f"`end` cannot be {_shown(fields['end'])}", _DAMAGED)
            return EndLine(us)
        self.warnings.append(
            f"{self.file}:{self.line_number}: this line says nothing that this version of remapd "
            "knows; left out"
        )
        return OtherLine(us)

    def _frame(self, fields: Mapping[str, object], events: object) -> tuple[int, list[Event]]:
        """The hot path: an hour of a 1000 Hz stick comes through here 3.6 million times."""
        number = fields.get("device")
        if number.__class__ is not int or number not in self._plugged:
            self._fail_at_device(number)
        names = self._names[number]
        if not isinstance(events, list):
            self._fail("`events` is not a list", _DAMAGED)
        frame = []
        try:
            for type_name, name, value in events:
                known_type, event_type, code = names[name]
                if (
                    known_type != type_name
                    or value.__class__ is not int
                    or not -0x8000_0000 <= value <= 0x7FFF_FFFF
                ):
                    self._fail_at_event(type_name, name, value)
                frame.append((event_type, code, value))
        except (KeyError, TypeError, ValueError):
            # An error, or another name of a code (BTN_A for BTN_SOUTH) seen for the first time.
            frame = [self._event(event, names) for event in events]
        return number, frame

    def _plugged_line(self, us: int, fields: Mapping[str, object]) -> PluggedLine | UnpluggedLine:
        number = self._integer(fields, "device", range(1 << 31))
        is_described = "codes" in fields
        if number not in self._described and not is_described:
            self._fail_at_device(number)
        if not self._truth(fields, "plugged"):
            if number not in self._plugged:
                self._fail(f"device {number} is unplugged, but it is not plugged in", _DAMAGED)
            self._plugged.discard(number)
            return UnpluggedLine(us, number)
        if number in self._plugged:
            self._fail(f"device {number} is plugged in, but it is there already", _DAMAGED)
        self._plugged.add(number)
        device = self._described_device(number, fields) if is_described else self._described[number]
        return PluggedLine(us, self._with_state(device, fields), is_described)

    def _described_device(self, number: int, fields: Mapping[str, object]) -> RecordedDevice:
        names: _Names = {}
        keys, rels, axes = self._codes(fields, names)
        source = Source(
            id=number,
            name=self._text(fields, "name"),
            vendor=self._integer(fields, "vendor", range(1 << 16), default=0),
            product=self._integer(fields, "product", range(1 << 16), default=0),
            version=self._integer(fields, "version", range(1 << 16), default=0),
            bus=self._integer(fields, "bus", range(1 << 16), default=0),
            port=self._text(fields, "port", default=""),
            serial=self._text(fields, "serial", default=""),
            keys=keys,
            rels=rels,
            axes=axes,
        )
        device = self._described[number] = RecordedDevice(source)
        self._names[number] = names
        return device

    def _codes(
        self, fields: Mapping[str, object], names: _Names
    ) -> tuple[frozenset[int], frozenset[int], Mapping[int, AxisRange]]:
        codes = fields.get("codes")
        if not isinstance(codes, dict):
            self._fail("a device has no `codes`", _DAMAGED)
        found: dict[int, list[int]] = {EV_KEY: [], EV_REL: []}
        for type_name, event_type in (("EV_KEY", EV_KEY), ("EV_REL", EV_REL)):
            listed = codes.get(type_name, [])
            if not isinstance(listed, list):
                self._fail(f"`{type_name}` is not a list of names", _DAMAGED)
            for name in listed:
                code = self._number(type_name, name)
                names[name] = (type_name, event_type, code)
                found[event_type].append(code)
        ranges = codes.get("EV_ABS", {})
        if not isinstance(ranges, dict):
            self._fail("`EV_ABS` is not a group of axes with their ranges", _DAMAGED)
        axes = {}
        for name, numbers in ranges.items():
            code = self._number("EV_ABS", name)
            names[name] = ("EV_ABS", EV_ABS, code)
            axes[code] = self._range(name, numbers)
        return frozenset(found[EV_KEY]), frozenset(found[EV_REL]), MappingProxyType(axes)

    def _range(self, name: str, numbers: object) -> AxisRange:
        if (
            not isinstance(numbers, list)
            or len(numbers) != 5
            or any(number.__class__ is not int or number not in _INT32 for number in numbers)
        ):
            self._fail(f"the range of {name} is not [min, max, fuzz, flat, resolution]", _DAMAGED)
        return AxisRange(*numbers)

    def _with_state(self, device: RecordedDevice, fields: Mapping[str, object]) -> RecordedDevice:
        """The device with the line's `held` and `axes`."""
        names = self._names[device.source.id]
        held = fields.get("held", [])
        if not isinstance(held, list):
            self._fail("`held` is not a list of names", _DAMAGED)
        codes = set()
        for name in held:
            known = self._known(name, names)
            if known is None or known[0] != "EV_KEY":
                self._fail(f"`held` names {_shown(name)}, which the device has not", _DAMAGED)
            codes.add(known[2])
        values = fields.get("axes", {})
        if not isinstance(values, dict):
            self._fail("`axes` is not a group of axes with their values", _DAMAGED)
        axes = {}
        for name, value in values.items():
            known = self._known(name, names)
            if known is None or known[0] != "EV_ABS":
                self._fail(f"`axes` names {_shown(name)}, which the device has not", _DAMAGED)
            if value.__class__ is not int or value not in _INT32:
                self._fail(f"the value of {name} cannot be {_shown(value)}", _DAMAGED)
            axes[known[2]] = value
        return RecordedDevice(device.source, frozenset(codes), MappingProxyType(axes))

    def _event(self, event: object, names: _Names) -> Event:
        if not isinstance(event, list) or len(event) != 3:
            self._fail(f"{_shown(event)} is not an event: type, code and value", _DAMAGED)
        type_name, name, value = event
        known = self._known(name, names)
        if (
            known is None
            or known[0] != type_name
            or value.__class__ is not int
            or value not in _INT32
        ):
            self._fail_at_event(type_name, name, value)
        return known[1], known[2], value

    # ---------------------------------------------------------------- single fields
    @staticmethod
    def _known(name: object, names: _Names) -> tuple[str, int, int] | None:
        """What the device means by a name, which may be another name of a code that it has."""
        if not isinstance(name, str):
            return None
        if name not in names:
            try:
                event_type, code = code_number(name)
            except KeyError:
                return None
            for entry in names.values():
                if entry[1:] == (event_type, code):
                    names[name] = entry
                    break
        return names.get(name)

    def _number(self, type_name: str, name: object) -> int:
        try:
            event_type, code = code_number(name) if isinstance(name, str) else (-1, -1)
        except KeyError:
            event_type, code = -1, -1
        if event_type != _TYPES[type_name]:
            self._fail(f"{_shown(name)} is not a code of {type_name}", _DAMAGED)
        return code

    def _integer(
        self, fields: Mapping[str, object], key: str, allowed: range, default: int | None = None
    ) -> int:
        value = fields.get(key, default)
        if value.__class__ is not int or value not in allowed:
            missing = key not in fields
            self._fail(
                f"`{key}` is missing" if missing else f"`{key}` cannot be {_shown(value)}",
                _DAMAGED,
            )
        return value

    def _text(self, fields: Mapping[str, object], key: str, default: str | None = None) -> str:
        value = fields.get(key, default)
        if not isinstance(value, str):
            missing = key not in fields
            self._fail(f"`{key}` is missing" if missing else f"`{key}` is not a text", _DAMAGED)
        # JSON can write half a surrogate pair, which no file can hold as UTF-8.
        return value.encode("utf-16", "surrogatepass").decode("utf-16", "replace")

    def _truth(self, fields: Mapping[str, object], key: str) -> bool:
        value = fields[key]
        if not isinstance(value, bool):
            self._fail(f"`{key}` is true or false, not {_shown(value)}", _DAMAGED)
        return value

    # ---------------------------------------------------------------- errors
    def _fail_at_event(self, type_name: object, name: object, value: object) -> NoReturn:
        if not isinstance(type_name, str) or type_name not in _TYPES:
            self._fail(f"{_shown(type_name)} is not a type of event", _DAMAGED)
        self._number(type_name, name)
        if value.__class__ is not int or value not in _INT32:
            self._fail(f"the value of {name} cannot be {_shown(value)}", _DAMAGED)
        self._fail(f"the device has no {name}: its description in the recording lacks it", _DAMAGED)

    def _fail_at_device(self, number: object) -> NoReturn:
        if number.__class__ is not int or number not in self._described:
            known = ", ".join(map(str, sorted(self._described))) or "none"
            self._fail(
                f"there is no device {_shown(number)}; the recording describes {known}", _DAMAGED
            )
        self._fail(f"device {number} sends while it is not plugged in", _DAMAGED)

    def _fail_at_time(self, fields: Mapping[str, object]) -> NoReturn:
        if "us" not in fields:
            self._fail("this line has no time (`us`)", _DAMAGED)
        self._fail(
            f"`us` cannot be {_shown(fields['us'])}: it counts whole microseconds from 0", _DAMAGED
        )

    def _fail(self, what: str, remedy: str) -> NoReturn:
        raise RecordingError(self.file, self.line_number or 1, what, remedy)


def open_recording(path: Path) -> RecordingReader:
    """Opens a recording to read it; raises RecordingError for whatever is wrong with the file.

    The reader is a context manager that closes the file.
    """
    file = str(path)
    try:
        stream = path.open("rb")
    except FileNotFoundError:
        raise RecordingError(file, None, "there is no such file", "check its name") from None
    except IsADirectoryError:
        raise RecordingError(file, None, "this is a folder", "name the recording in it") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise RecordingError(file, None, f"cannot be opened: {reason}", "check its name") from None
    try:
        return RecordingReader(stream, file)
    except BaseException:
        stream.close()
        raise


def _shown(value: object) -> str:
    """A value as the recording writes it, shortened."""
    text = json.dumps(value, ensure_ascii=True)
    return text if len(text) <= 40 else f"{text[:37]}..."
