"""Diagnostics as plain text for a terminal: the place, the line with a caret, the way out."""

from __future__ import annotations

import textwrap

from remapd.diagnostics import Diagnostic, Note, Severity, Span

_LONGEST_LINE = 100


def render(diagnostic: Diagnostic) -> str:
    """A diagnostic as a few lines of text, without a line end after the last."""
    kind = "error" if diagnostic.severity is Severity.ERROR else "warning"
    lines = [f"{diagnostic.span}: {kind}: {diagnostic.message} [{diagnostic.code}]"]
    gutter = len(str(diagnostic.span.line)) + 2
    lines += _excerpt(diagnostic.span, diagnostic.source_line, gutter)
    for remedy in diagnostic.remedies:
        lines += _said(remedy, gutter)
    for note in diagnostic.notes:
        lines += _note(note, gutter)
    return "\n".join(lines)


def _note(note: Note, gutter: int) -> list[str]:
    if note.span is None:
        return _said(note.text, gutter)
    return [
        *_said(f"{note.text}: {note.span}", gutter),
        *_excerpt(note.span, note.source_line, gutter),
    ]


def _said(text: str, gutter: int) -> list[str]:
    """A remedy or note, in as many lines as it takes."""
    wrapped = textwrap.wrap(text, _LONGEST_LINE, break_long_words=False, break_on_hyphens=False)
    return [f"{'':{gutter}} {'=' if n == 0 else ' '} {line}" for n, line in enumerate(wrapped)]


def _excerpt(span: Span, source_line: str, gutter: int) -> list[str]:
    """The line with a caret below; a long line is cut around the place."""
    if not source_line or source_line.isspace():
        return []
    column = span.column - 1
    if span.line == span.end_line:
        length = max(1, span.end_column - span.column)
    else:
        length = max(1, len(source_line.rstrip()) - column)
    start = 0
    if len(source_line) > _LONGEST_LINE:
        start = min(max(0, column - _LONGEST_LINE // 2), len(source_line) - _LONGEST_LINE)
    # Only what is shown is looked at: a line may be as long as the file, and have many faults.
    cut = source_line[start : start + _LONGEST_LINE]
    text = "".join(" " if each == "\t" or not each.isprintable() else each for each in cut)
    if len(source_line) > _LONGEST_LINE:
        text = ("…" + text[1:]) if start else text
        text = text if start + _LONGEST_LINE >= len(source_line) else text[:-1] + "…"
        column -= start
        length = max(1, min(length, _LONGEST_LINE - column))
    return [
        f"{span.line:>{gutter}} | {text.rstrip()}",
        f"{'':{gutter}} | {' ' * column}{'^' * length}",
    ]
