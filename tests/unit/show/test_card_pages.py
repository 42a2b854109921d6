"""Pages of a card: whole words in sizes that can be read, however much there is to show."""

from __future__ import annotations

import re
from functools import cache

import pytest

from remapd.engine.pad_controls import STICK_NAMES, TARGET_NAMES
from remapd.language import load_text
from remapd.show.card_marks import Block, Box, Text
from remapd.show.card_model import Card, PadControl, card_of
from remapd.show.card_pad import pad_block
from remapd.show.card_pages import FROM_A_CHAIR, MARGIN, PAPERS, Page, pages_of
from remapd.show.card_words import spoken
from tests.support.card_pages import across_frames, collisions, outside, texts, words
from tests.support.hard_layouts import MARKED, forty

#: 9 points in millimetres: as small as print may be that is read from near (common practice, no
#: source).
SMALLEST = 3.175

each_paper = pytest.mark.parametrize("paper", list(PAPERS))


@cache
def forty_on(paper: str) -> tuple[Card, list[Page]]:
    made = card(forty())
    return made, pages_of(made, paper)


def card(text: str) -> Card:
    layout = load_text(text).layout
    assert layout is not None
    return card_of(layout)


# ---------------------------------------------------------------- much to show
@each_paper
def test_forty_controls_can_be_read_from_a_chair(paper: str) -> None:
    _, pages = forty_on(paper)

    assert min(page.size for page in pages) >= FROM_A_CHAIR
    for page in pages:
        assert outside(page) == []
        assert list(collisions(page)) == []
        assert list(across_frames(page)) == []
        assert min(each.size for each in texts(page)) >= SMALLEST
        assert not any("…" in each.text for each in texts(page))


@each_paper
def test_forty_controls_are_all_there_in_every_layer_and_the_chord_too(paper: str) -> None:
    made, pages = forty_on(paper)

    for panel in made.panels:
        on = [page for page in pages if panel in page.panels]
        shown = [each.text for page in on for each in texts(page)]
        for cell in (*panel.cells.values(), *panel.chords):
            assert shown.count(cell.name) == 1, (panel.name, cell.name)
        assert len(panel.chords) == 1
        labels = {f"{panel.name} {number}/{len(on)}" for number in range(1, len(on) + 1)}
        assert len(on) == 1 or labels <= set(shown)


@each_paper
def test_what_stands_beside_each_other_on_the_board_does_so_on_a_page(paper: str) -> None:
    for page in forty_on(paper)[1]:
        at = {
            int(each.text.removeprefix("key ")) - 1: (each.x, each.y)
            for each in texts(page)
            if re.fullmatch("key [0-9]+", each.text)
        }
        for number, (x, y) in at.items():
            for other, (other_x, other_y) in at.items():
                assert (x < other_x) == (number % 8 < other % 8)
                assert (y < other_y) == (number // 8 < other // 8)


@each_paper
def test_a_title_from_the_right_begins_at_the_right_and_markup_is_text(paper: str) -> None:
    made = card(MARKED)
    for page in pages_of(made, paper):
        assert outside(page) == []
        assert list(collisions(page)) == []
        title = next(each for each in texts(page) if "משחק" in each.text)
        assert title.right == pytest.approx(page.width - MARGIN)
        assert {'<b>"Boats', "“<i>I"} <= words(page)


@each_paper
def test_the_number_of_a_page_stands_clear_of_a_title_from_the_right(paper: str) -> None:
    made = card(re.sub("title: .*", "title: לוח של ארבעים כפתורים לנמל הדיג", forty()))

    for page in pages_of(made, paper):
        assert list(collisions(page)) == []
        assert outside(page) == []


# ---------------------------------------------------------------- the pad
def pad(words_of: dict[str, str], room: float, height: float = 0.0) -> Block:
    controls = [PadControl(name, word, spoken(name)) for name, word in words_of.items()]
    return pad_block(controls, room, height)


def middles(block: Block) -> dict[str, tuple[float, float]]:
    """The middle of each control's frame, by the control's own name, which is its last words."""
    boxes = [mark for mark in block.marks if isinstance(mark, Box)]
    marks = [mark for mark in block.marks if isinstance(mark, Text)]
    found = {}
    for box in boxes:
        inside = [
            each.text
            for each in marks
            if each.anchor == "middle"
            and box.x < each.x < box.x + box.width
            and box.y < each.y < box.y + box.height
        ]
        found[" ".join(inside[1:] or inside)] = (
            box.x + box.width / 2,
            box.y + box.height / 2,
        )
    return found


WHOLE = {name: f"w{number}" for number, name in enumerate((*TARGET_NAMES[:17], *STICK_NAMES[:2]))}


@pytest.mark.parametrize("room", [106.0, 155.0])
def test_the_whole_pad_has_room_for_its_longest_names(room: float) -> None:
    block = pad(WHOLE, room)

    assert block.width <= room + 0.01
    assert set(middles(block)) == {spoken(name) for name in WHOLE}
    assert min(mark.size for mark in block.marks if isinstance(mark, Text)) >= SMALLEST


def test_every_control_is_where_the_specification_has_it() -> None:
    """Linux gamepad specification: a diamond of buttons at the right, the d-pad at the left."""
    at = middles(pad(WHOLE, 155.0))

    def left_of(one: str, other: str) -> bool:
        return at[one][0] < at[other][0]

    def above(one: str, other: str) -> bool:
        return at[one][1] < at[other][1]

    for up, left, right, down in (
        ("north", "west", "east", "south"),
        ("dpad up", "dpad left", "dpad right", "dpad down"),
    ):
        assert at[up][0] == at[down][0] == pytest.approx((at[left][0] + at[right][0]) / 2)
        assert at[left][1] == at[right][1]
        assert above(up, left)
        assert above(left, down)
        assert left_of(left, right)
    assert left_of("dpad right", "west")
    assert left_of("select", "mode")
    assert left_of("mode", "start")
    for side in ("left", "right"):
        assert above(f"{side} trigger", f"{side} shoulder")
    for part in ("trigger", "shoulder", "stick"):
        assert left_of(f"left {part}", f"right {part}")


@pytest.mark.parametrize(
    "names",
    [
        ("mode",),
        ("select",),
        ("south",),
        ("left-stick", "right-stick-press"),
        ("right-stick", "right-stick-press"),
        ("dpad", "left-stick", "left-stick-press"),
        ("left-shoulder", "mode"),
        ("left-trigger", "select", "mode", "dpad-up"),
    ],
)
def test_no_two_controls_stand_in_one_place(names: tuple[str, ...]) -> None:
    block = pad({name: f"word-{name}" for name in names}, 106.0)
    boxes = [mark for mark in block.marks if isinstance(mark, Box)]

    for number, one in enumerate(boxes):
        assert one.x >= -0.01
        assert one.x + one.width <= block.width + 0.01
        assert one.y + one.height <= block.height + 0.01
        for other in boxes[number + 1 :]:
            across = min(one.x + one.width, other.x + other.width) - max(one.x, other.x)
            along = min(one.y + one.height, other.y + other.height) - max(one.y, other.y)
            assert across < 0.01 or along < 0.01


def test_it_grows_into_the_height_that_is_there_and_no_further() -> None:
    few = {"south": "hoist", "left-stick": "steer"}
    least, more = pad(few, 106.0), pad(few, 106.0, 60.0)

    assert least.height < more.height <= 60.0
    assert least.width < more.width <= 106.01
