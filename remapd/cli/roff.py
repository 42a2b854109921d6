"""Text in the form that `man` reads (the man macros of roff).

Only what every formatter knows is used: groff's man(7) and mandoc's alike.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Iterator
from typing import Final

_SIGNS: Final = {
    "\\": r"\e",
    "-": r"\-",
    "“": r"\(lq",
    "”": r"\(rq",
    "—": r"\(em",
    "…": "...",
    "×": r"\(mu",
    "\u00a0": r"\~",
}
_COLUMNS: Final = 78
#: Titles of columns that say what something is.
_ABOUT: Final = {"what it is", "when", "written"}
_LINK: Final = re.compile(r"\[([^\]]+)\]\([^)]+\)")
_CODE: Final = re.compile(r"`([^`]+)`")
_STRONG: Final = re.compile(r"\*\*([^*]+)\*\*")


def plain(text: str) -> str:
    """Text as it is."""
    escaped = "".join(_SIGNS.get(sign, sign) for sign in text)
    escaped = re.sub(r"[^\x00-\x7f]", lambda found: rf"\[u{ord(found[0]):04X}]", escaped)
    return re.sub(r"^(?=[.'])", r"\\&", escaped, flags=re.MULTILINE)


def bold(text: str) -> str:
    """Text that is typed as it stands."""
    return rf"\fB{plain(text)}\fR"


def marked(text: str) -> str:
    """A sentence of Markdown: code and strong words are bold, links are their words."""
    text = _LINK.sub(r"\1", text)
    parts = []
    at = 0
    for found in re.finditer(rf"{_CODE.pattern}|{_STRONG.pattern}", text):
        parts += [plain(text[at : found.start()]), bold(found[1] or found[2])]
        at = found.end()
    return "".join([*parts, plain(text[at:])])


def head(name: str, section: int, date: str, version: str) -> str:
    """The first line of a page; `date` is the day on which its words were gone through."""
    return f'.TH {plain(name.upper())} {section} "{date}" "remapd {version}" "remapd"'


def section(title: str) -> str:
    """A heading."""
    return f".SH {plain(title.upper())}"


def part(title: str) -> str:
    """A heading inside a section."""
    return f".SS {plain(title)}"


def page(lines: Iterable[str]) -> str:
    """A whole page of these lines, none longer than a terminal's."""
    return "".join(f"{short}\n" for line in lines for short in _short(line))


def _short(line: str) -> Iterator[str]:
    if len(line) <= _COLUMNS or line.startswith(".") or "\n" in line:
        yield line
        return
    for short in textwrap.wrap(line, _COLUMNS, break_long_words=False, break_on_hyphens=False):
        yield rf"\&{short}" if short.startswith((".", "'")) else short


def paragraphs(texts: Iterable[str]) -> Iterator[str]:
    """Each as a paragraph of its own; the first follows a heading."""
    for number, text in enumerate(texts):
        if number:
            yield ".PP"
        yield text


def item(label: str, text: str) -> Iterator[str]:
    """A label with what there is to say of it below."""
    yield ".TP"
    yield label
    yield text


# ---------------------------------------------------------------- from Markdown
def of_markdown(text: str) -> Iterator[str]:
    """The body of a page that has headings, paragraphs, tables and lines without `#` or code."""
    opened = False
    for block in filter(None, (each.strip() for each in text.split("\n\n"))):
        if block.startswith("# "):
            continue
        if block.startswith("## "):
            yield section(block[3:].replace("`", ""))
            opened = False
        elif block.startswith("### "):
            yield part(block[4:].replace("`", ""))
            opened = False
        elif block.startswith("|"):
            yield from _table(block.splitlines())
            opened = True
        else:
            if opened:
                yield ".PP"
            yield marked(" ".join(block.splitlines()))
            opened = True


def _table(lines: list[str]) -> Iterator[str]:
    """Each row as an item: the first cell, then what it is, then the others with their titles."""
    titles, *rows = ([cell.strip() for cell in _cells(line)] for line in lines)
    for row in rows[1:]:
        about, others = [], []
        for title, cell in list(zip(titles, row, strict=True))[1:]:
            if title in _ABOUT or len(row) == 2:
                about.append(cell)
            elif cell == "(must be written)":
                others.append("must be written")
            elif cell != "—":
                others.append(f"{title}: {cell}")
        yield from item(marked(row[0]), marked("; ".join([*about, *others]) + "."))


def _cells(line: str) -> list[str]:
    return re.split(r"(?<!\\)\|", line.strip().strip("|"))
