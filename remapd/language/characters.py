"""Characters that a layout may not have: those that look like others, and those that nobody sees.

Pasted from a web page or a word processor, they change what a line means without changing how it
looks. In comments, quotes and blocks of text most of them are only text, and are let be.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from remapd.language import messages
from remapd.language.messages import Message
from remapd.language.nodes import ScalarNode
from remapd.language.reporter import Reporter
from remapd.language.text import SourceText

#: Not printable by YAML 1.1's rule (production c-printable), and line ends of other worlds.
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufffe\uffff]")
_TAB = "\t"
_SPACES = "\u00a0\u1680\u2000-\u200a\u202f\u205f\u3000"
_UNSEEN = "\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u2064\ufeff"
_QUOTES = "\u2018-\u201f\u00ab\u00bb"
_STRAY = re.compile(f"[\t{_SPACES}{_UNSEEN}{_QUOTES}]")
_IS_SPACE = re.compile(f"[{_SPACES}]")
_IS_UNSEEN = re.compile(f"[{_UNSEEN}]")
_COMMENT = re.compile(r"(^|[ \t])#")


def report_control_characters(source: SourceText, reporter: Reporter) -> None:
    """Characters that the parser would refuse with no word of where they are."""
    for found in _CONTROL.finditer(source.text):
        before = source.text[: found.start()]
        line = len(re.findall(r"\r\n|\n|\r", before)) + 1
        column = found.start() - max(before.rfind("\n"), before.rfind("\r"))
        number = f"U+{ord(found.group()):04X}"
        reporter.report(messages.CONTROL_CHARACTER, source.span_at(line, column), character=number)
        return  # such a file is not a text at all more often than it has one of these


def report_stray_characters(
    source: SourceText, scalars: Iterable[ScalarNode], reporter: Reporter
) -> None:
    """Tabs, spaces that are none, unseen characters, and curly quotes instead of straight ones.

    Args:
        source: The file.
        scalars: All that was read of it; what stands inside them in quotes is text.
        reporter: Takes the faults.
    """
    numbers = [n for n, line in enumerate(source.lines, 1) if _STRAY.search(line)]
    if not numbers:
        return
    on_line: dict[int, list[ScalarNode]] = {number: [] for number in numbers}
    for scalar in scalars:
        for number in range(scalar.span.line, scalar.span.end_line + 1):
            if number in on_line and not scalar.is_empty:
                on_line[number].append(scalar)
    for number, touching in on_line.items():
        line = source.line(number)
        for found in _STRAY.finditer(line):
            column = found.start() + 1
            inside = next((s for s in touching if _holds(s, number, column)), None)
            if inside is None and _in_comment(line, number, column, touching):
                break
            message = _fault(found.group(), inside, number, column)
            if message is None or (inside is None and _in_open_quotes(line[: column - 1])):
                continue
            reporter.report(
                message,
                source.span_at(number, column),
                character=f"U+{ord(found.group()):04X}" if message is messages.UNSEEN else
                found.group(),
            )  # fmt: skip
            break  # one of a line is enough to find the others


def _fault(character: str, inside: ScalarNode | None, line: int, column: int) -> Message | None:
    """What is wrong with a character at its place, if anything."""
    quoted = inside is not None and not inside.plain
    if character == _TAB:
        return None if quoted else messages.TAB
    if _IS_UNSEEN.match(character):
        return None if quoted else messages.UNSEEN
    if _IS_SPACE.match(character):
        return None if quoted else messages.NO_BREAK_SPACE
    if quoted:
        return None
    begins = inside is None or (line, column) == (inside.span.line, inside.span.column)
    return messages.CURLY_QUOTE if begins else None


def _holds(scalar: ScalarNode, line: int, column: int) -> bool:
    span = scalar.span
    return (span.line, span.column) <= (line, column) < (span.end_line, span.end_column)


def _in_open_quotes(before: str) -> bool:
    """Whether quotes seem to be open there, in a part of the file that could not be read."""
    return before.count('"') % 2 == 1 or before.count("'") % 2 == 1


def _in_comment(line: str, number: int, column: int, touching: list[ScalarNode]) -> bool:
    """Whether a `#` outside of all values stands before the column."""
    return any(
        not any(_holds(s, number, found.end()) for s in touching)
        for found in _COMMENT.finditer(line[: column - 1])
    )
