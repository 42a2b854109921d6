"""The card of every shipped layout: it is complete, can be read, and fits its paper."""

from __future__ import annotations

from pathlib import Path

import pytest

from remapd.language import load
from remapd.show.card_html import as_html
from remapd.show.card_marks import BLACK, GREY, WHITE, Arrow, Box, Text
from remapd.show.card_model import Card, card_of
from remapd.show.card_pages import PAPERS, Page, pages_of
from remapd.show.card_svg import page_file
from remapd.show.card_text import as_text
from remapd.show.card_words import spoken
from tests.support.card_pages import across_frames, collisions, outside, words
from tests.support.markup import parsed

FOLDER = Path(__file__).parents[2] / "layouts"
LAYOUTS = sorted(set(FOLDER.glob("*.yaml")) - set(FOLDER.glob("*.trials.yaml")))
#: The font's size in millimetres that can be read from 2 m: capitals of 5.5 mm stand under
#: 9 minutes of arc there; the letters of the 20/20 line under 5 (Snellen, from memory).
READ_FROM_A_CHAIR = 7.5

each_layout = pytest.mark.parametrize("path", LAYOUTS, ids=[path.stem for path in LAYOUTS])
each_paper = pytest.mark.parametrize("paper", list(PAPERS))


def card(path: Path) -> Card:
    layout = load(path).layout
    assert layout is not None
    return card_of(layout)


def said(text: str) -> str:
    """A text as `as_text` gives it: with breaking spaces."""
    return " ".join(text.split())


def pages(path: Path, paper: str = "a4") -> list[Page]:
    return pages_of(card(path), paper)


@each_layout
@each_paper
def test_nothing_leaves_its_paper_or_its_frame_or_stands_over_another(
    path: Path, paper: str
) -> None:
    for page in pages(path, paper):
        assert outside(page) == []
        assert list(collisions(page)) == []
        assert list(across_frames(page)) == []


@each_layout
@each_paper
def test_main_words_can_be_read_from_a_chair(path: Path, paper: str) -> None:
    assert [page.size for page in pages(path, paper) if page.size < READ_FROM_A_CHAIR] == []


@each_layout
def test_every_layer_stands_on_a_page_with_every_control_that_is_placed(path: Path) -> None:
    made = card(path)
    drawn = pages_of(made)

    shown = [panel for page in drawn for panel in page.panels]
    assert [panel.order.number for panel in shown] == list(range(len(made.layout.layers)))
    for page in drawn:
        for panel in page.panels:
            assert set(panel.name.split()) <= words(page)
            for cell in panel.cells.values():
                assert set(cell.name.split()) <= words(page)
    names = {cell.name for cell in made.panels[0].cells.values()}
    assert {spoken(name.rpartition(".")[2]) for name in made.layout.place} <= names


@each_layout
def test_every_word_of_the_game_stands_on_a_page(path: Path) -> None:
    made = card(path)
    found = set().union(*map(words, pages_of(made)))

    for verb in made.layout.verbs:
        assert set(spoken(verb).split()) <= found


@each_layout
def test_what_is_said_when_a_layer_comes_on_stands_beside_it(path: Path) -> None:
    made = card(path)
    said = {name: cue["say"] for name, cue in made.layout.cues.items() if cue and "say" in cue}

    heard = {panel.order.number: panel.hears for panel in made.panels if panel.hears}
    assert {made.layout.layers[number].name: text for number, text in heard.items()} == said
    for page in pages_of(made):
        for panel in page.panels:
            assert {f"“{panel.hears}”"} <= words(page) or " " in panel.hears or not panel.hears


@each_layout
def test_what_is_passed_through_from_below_says_where_from(path: Path) -> None:
    made = card(path)

    for panel in made.panels[1:]:
        base = made.layer_name(0)
        for cell in panel.cells.values():
            for each in cell.lines:
                if each.from_layer is not None:
                    assert f"[from {made.layer_name(each.from_layer)}]" in as_text(made)
        passed = [cell for cell in panel.cells.values() if cell.lines and cell.is_passed_through]
        if passed:
            page = next(page for page in pages_of(made) if panel in page.panels)
            lines = [mark.text for mark in page.marks.marks if isinstance(mark, Text)]
            assert f"as in {base}" in lines


@each_layout
def test_words_say_all_that_the_picture_shows(path: Path) -> None:
    made = card(path)
    text = " ".join(as_text(made).split())

    assert made.title in text
    for panel in made.panels:
        assert f"Layer {panel.name}" in text
        assert said(panel.order.get_there).lower() in text.lower()
        assert said(panel.order.get_away) in text
        for cell in panel.cells.values():
            for each in cell.lines:
                for line in (each.line, *each.line.items):
                    for part in (line.what, line.pad, line.detail):
                        assert said(part) in text
    for pause in made.pauses:
        assert said(pause) in text


@each_layout
def test_every_need_of_the_game_has_its_way(path: Path) -> None:
    made = card(path)
    text = as_text(made)
    ways = text[text.index("How to do each thing") :]

    for need in made.layout.needs:
        assert f"- {spoken(need)}" in ways


@each_layout
def test_the_way_to_pause_is_on_every_page(path: Path) -> None:
    for page in pages(path):
        assert {"pause", "“remapd", "pain,"} <= words(page)


@each_layout
def test_svg_is_whole_and_names_itself(path: Path) -> None:
    made = card(path)
    drawn = pages_of(made)

    for number, page in enumerate(drawn, 1):
        root = parsed(page_file(made, page, number, len(drawn)))
        name = "{http://www.w3.org/2000/svg}"
        assert root.attrib["role"] == "img"
        title, words_of_it = root.find(f"{name}title"), root.find(f"{name}desc")
        assert title is not None
        assert words_of_it is not None
        assert made.title in (title.text or "")
        for panel in page.panels:
            assert f"Layer {panel.name}" in (words_of_it.text or "")
        ids = root.attrib["aria-labelledby"].split()
        assert ids == [title.attrib["id"], words_of_it.attrib["id"]]


@each_layout
def test_html_is_whole_and_asks_for_nothing_from_outside(path: Path) -> None:
    made = card(path)
    text = as_html(made, pages_of(made), "a4")
    root = parsed(text)

    assert root.tag == "html"
    ids = [each.attrib["id"] for each in root.iter() if "id" in each.attrib]
    assert len(ids) == len(set(ids))
    for foreign in ("<script", "src=", "url(", "@import", "href"):
        assert foreign not in text
    assert text.replace("http://www.w3.org/2000/svg", "").count("http") == 0


@each_layout
def test_it_is_drawn_in_black_grey_and_white(path: Path) -> None:
    for page in pages(path):
        for mark in page.marks.marks:
            ink = mark.fill if isinstance(mark, Box) else mark.ink
            assert ink in {BLACK, GREY, WHITE, "none"}
            assert isinstance(mark, Box | Text | Arrow)
