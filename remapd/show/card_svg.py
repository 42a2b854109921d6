"""The pages of a card as SVG: one picture a page, complete in itself, with its words inside."""

from __future__ import annotations

from remapd.show.card_marks import WHITE, drawn
from remapd.show.card_model import Card
from remapd.show.card_pages import Page
from remapd.show.card_text import panel_section
from remapd.show.markup import Markup, joined, plain, tag
from remapd.show.text_width import FONTS


def page_svg(card: Card, page: Page, number: int = 1, count: int = 1) -> Markup:
    """One page as an `svg` element of its true size."""
    name = f"{card.title} ({number} of {count})" if count > 1 else card.title
    described = " ".join(
        f"{section.heading}. {section.text} {'. '.join(section.items)}."
        for section in (panel_section(card, panel) for panel in page.panels)
    )
    title_id, words_id = f"card-{number}-title", f"card-{number}-words"
    return tag(
        "svg",
        tag("title", plain(name), id=title_id),
        tag("desc", plain(described), id=words_id),
        tag("rect", width=page.width, height=page.height, fill=WHITE),
        joined(drawn(page.marks.marks), "\n"),
        xmlns="http://www.w3.org/2000/svg",
        width=f"{page.width:g}mm",
        height=f"{page.height:g}mm",
        viewBox=f"0 0 {page.width:g} {page.height:g}",
        role="img",
        aria_labelledby=f"{title_id} {words_id}",
        font_family=FONTS,
    )


def page_file(card: Card, page: Page, number: int = 1, count: int = 1) -> str:
    """The same as a file."""
    head = '<?xml version="1.0" encoding="UTF-8"?>\n'
    return f"{head}{page_svg(card, page, number, count)}\n"
