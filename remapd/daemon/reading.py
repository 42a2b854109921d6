"""What passes between the daemon and the process that reads layouts for it.

To it goes a JSON line for each order; from it come readings, each a length and a pickle.
"""

from __future__ import annotations

import copyreg
import io
import pickle
import struct
from collections.abc import Callable
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Final

from remapd.engine.layout import Layout

_LENGTH: Final = struct.Struct("!Q")


@dataclass(frozen=True, slots=True)
class Reading:
    """One attempt to read a layout. `layout` is None where the file has an error.

    `ticket` is that of the order which asked for it; 0 where a saved file was the cause. `texts`
    are the files' own texts by path, `text` is all of them as one. Times are in microseconds.
    """

    path: str
    ticket: int
    layout: Layout | None
    #: All errors and warnings with their lines, as shown to a person; empty where there are none.
    problems: str = ""
    #: The first error in one line.
    summary: str = ""
    texts: dict[str, str] = field(default_factory=dict)
    text: str = ""
    #: How long ago the newest of the files was saved when the reading was ready.
    saved_ago_us: int = 0
    #: How long it took to read and check.
    reading_us: int = 0


def pack(reading: Reading) -> bytes:
    """The reading as it goes through the pipe."""
    buffer = io.BytesIO()
    pickler = pickle.Pickler(buffer, pickle.HIGHEST_PROTOCOL)
    pickler.dispatch_table = copyreg.dispatch_table.copy()
    pickler.dispatch_table[MappingProxyType] = _reduce_read_only
    pickler.dump(reading)
    data = buffer.getvalue()
    return _LENGTH.pack(len(data)) + data


class Unpacker:
    """Puts readings together from what the pipe gives, in whatever pieces."""

    def __init__(self) -> None:
        self._buffer = bytearray()

    def feed(self, data: bytes) -> list[Reading]:
        """The readings that `data` completes."""
        self._buffer += data
        readings: list[Reading] = []
        while len(self._buffer) >= _LENGTH.size:
            (length,) = _LENGTH.unpack_from(self._buffer)
            end = _LENGTH.size + length
            if len(self._buffer) < end:
                break
            with memoryview(self._buffer) as view:
                # from our own child through a private pipe, and from nowhere else
                readings.append(pickle.loads(view[_LENGTH.size : end]))  # noqa: S301
            del self._buffer[:end]
        return readings


def read_only(content: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    """A mapping that cannot be changed; pickle has no name for the type itself."""
    return MappingProxyType(content)


def _reduce_read_only(
    mapping: MappingProxyType[Any, Any],
) -> tuple[Callable[[dict[Any, Any]], MappingProxyType[Any, Any]], tuple[dict[Any, Any]]]:
    return read_only, (dict(mapping),)
