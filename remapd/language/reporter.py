"""Gathers what is wrong, so that all faults of a file are shown at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from remapd.diagnostics import Diagnostic, Note, Severity, Span
from remapd.language.messages import Message
from remapd.language.suggest import did_you_mean
from remapd.language.text import SourceText

_LONGEST_QUOTE = 40
#: To look for near words takes a while; a file with more faults is no slip of the pen.
_MOST_SUGGESTIONS = 100
#: Gaps of messages that are filled with words of the file, which may be long.
_FROM_THE_FILE = frozenset(
    (
        "name",
        "word",
        "control",
        "first",
        "second",
        "other",
        "whole",
        "part",
        "value",
        "tag",
        "plain",
    )
)


def quoted(text: str) -> str:
    """A stretch of the file's own text as a message shows it: on one line, and not too long."""
    flat = " ".join(text.split())
    if len(flat) > _LONGEST_QUOTE:
        flat = flat[: _LONGEST_QUOTE - 1] + "…"
    return flat


class Reporter:
    """Collects diagnostics; knows the texts, so that each bears the line it speaks of."""

    def __init__(self) -> None:
        self.diagnostics: list[Diagnostic] = []
        self.texts: dict[str, SourceText] = {}
        self._seen: set[tuple[str, Span]] = set()
        self._suggestions = 0
        self._silenced: set[tuple[str, int]] = set()

    def report(
        self,
        message: Message,
        span: Span,
        *,
        near: tuple[str, Iterable[str]] | None = None,
        remedies: Iterable[str] = (),
        notes: Iterable[str | tuple[str, Span]] = (),
        words: Mapping[str, object] | None = None,
        **more_words: object,
    ) -> None:
        """Adds one fault.

        Args:
            message: Its entry in the registry; `words` and `more_words` fill its gaps.
            span: Where it is.
            near: A word and those that it may have been meant for.
            remedies: How to mend it, where that takes more than the registry's remedy.
            notes: Context; with a place where another place of the file belongs to the fault.
        """
        if (message.code, span) in self._seen or (span.file, span.line) in self._silenced:
            return
        self._seen.add((message.code, span))
        filled = {
            name: quoted(str(word)) if name in _FROM_THE_FILE else str(word)
            for name, word in {**(words or {}), **more_words}.items()
        }
        mend = list(remedies)
        if near is not None and self._suggestions < _MOST_SUGGESTIONS:
            self._suggestions += 1
            mend = [*did_you_mean(*near), *mend]
        if message.remedy:
            mend.append(message.remedy.format(**filled))
        self.diagnostics.append(
            Diagnostic(
                message.code,
                message.severity,
                message.text.format(**filled),
                span,
                self.line(span),
                tuple(dict.fromkeys(mend)),
                tuple(
                    Note(note) if isinstance(note, str) else Note(*note, self.line(note[1]))
                    for note in notes
                ),
            )
        )

    def line(self, span: Span) -> str:
        """The line of the file at the start of a place."""
        source = self.texts.get(span.file)
        return source.line(span.line) if source else ""

    def silence_faulty_lines(self) -> None:
        """Later faults on lines that have an error already are follow-ups: they are not shown."""
        self._silenced |= {
            (each.span.file, each.span.line) for each in self.diagnostics if each.is_error
        }

    def add_again(self, diagnostics: Iterable[Diagnostic]) -> None:
        """Adds faults that were taken out for a while, but for those on lines now silenced."""
        self.diagnostics += [
            each for each in diagnostics if (each.span.file, each.span.line) not in self._silenced
        ]

    def has_errors_in(self, file: str) -> bool:
        """Whether anything so far keeps that file from being used."""
        return any(each.is_error and each.span.file == file for each in self.diagnostics)

    @property
    def has_errors(self) -> bool:
        """Whether anything so far keeps the file from being used."""
        return any(each.severity is Severity.ERROR for each in self.diagnostics)

    def in_order(self, files: Iterable[str]) -> list[Diagnostic]:
        """All faults, file by file, from top to bottom."""
        rank = {name: number for number, name in enumerate(files)}
        return sorted(
            self.diagnostics,
            key=lambda each: (
                rank.get(each.span.file, len(rank)),
                each.span.line,
                each.span.column,
            ),
        )
