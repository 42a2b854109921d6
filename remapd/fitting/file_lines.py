"""Lines of a layout file: scalars that are safe, comments, lists and paragraphs of one width."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence
from typing import Final

WIDTH: Final = 96
_LABEL: Final = 14
#: A plain scalar that no reader could take for anything else.
_PLAIN: Final = re.compile(r"[A-Za-z][A-Za-z0-9 ,()+-]*[A-Za-z0-9)]|[A-Za-z]")
_WORDS_OF_YAML: Final = frozenset(("true", "false", "null", "yes", "no", "on", "off", "y", "n"))


def scalar(text: str) -> str:
    """A text as a plain scalar where that is safe, else quoted."""
    if _PLAIN.fullmatch(text) and text.lower() not in _WORDS_OF_YAML:
        return text
    return quoted(text)


def quoted(text: str) -> str:
    """A text in double quotes; what cannot be seen is written as an escape."""
    return '"' + "".join(_escaped(each) for each in text) + '"'


def _escaped(letter: str) -> str:
    if letter in '"\\':
        return f"\\{letter}"
    if letter.isprintable():
        return letter
    return f"\\u{ord(letter):04x}" if ord(letter) < 0x10000 else f"\\U{ord(letter):08x}"


def safe(text: str) -> str:
    """A text of one line that may stand in a comment or a folded block."""
    return " ".join("".join(each if each.isprintable() else " " for each in text).split())


def flow(start: str, words: Iterable[str], end: str) -> list[str]:
    """A list in brackets, over as many lines as it needs."""
    lines = [start]
    for number, word in enumerate(words):
        if number:
            lines[-1] += ","
        space = " " if number else ""
        if len(lines[-1]) + len(space) + len(word) + 1 > WIDTH:
            lines.append(f"  {word}")
        else:
            lines[-1] += f"{space}{word}"
    lines[-1] += end
    return lines


def wrapped(text: str, indent: str, width: int) -> list[str]:
    """Lines of this width, each behind the indent; names are never broken."""
    return textwrap.wrap(
        text, width, initial_indent=indent, subsequent_indent=indent,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip


def comment(text: str) -> list[str]:
    """The text as comment lines."""
    return wrapped(safe(text), "# ", WIDTH) or ["#"]


def paragraph(label: str, text: str) -> list[str]:
    """A paragraph of the notes, its label on the left of its first line."""
    room = " " * _LABEL
    lines = textwrap.wrap(
        safe(text), WIDTH - _LABEL - 2, break_long_words=False, break_on_hyphens=False
    )
    return [
        f"# {label:<{_LABEL}}{line}" if not number else f"# {room}{line}"
        for number, line in enumerate(lines)
    ]


def numbered(label: str, texts: list[str]) -> list[str]:
    """Numbered sentences of the notes, under one label."""
    lines: list[str] = []
    for number, text in enumerate(texts, 1):
        wrapped = textwrap.wrap(
            safe(text), WIDTH - _LABEL - 5, break_long_words=False, break_on_hyphens=False
        )
        for n, line in enumerate(wrapped):
            first = f"{label:<{_LABEL}}" if number == 1 and not n else " " * _LABEL
            lines.append(f"# {first}{f'{number}. ' if not n else '   '}{line}")
    return lines


def listed(words: Sequence[str]) -> str:
    """`one`, `one and two`, `one, two and three`."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
