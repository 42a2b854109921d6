"""The player's guide as a page: how to start, pause and get unstuck, with the card that is in use.

`data/guide-player.html` is made of docs/guide-player.md and shows a card as an example; where a
layout is in force its own card takes that place.
"""

from __future__ import annotations

import re
from importlib import resources

from remapd.engine.layout import Layout
from remapd.show.card_model import card_of
from remapd.show.card_pages import pages_of
from remapd.show.card_svg import page_svg


def player_page(layout: Layout | None) -> str:
    """The whole page as HTML."""
    data = resources.files("remapd.show").joinpath("data/guide-player.html")
    page = data.read_text(encoding="utf-8")
    if layout is None:
        return page
    card = card_of(layout)
    pages = pages_of(card, "a4")
    own = "\n".join(
        f"<figure>{page_svg(card, each, number, len(pages))}</figure>"
        for number, each in enumerate(pages, 1)
    )
    return re.sub(r"<figure>.*?</figure>", lambda _: own, page, count=1, flags=re.DOTALL)
