"""Layouts that say themselves what is wrong with them.

An expectation stands in a comment on the line of the fault:

    left-knee: suoth            # error: unknown-pad-control "did you mean `south`?"

`error@12: ...` names the column as well, `error@3:12: ...` another line, where no comment can
stand, `error@other.yaml:3:12: ...` another file. The words in quotes must be part of the message as
shown. A case holds for all of its file: a fault that is not expected fails it. Files that cannot be
written down as text are made here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from remapd.diagnostics import Diagnostic, Span
from remapd.language import Loaded, load, load_text, render
from remapd.language.plain_file import LARGEST_KIB
from remapd.language.trials import load_trials

FOLDER = Path(__file__).parent / "cases"

_EXPECTATION = re.compile(
    r"# (?P<severity>error|warning)(?:@(?P<place>[^\s\"]+))?: (?P<code>[a-z-]+)"
    r"(?P<words>(?: \"[^\"]+\")*)"
)
_BEGUN = re.compile(r"# (?:error|warning)[@:].*|\\\".*")
_COMMENT = re.compile(r"\s*# (?:error|warning)(?:@\S+)?: .*$", re.MULTILINE)


@dataclass(frozen=True)
class Expectation:
    """One fault that must be found."""

    file: str
    line: int
    column: int | None
    severity: str
    code: str
    words: tuple[str, ...]


@dataclass(frozen=True)
class Case:
    """One layout, and what must be found in it."""

    name: str
    diagnostics: list[Diagnostic]
    is_built: bool  #: whether the file can be used
    expected: tuple[Expectation, ...]

    def shown(self, diagnostic: Diagnostic) -> str:
        """The message as it appears, with the name of the file instead of its path."""
        notes = tuple(
            replace(note, span=_short(note.span) if note.span else None)
            for note in diagnostic.notes
        )
        return render(replace(diagnostic, span=_short(diagnostic.span), notes=notes))

    def said(self, diagnostic: Diagnostic) -> str:
        """The words of the message on one line, without the file's own, which name the test's."""
        shown = without_expectations(self.shown(diagnostic))
        return " ".join(shown.split())


def _short(span: Span) -> Span:
    """The place with the name of the file alone, so that a page is the same in every checkout."""
    return replace(span, file=span.file.removeprefix(f"{FOLDER}/"))


def written_cases() -> list[Case]:
    """The cases that are files."""
    cases = []
    for path in sorted(FOLDER.glob("*.yaml")):
        expected = tuple(expectations(path))
        if path.name.endswith(".trials.yaml"):
            layout = load(path.with_name(path.name.replace(".trials", ""))).layout
            assert layout is not None
            trials = load_trials(path, layout)
            cases.append(Case(path.stem, trials.diagnostics, bool(trials.trials), expected))
        else:
            cases.append(_case(path.stem, load(path), expected))
    return cases


def _case(name: str, loaded: Loaded, expected: tuple[Expectation, ...]) -> Case:
    return Case(name, loaded.diagnostics, loaded.layout is not None, expected)


def made_cases() -> list[Case]:
    """The cases that are no texts, or too long to write down."""
    made = {
        "empty": (b"", "empty-file", "remapd: 1"),
        "only-comments": (b"# remapd: 1\n\n", "empty-file", "begins with the line"),
        "latin-1": ("remapd: 1\ntitle: Café\n".encode("latin-1"), "not-utf8", "UTF-8"),
        "with-mark": (b"\xef\xbb\xbfremapd: 1\n", "byte-order-mark", "with BOM"),
        "utf-16": ("remapd: 1\n".encode("utf-16"), "byte-order-mark", "UTF-8"),
        "too-large": (b"# \n" * (LARGEST_KIB * 400), "file-too-large", "256 KiB"),
    }
    cases = []
    for name, (content, code, words) in made.items():
        file = f"{name}.yaml"
        line, column = (2, 11) if name == "latin-1" else (1, 1)
        expected = Expectation(file, line, column, "error", code, (words,))
        cases.append(_case(name, load_text(content, file), (expected,)))
    missing = FOLDER / "not-there.yaml"
    expected = Expectation(missing.name, 1, 1, "error", "file-missing", ("not-there.yaml",))
    cases.append(_case("not-there", load(missing), (expected,)))
    return cases


def expectations(path: Path) -> Iterator[Expectation]:
    """What the comments of a file expect."""
    for number, line in enumerate(path.read_text(encoding="utf-8").split("\n"), 1):
        unread = _BEGUN.search(_EXPECTATION.sub("", line))
        assert unread is None, f"{path.name}:{number}: not an expectation: {unread}"
        for found in _EXPECTATION.finditer(line):
            words = tuple(re.findall(r"\"([^\"]+)\"", found["words"]))
            file, at, column = path.name, number, None
            place = (found["place"] or "").split(":")
            if place != [""]:
                column = int(place[-1])
                at = int(place[-2]) if len(place) > 1 else number
                file = place[0] if len(place) > 2 else path.name
            yield Expectation(file, at, column, found["severity"], found["code"], words)


def without_expectations(text: str) -> str:
    """A shown message without the comments that are there for the test."""
    return _COMMENT.sub("", text)
