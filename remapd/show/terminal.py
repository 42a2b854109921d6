"""A picture kept in a terminal: only what has changed is written, so that nothing flickers."""

from __future__ import annotations

import os
from collections.abc import Sequence
from types import TracebackType
from typing import Self, TextIO

from remapd.show.demo_screen import Row
from remapd.show.terminal_words import words_for


class Terminal:
    """A terminal that shows a picture while it is entered, and is as it was afterwards."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self._words = words_for(os.environ.get("TERM", ""))
        self._shown: list[Row] = []
        self._size = size_of(stream)

    def __enter__(self) -> Self:
        self._stream.write(self._words.enter)
        self._stream.flush()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._stream.write(self._words.leave)
        self._stream.flush()

    def paint(self, rows: Sequence[Row]) -> None:
        """Shows these rows from the top; those for which there is no room are left out."""
        size = size_of(self._stream)
        if size != self._size:  # it was drawn larger or smaller: nothing stands where it did
            self._size = size
            self._shown = []
            self._stream.write(self._words.clear)
        parts = []
        for number, row in enumerate(rows[: size[1]]):
            if number >= len(self._shown) or self._shown[number] != row:
                parts.append(f"{self._words.row(number)}{styled(row)}{self._words.end_of_row}")
        self._shown = list(rows)
        if parts:
            self._stream.write("".join(parts))
            self._stream.flush()


def styled(row: Row) -> str:
    """A row as a terminal takes it."""
    words = words_for(os.environ.get("TERM", ""))
    parts = []
    for text, style in row:
        begin = words.styles[style]
        parts.append(f"{begin}{text}{words.plain}" if begin else text)
    return "".join(parts)


def size_of(stream: TextIO) -> tuple[int, int]:
    """Columns and rows of the stream's terminal; 80 and 24 where it does not know."""
    try:
        columns, rows = os.get_terminal_size(stream.fileno())
    except OSError:
        return 80, 24
    return columns or 80, rows or 24
