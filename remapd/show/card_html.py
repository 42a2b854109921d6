"""A card as one HTML file: its pages to print, and below them the same in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from remapd.show.card_model import Card
from remapd.show.card_pages import Page
from remapd.show.card_svg import page_svg
from remapd.show.card_text import sections
from remapd.show.markup import NOTHING, Markup, joined, plain, tag

_STYLE: Final = """
:root { color-scheme: light; }
body { margin: 0; color: #000; background: #fff;
  font: 1.125rem/1.5 "DejaVu Sans", Verdana, sans-serif; }
main, header { max-width: 60rem; margin: 0 auto; padding: 1rem; }
.page svg { display: block; width: 100%; height: auto; border: 1px solid #767676; }
.page { margin: 0 0 1rem; }
h1 { font-size: 1.75rem; margin: 0; } h2 { font-size: 1.25rem; margin: 1.5rem 0 .25rem; }
p, ul { margin: .25rem 0; }
@media print {
  header, .words { display: none; }
  main { max-width: none; padding: 0; }
  .page { margin: 0; break-after: page; }
  .page:last-of-type { break-after: auto; }
  .page svg { border: 0; width: auto; }
}
"""


def as_html(card: Card, pages: Sequence[Page], paper: str) -> str:
    """The file. It asks for nothing from outside, and runs nothing."""
    drawn = [
        tag(
            "div",
            page_svg(card, page, number, len(pages)),
            class_=f"page {'landscape' if page.is_landscape else 'portrait'}",
        )
        for number, page in enumerate(pages, 1)
    ]
    head = tag(
        "head",
        Markup('<meta charset="utf-8"/>'),
        Markup('<meta name="viewport" content="width=device-width, initial-scale=1"/>'),
        tag("title", plain(card.title or "Card")),
        tag("style", Markup(_STYLE + _paper_style(paper, pages))),
    )
    body = tag(
        "body",
        tag(
            "header",
            tag("h1", plain(card.title), dir="auto"),
            tag("p", plain("Print this page; below the pictures it says the same in words.")),
        ),
        tag("main", *drawn, _words(card)),
    )
    return f"<!DOCTYPE html>\n{tag('html', head, body, lang='en')}\n"


def _paper_style(paper: str, pages: Sequence[Page]) -> str:
    """Each page on its own sheet, the right way up; the margins are in the pictures."""
    name = "A4" if paper == "a4" else "letter"
    rules = [f"@page {{ size: {name} portrait; margin: 0; }}"]
    for way in ("portrait", "landscape"):
        rules.append(f"@page {way} {{ size: {name} {way}; margin: 0; }}")
        rules.append(f".{way} {{ page: {way}; }}")
    if pages and all(page.is_landscape for page in pages):
        rules[0] = f"@page {{ size: {name} landscape; margin: 0; }}"
    return "\n".join(rules) + "\n"


def _words(card: Card) -> Markup:
    parts = [tag("h2", plain("In words"))]
    if card.notes:
        parts.append(tag("p", plain(card.notes), dir="auto"))
    for section in sections(card):
        parts.append(tag("h3", plain(section.heading), dir="auto"))
        if section.text:
            parts.append(tag("p", plain(section.text)))
        items = [tag("li", plain(item)) for item in section.items]
        parts.append(tag("ul", *items) if items else NOTHING)
    return tag("section", joined(parts), class_="words")
