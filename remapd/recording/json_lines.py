"""The bytes of a recording as numbered lines of JSON, as far as they are whole."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import BinaryIO, Final, NoReturn

from remapd.recording.lines import RecordingError

CHUNK_BYTES: Final = 1 << 18
#: Far above any real line (a layout's text is a page or two): a longer one is another kind of file.
LONGEST_LINE_BYTES: Final = 16 << 20
#: The first bytes of a gzip file (RFC 1952, section 2.3.1).
_GZIP: Final = b"\x1f\x8b"
#: Some editors put it before the first letter; a reader may pass it over (RFC 8259, section 8.1).
_BYTE_ORDER_MARK: Final = b"\xef\xbb\xbf"
NOT_A_RECORDING: Final = (
    "a recording begins with the line that `remapd record` writes first; check the file's name"
)
DAMAGED: Final = (
    "the file was damaged or changed by hand; undo the change, or delete this line and all after it"
)


class JsonLines:
    """The JSON values of the lines of a stream, once; empty lines are passed over.

    `number` is that of the line read last, from 1. A last line that is cut off ends the reading
    with a warning, unless it is the first.
    """

    def __init__(self, stream: BinaryIO, file: str) -> None:
        self.file = file
        self.number = 0
        self.bytes_read = 0
        self.warnings: list[str] = []
        self._stream = stream
        self._lines = self._split()

    def __iter__(self) -> Iterator[object]:
        decode = json.JSONDecoder().raw_decode
        for raw, is_whole in self._lines:
            try:
                text = raw.decode()
                value, end = decode(text)
                if end != len(text):
                    raise ValueError  # blanks behind it, or more than one value: told below
            except (ValueError, RecursionError):
                try:
                    value = self._parse(raw, is_whole=is_whole)
                except _CutOff:
                    self._cut_off()
                    return
            yield value

    def check_nothing_follows(self) -> None:
        """Raises RecordingError where there are more lines."""
        for raw, _ in self._lines:
            if raw.strip():
                self.fail("there are lines after the one that says `end`")

    def fail(self, what: str, remedy: str = DAMAGED) -> NoReturn:
        """Raises RecordingError for the line read last."""
        raise RecordingError(self.file, self.number or 1, what, remedy)

    def warn(self, text: str) -> None:
        """Adds a warning about the line read last."""
        self.warnings.append(f"{self.file}:{self.number}: {text}")

    def _cut_off(self) -> None:
        if self.number == 1:
            self.fail("the first line is cut off, or is not JSON", NOT_A_RECORDING)
        self.warn("the last line is cut off; read up to the line before")

    def _split(self) -> Iterator[tuple[bytes, bool]]:
        """Each line without its newline, and whether it had one; empty lines are passed over."""
        rest = b""
        while True:
            try:
                chunk = self._stream.read(CHUNK_BYTES)
            except OSError as error:
                self.fail(f"reading stopped: {error.strerror}", "check the disk or the copy")
            if not chunk:
                break
            if not self.bytes_read:
                chunk = chunk.removeprefix(_BYTE_ORDER_MARK)
            self.bytes_read += len(chunk)
            lines = (rest + chunk).split(b"\n") if rest else chunk.split(b"\n")
            rest = lines.pop()
            for line in lines:
                self.number += 1
                if line:
                    yield line, True
            if len(rest) > LONGEST_LINE_BYTES:
                self.number += 1
                self.fail("this line is longer than any line of a recording", NOT_A_RECORDING)
        if rest:
            self.number += 1
            yield rest, False

    def _parse(self, raw: bytes, *, is_whole: bool) -> object:
        """One line's JSON value, or where it has none; _CutOff for a last line without its end."""
        try:
            value: object = json.loads(raw.decode())
        except UnicodeDecodeError:
            if raw.startswith(_GZIP):
                self.fail("the file is packed", "unpack it first, with gunzip")
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
        raise RecordingError(self.file, self.number, what, DAMAGED)


class _CutOff(Exception):
    """The last line has no end, and is not whole without it."""
