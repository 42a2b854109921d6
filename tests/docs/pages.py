"""Every page, and what stands in it: code, links, headings, pictures, layouts."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Final

CHECKOUT: Final = Path(__file__).resolve().parents[2]
_FENCE: Final = re.compile(r"^```(.*)\n((?:.*\n)*?)```$", re.MULTILINE)


@dataclass(frozen=True)
class Page:
    """One page in Markdown."""

    path: Path

    @property
    def name(self) -> str:
        """Its path from the checkout."""
        return str(self.path.relative_to(CHECKOUT))

    @cached_property
    def text(self) -> str:
        """All of it."""
        return self.path.read_text(encoding="utf-8")

    @cached_property
    def blocks(self) -> list[tuple[str, str]]:
        """Each block of code: what it says that it is, and its text."""
        return _FENCE.findall(self.text)

    @cached_property
    def prose(self) -> str:
        """It without its blocks."""
        return _FENCE.sub("", self.text)

    @cached_property
    def code(self) -> list[str]:
        """What is to be typed or written: the blocks, and what stands between backticks."""
        return [*(text for _, text in self.blocks), *re.findall(r"`([^`]+)`", self.prose)]

    @cached_property
    def links(self) -> list[tuple[str, str]]:
        """Where its links and pictures lead: the file (empty for this page) and the place."""
        found = re.findall(r"\]\(([^)#\s]*)(?:#([^)]*))?\)", self.prose)
        return [(file, place) for file, place in found if "://" not in file]

    @cached_property
    def pictures(self) -> list[tuple[str, str]]:
        """The words and the file of each picture, in Markdown or as HTML."""
        in_html = re.findall(r'<img src="([^"]+)"[^>]* alt="([^"]*)"', self.prose)
        in_markdown: list[tuple[str, str]] = re.findall(r"!\[([^\]]*)\]\(([^)]+)\)", self.prose)
        return in_markdown + [(words, file) for file, words in in_html]

    @cached_property
    def places(self) -> set[str]:
        """The names of its headings in links, as GitHub makes them."""
        headings = re.findall(r"^#+ (.+)$", self.prose, re.MULTILINE)
        return {re.sub(r"[^\w\- ]", "", each.lower()).replace(" ", "-") for each in headings}


PAGES: Final = [
    Page(path)
    for path in (
        CHECKOUT / "README.md",
        CHECKOUT / "DEVELOPERS.md",
        *sorted((CHECKOUT / "docs").glob("*.md")),
    )
]
#: The pages that are written for people who have never seen a terminal.
GUIDES: Final = [
    page
    for page in PAGES
    if page.path.stem.startswith("guide-") or page.path.stem in {"safety", "hand-over-sheet"}
]
