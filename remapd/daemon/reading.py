"""What passes between the daemon and the process that reads layouts for it.

To it goes a JSON line for each order; from it come readings, in pieces of a length and a pickle.
"""

from __future__ import annotations

import copyreg
import dataclasses
import io
import pickle
import struct
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Final

from remapd.engine.actions import Action
from remapd.engine.layout import Button, Control, Layout

_LENGTH: Final = struct.Struct("!Q")
#: Controls, buttons or bindings in a piece.
_PIECE_ITEMS: Final = 64

#: A part of the controls, of the buttons, or of the bindings of the layer of this number.
_Piece = tuple[str | int, tuple[Any, ...]]


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
    #: How long it took to read and check, and when that was done (monotonic clock).
    reading_us: int = 0
    ready_us: int = 0


def pack(reading: Reading) -> bytes:
    """The reading as it goes through the pipe: pieces of the layout, then the rest, all in one."""
    return b"".join(map(_pack_piece, _pieces(reading)))


class Unpacker:
    """Puts a reading together, one piece at a time.

    A big layout takes some milliseconds to unpack, which is longer than a press may wait; a piece
    takes a fraction of one. Read `wanted` bytes at the most, give them to `take`, and let the loop
    look at the input before the next.
    """

    def __init__(self) -> None:
        self._buffer = bytearray()
        self._length = 0  #: of the piece that is under way, 0 while its length is not known
        self._pieces: list[_Piece] = []

    @property
    def wanted(self) -> int:
        """How many bytes are missing of the piece, or of its length."""
        return (self._length or _LENGTH.size) - len(self._buffer)

    def take(self, data: bytes) -> Reading | None:
        """At most `wanted` bytes; the reading that they complete."""
        self._buffer += data
        if self.wanted:
            return None
        if not self._length:
            (self._length,) = _LENGTH.unpack(self._buffer)
            self._buffer.clear()
            return None
        # from our own child through a private pipe, and from nowhere else
        piece: _Piece | Reading = pickle.loads(self._buffer)  # noqa: S301
        self._buffer.clear()
        self._length = 0
        if not isinstance(piece, Reading):
            self._pieces.append(piece)
            return None
        pieces, self._pieces = self._pieces, []
        return _put_together(piece, pieces)


def _pieces(reading: Reading) -> Iterator[_Piece | Reading]:
    layout = reading.layout
    if layout is None:
        yield reading
        return
    yield from (("controls", part) for part in _parts(layout.controls))
    yield from (("buttons", part) for part in _parts(layout.buttons))
    for number, layer in enumerate(layout.layers):
        yield from ((number, part) for part in _parts(tuple(layer.bindings.items())))
    bare = dataclasses.replace(
        layout,
        controls=(),
        buttons=(),
        layers=tuple(dataclasses.replace(layer, bindings={}) for layer in layout.layers),
    )
    yield dataclasses.replace(reading, layout=bare)


def _put_together(reading: Reading, pieces: list[_Piece]) -> Reading:
    layout = reading.layout
    if layout is None:
        return reading
    controls: list[Control] = []
    buttons: list[Button] = []
    bindings: list[dict[int, Action]] = [{} for _ in layout.layers]
    for name, part in pieces:
        if name == "controls":
            controls += part
        elif name == "buttons":
            buttons += part
        else:
            bindings[int(name)].update(part)
    layers = tuple(
        dataclasses.replace(layer, bindings=MappingProxyType(own))
        for layer, own in zip(layout.layers, bindings, strict=True)
    )
    whole = dataclasses.replace(
        layout, controls=tuple(controls), buttons=tuple(buttons), layers=layers
    )
    return dataclasses.replace(reading, layout=whole)


def _parts(items: tuple[Any, ...]) -> Iterator[tuple[Any, ...]]:
    for start in range(0, len(items), _PIECE_ITEMS):
        yield items[start : start + _PIECE_ITEMS]


def _pack_piece(piece: _Piece | Reading) -> bytes:
    buffer = io.BytesIO()
    pickler = pickle.Pickler(buffer, pickle.HIGHEST_PROTOCOL)
    pickler.dispatch_table = copyreg.dispatch_table.copy()
    pickler.dispatch_table[MappingProxyType] = _reduce_read_only
    pickler.dump(piece)
    data = buffer.getvalue()
    return _LENGTH.pack(len(data)) + data


def read_only(content: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    """A mapping that cannot be changed; pickle has no name for the type itself."""
    return MappingProxyType(content)


def _reduce_read_only(
    mapping: MappingProxyType[Any, Any],
) -> tuple[Callable[[dict[Any, Any]], MappingProxyType[Any, Any]], tuple[dict[Any, Any]]]:
    return read_only, (dict(mapping),)
