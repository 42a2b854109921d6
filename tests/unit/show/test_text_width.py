"""Widths are estimated on the careful side, and texts are wrapped by them."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from remapd.show.text_width import runs_from_right, shortened, width, wrap

some_text = st.text(max_size=60)
sizes = st.sampled_from((2.0, 5.0, 14.5))
rooms = st.sampled_from((0.5, 10.0, 33.3, 190.0))


def test_widths_are_those_of_the_measured_font() -> None:
    # Advance widths in DejaVu Sans 2.37 and its bold, in units of 1/2048 em, read from the font.
    regular = {"i": 569, "m": 1995, "A": 1401, "0": 1303, " ": 651}
    bold = {"i": 702, "m": 2134, "A": 1585, "0": 1425, " ": 713}

    for is_bold, units in ((False, regular), (True, bold)):
        for letter, unit in units.items():
            measured = unit / 2048
            assert measured <= width(letter, 1.0, bold=is_bold) <= measured + 0.021


def test_letters_that_were_not_measured_count_wide() -> None:
    assert width("船", 1.0) >= 1.0
    assert width("Ж", 1.0) >= 0.9
    assert width("e\u0301", 1.0) == width("e", 1.0)  # an accent on its own takes no room


@given(some_text, sizes, rooms)
def test_lines_are_no_wider_than_their_room_and_nothing_is_lost(
    text: str, size: float, room: float
) -> None:
    wrapped = wrap(text, size, room)

    for line in wrapped.lines:
        assert width(line, size) <= room or len(line) == 1
    assert "".join("".join(wrapped.lines).split()) == "".join(text.split())


@given(some_text, sizes, rooms)
def test_a_shortened_text_keeps_to_its_lines_and_says_that_it_is_cut(
    text: str, size: float, room: float
) -> None:
    lines = shortened(text, size, room, 2)

    assert len(lines) <= 2
    assert lines == wrap(text, size, room).lines or lines[-1].endswith("…")


def test_a_word_is_broken_only_where_it_has_no_room() -> None:
    assert wrap("cast net", 10.0, 30.0).lines == ("cast", "net")
    assert not wrap("cast net", 10.0, 30.0).broken
    assert wrap("lookout", 10.0, 30.0).broken
    assert wrap("hold 0.9\u00a0s", 10.0, 40.0).lines == ("hold", "0.9\u00a0s")


def test_the_first_letter_says_where_a_text_begins() -> None:
    assert runs_from_right("2. שלום ahoy")
    assert runs_from_right("“مرحبا”")
    assert not runs_from_right("ahoy שלום")
    assert not runs_from_right("12 …")
