"""The text of one layout file, its lines, and the only maker of places in it."""

from __future__ import annotations

import re
from typing import NamedTuple

from remapd.diagnostics import Span

#: The line ends that YAML 1.1 knows and that a layout may have; others are refused beforehand.
_LINE_END = re.compile(r"\r\n|\n|\r")


class Mark(NamedTuple):
    """A place as the YAML parser gives it: line and column count from 0, columns in characters."""

    line: int
    column: int


class SourceText:
    """A file's name and text, and its places."""

    def __init__(self, name: str, text: str) -> None:
        self.name = name
        self.text = text
        self.lines = _LINE_END.split(text)

    def line(self, number: int) -> str:
        """The line of that number, from 1, without its end; empty where there is none."""
        return self.lines[number - 1] if 0 < number <= len(self.lines) else ""

    def span(self, start: Mark, end: Mark) -> Span:
        """The place between two marks of the parser."""
        return Span(self.name, start.line + 1, start.column + 1, end.line + 1, end.column + 1)

    def span_at(self, line: int, column: int, length: int = 1) -> Span:
        """The place of `length` characters of one line; line and column from 1."""
        return Span(self.name, line, column, line, column + length)

    def start(self) -> Span:
        """The first place of the file, for what concerns the whole of it."""
        return Span(self.name, 1, 1, 1, 1)

    def end(self) -> Span:
        """The place of the last character that is not blank, for what is missing at the end."""
        for number in range(len(self.lines), 0, -1):
            stripped = self.lines[number - 1].rstrip()
            if stripped:
                return Span(self.name, number, len(stripped), number, len(stripped) + 1)
        return self.start()
