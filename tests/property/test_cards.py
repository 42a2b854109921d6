"""Any layout has a card that fits its paper, is well-formed, and is the same in words."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from remapd.engine.layout import Layout
from remapd.show.card_html import as_html
from remapd.show.card_model import card_of
from remapd.show.card_pages import PAPERS, pages_of
from remapd.show.card_svg import page_file
from remapd.show.card_text import as_text
from tests.support.card_pages import collisions, outside
from tests.support.markup import parsed
from tests.support.strategies import layouts

titles = st.sampled_from(
    (
        "Harbour",
        "<b>&\"'</b> ]]>",
        "משחק הדיג של הנמל",
        "\x00\x0b\ud800\uffff",
        "",
        "one-word-that-has-no-end-" * 12,
        "a long title of many words " * 20,
    )
)
numbers = st.integers(-3, 9) | st.sampled_from((10**9, 0.5, "2", None, True))
places = st.dictionaries(
    st.sampled_from(("b0", "b1", "b2", "s", "l", "aide.h0", "hs", "nobody")),
    st.lists(numbers, max_size=3),
    max_size=6,
)


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(layouts(), titles, titles, places, st.sampled_from(sorted(PAPERS)))
def test_any_layout_fits_its_paper(
    layout: Layout, title: str, notes: str, place: dict[str, object], paper: str
) -> None:
    shown = replace(layout, title=title, notes=notes, place=MappingProxyType(place))
    card = card_of(shown)
    pages = pages_of(card, paper)

    panels = [panel.order.number for page in pages for panel in page.panels]
    assert sorted(set(panels)) == list(range(len(layout.layers)))
    for number, page in enumerate(pages, 1):
        parsed(page_file(card, page, number, len(pages)))
        assert outside(page) == []
        assert list(collisions(page)) == []
    parsed(as_html(card, pages, paper))
    text = as_text(card)
    for layer in layout.layers:
        assert f"Layer {layer.name}" in text
