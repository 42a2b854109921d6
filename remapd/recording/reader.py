"""Reading a recording, line by line, as strictly as a file that decides about play must be read.

Whatever the bytes are, reading gives lines or ends with a RecordingError that has a line number.
Only two things are forgiven: keys that this version does not know are passed over, and a last line
that was cut off (the power went) is left out with a warning.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from types import TracebackType
from typing import BinaryIO, Final, NoReturn, Self

from remapd.recording.descriptions import (
    Names,
    described_device,
    fail_at_event,
    read_event,
    with_state,
)
from remapd.recording.fields import DEVICE_NUMBERS, integer, shown, text, truth
from remapd.recording.json_lines import DAMAGED, NOT_A_RECORDING, JsonLines
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

#: A year: what is later is a damaged number. What repeats by itself (turbo) is played through to
#: the last line, so that a time of some millennia would keep a replay busy for as good as ever.
LATEST_US: Final = 366 * 86_400 * 1_000_000


class RecordingReader:
    """The lines of a recording.

    `devices` are those of the first line, which is read at once. Iterate for the other lines, once.
    `warnings` grows as lines are read; `line_number` is that of the line read last; `bytes_read`
    tells how far into the file reading has come.
    """

    def __init__(self, stream: BinaryIO, file: str) -> None:
        """Reads the first line; raises RecordingError where it is not that of a recording."""
        self.file = file
        self._stream = stream
        self._json = JsonLines(stream, file)
        self._values = iter(self._json)
        self._last_us = 0
        self._described: dict[int, RecordedDevice] = {}
        self._names: dict[int, Names] = {}
        self._plugged: set[int] = set()
        self.devices: tuple[RecordedDevice, ...] = self._read_header()

    @property
    def warnings(self) -> list[str]:
        """What was forgiven so far."""
        return self._json.warnings

    @property
    def line_number(self) -> int:
        """The number of the line read last, from 1."""
        return self._json.number

    @property
    def bytes_read(self) -> int:
        """How many bytes have been taken from the stream."""
        return self._json.bytes_read

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
        for fields in self._values:
            line = self._line(fields)
            yield line
            if line.__class__ is EndLine:
                self._json.check_nothing_follows()
                return

    def _read_header(self) -> tuple[RecordedDevice, ...]:
        try:
            fields = next(self._values)
        except StopIteration:
            raise RecordingError(self.file, None, "the file is empty", NOT_A_RECORDING) from None
        except RecordingError as error:
            remedy = NOT_A_RECORDING if error.remedy == DAMAGED else error.remedy
            self._json.fail(f"not a recording: {error.what}", remedy)
        if not isinstance(fields, dict) or FORMAT_KEY not in fields:
            self._json.fail("not a recording of remapd", NOT_A_RECORDING)
        version = fields[FORMAT_KEY]
        if version.__class__ is not int or version != FORMAT_VERSION:
            self._json.fail(
                f"a recording of version {shown(version)}; this program reads version "
                f"{FORMAT_VERSION}",
                "use a newer remapd, or record again",
            )
        entries = fields.get("devices")
        if not isinstance(entries, list):
            self._json.fail("the first line has no list of `devices`")
        devices = []
        for entry in entries:
            if not isinstance(entry, dict):
                self._json.fail("an entry of `devices` is not a group of fields")
            number = integer(self._json, entry, "id", DEVICE_NUMBERS)
            if number in self._described:
                self._json.fail(f"two devices have the id {number}")
            device = self._describe(number, entry)
            self._plugged.add(number)
            devices.append(device)
        return tuple(devices)

    def _line(self, fields: object) -> Line:
        if not isinstance(fields, dict):
            self._json.fail("this line is not a group of fields in braces")
        us = fields.get("us")
        if us.__class__ is not int or not 0 <= us <= LATEST_US:
            self._fail_at_time(fields)
        if us < self._last_us:
            self._json.fail(
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
            return LayoutLine(
                us, text(self._json, fields, "layout"), text(self._json, fields, "text")
            )
        if "paused" in fields:
            paused = truth(self._json, fields, "paused")
            if paused:
                self._plugged.clear()  # devices are given back; resuming is as plugging in
            return PausedLine(us, paused)
        if "release" in fields:
            if fields["release"] != "everything":
                self._json.fail(f"`release` cannot be {shown(fields['release'])}")
            return ReleaseLine(us)
        if "mark" in fields:
            return MarkLine(us, text(self._json, fields, "mark"))
        if "end" in fields:
            if fields["end"] is not True:
                self._json.fail(f"`end` cannot be {shown(fields['end'])}")
            return EndLine(us)
        self._json.warn("this line says nothing that this version of remapd knows; left out")
        return OtherLine(us)

    def _frame(self, fields: Mapping[str, object], events: object) -> tuple[int, list[Event]]:
        """The hot path: an hour of a 1000 Hz stick comes through here 3.6 million times."""
        number = fields.get("device")
        if number.__class__ is not int or number not in self._plugged:
            self._fail_at_device(number)
        names = self._names[number]
        if not isinstance(events, list):
            self._json.fail("`events` is not a list")
        frame = []
        try:
            for type_name, name, value in events:
                known_type, event_type, code = names[name]
                if (
                    known_type != type_name
                    or value.__class__ is not int
                    or not -0x8000_0000 <= value <= 0x7FFF_FFFF
                ):
                    fail_at_event(self._json, type_name, name, value)
                frame.append((event_type, code, value))
        except (KeyError, TypeError, ValueError):
            # An error, or another name of a code (BTN_A for BTN_SOUTH) seen for the first time.
            frame = [read_event(self._json, event, names) for event in events]
        return number, frame

    def _plugged_line(self, us: int, fields: Mapping[str, object]) -> PluggedLine | UnpluggedLine:
        number = integer(self._json, fields, "device", DEVICE_NUMBERS)
        is_described = "codes" in fields
        if number not in self._described and not is_described:
            self._fail_at_device(number)
        if not truth(self._json, fields, "plugged"):
            if number not in self._plugged:
                self._json.fail(f"device {number} is unplugged, but it is not plugged in")
            self._plugged.discard(number)
            return UnpluggedLine(us, number)
        if number in self._plugged:
            self._json.fail(f"device {number} is plugged in, but it is there already")
        self._plugged.add(number)
        if is_described:
            return PluggedLine(us, self._describe(number, fields), described=True)
        return PluggedLine(us, self._with_state(number, fields))

    def _describe(self, number: int, fields: Mapping[str, object]) -> RecordedDevice:
        described = described_device(self._json, number, fields)
        self._described[number], self._names[number] = described
        return self._with_state(number, fields)

    def _with_state(self, number: int, fields: Mapping[str, object]) -> RecordedDevice:
        return with_state(self._json, self._described[number], self._names[number], fields)

    # ---------------------------------------------------------------- errors
    def _fail_at_device(self, number: object) -> NoReturn:
        if number.__class__ is not int or number not in self._described:
            known = ", ".join(map(str, sorted(self._described))) or "none"
            self._json.fail(f"there is no device {shown(number)}; the recording describes {known}")
        self._json.fail(f"device {number} sends while it is not plugged in")

    def _fail_at_time(self, fields: Mapping[str, object]) -> NoReturn:
        if "us" not in fields:
            self._json.fail("this line has no time (`us`)")
        us = fields["us"]
        why = "it counts whole microseconds from 0"
        if us.__class__ is int and us > LATEST_US:
            why = "no recording lasts longer than a year, in microseconds"
        self._json.fail(f"`us` cannot be {shown(us)}: {why}")


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
