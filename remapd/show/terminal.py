"""A picture kept in a terminal: only what has changed is written, so that nothing flickers.

Control sequences are those of ECMA-48, and two of xterm's that terminals have in common: the second
screen (1049), which leaves what was there before as it was, and the hidden cursor (25).
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from types import TracebackType
from typing import Final, Self, TextIO

from remapd.show.demo_screen import Row
from remapd.show.marks import Style

_ENTER: Final = "\x1b[?1049h\x1b[?25l\x1b[2J"
_LEAVE: Final = "\x1b[0m\x1b[?25h\x1b[?1049l"


class Terminal:
    """A terminal that shows a picture while it is entered, and is as it was afterwards."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self._shown: list[Row] = []
        self._size = size_of(stream)

    def __enter__(self) -> Self:
        self._stream.write(_ENTER)
        self._stream.flush()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._stream.write(_LEAVE)
        self._stream.flush()

    def paint(self, rows: Sequence[Row]) -> None:
        """Shows these rows from the top; those for which there is no room are left out."""
        size = size_of(self._stream)
        if size != self._size:  # it was drawn larger or smaller: nothing stands where it did
            self._size = size
            self._shown = []
            self._stream.write("\x1b[2J")
        parts = []
        for number, row in enumerate(rows[: size[1]]):
            if number >= len(self._shown) or self._shown[number] != row:
                parts.append(f"\x1b[{number + 1};1H{styled(row)}\x1b[K")
        self._shown = list(rows)
        if parts:
            self._stream.write("".join(parts))
            self._stream.flush()


def styled(row: Row) -> str:
    """A row as a terminal takes it."""
    return "".join(
        text if style is Style.PLAIN else f"\x1b[{style.value}m{text}\x1b[0m" for text, style in row
    )


def size_of(stream: TextIO) -> tuple[int, int]:
    """Columns and rows of the stream's terminal; 80 and 24 where it does not know."""
    try:
        columns, rows = os.get_terminal_size(stream.fileno())
    except OSError:
        return 80, 24
    return columns or 80, rows or 24
