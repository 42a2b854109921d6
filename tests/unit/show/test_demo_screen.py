"""The demo's picture on virtual time: what it says, that it fits, and that nothing flashes."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import pytest

from remapd.language import load_text
from remapd.show.demo_screen import COLUMNS, ROWS, Cast, plain
from remapd.show.marks import ASCII, FULL, Signs, signs_for
from remapd.show.pacing import PICTURE_US
from remapd.show.sentences import Teller
from tests.generate_demo_recording import CHECKOUT, LAYOUT, recording
from tests.support.demo_session import new_screen, new_session


def pictures(signs: Signs, columns: int = COLUMNS) -> Iterator[list[str]]:
    """What a player of the demo sees, each time that the picture is painted."""
    session = new_session()
    screen = new_screen(session, signs)
    teller = Teller(session.layout)
    next_us = 0
    for moment in session:
        while next_us < moment.us:
            yield [plain(row) for row in screen.rows(next_us, columns)]
            next_us += PICTURE_US
        screen.show(moment, teller.tell(moment))
    yield [plain(row) for row in screen.rows(session.end_us, columns)]


@pytest.fixture(scope="module")
def all_pictures() -> list[list[str]]:
    return list(pictures(FULL))


def test_the_recording_is_that_of_the_shipped_layout_as_it_now_is() -> None:
    """Else: python -m tests.generate_demo_recording."""
    shipped = (CHECKOUT / "remapd/show/data/harbour-demo.jsonl").read_bytes()

    assert shipped == recording()


def test_the_session_plays_the_shipped_layout_for_about_half_a_minute() -> None:
    session = new_session()

    assert session.layout_path == LAYOUT
    assert session.layout == load_text((CHECKOUT / LAYOUT).read_bytes()).layout
    assert 25_000_000 <= session.end_us <= 30_000_000


def test_every_part_of_the_layout_that_the_demo_explains_is_seen_at_work() -> None:
    session = new_session()
    cast = Cast.of(session)

    assert cast.pad == set(session.layout.verbs.values())
    layers = {n for moment in new_session() for n in moment.layers or ()}
    assert layers == set(range(len(session.layout.layers)))
    kinds = {notice.kind.value for moment in new_session() for notice in moment.notices}
    assert {"refused", "turbo-on", "turbo-off", "overruled"} <= kinds


def test_the_pad_is_at_rest_when_it_is_over() -> None:
    pressed: dict[str, object] = {}
    for moment in new_session():
        for change in moment.pad:
            pressed[change.control] = change.value if change.value is not None else change.what

    assert {name: at for name, at in pressed.items() if at not in (0, (0, 0), "release")} == {}


def test_the_whole_picture_at_the_end(all_pictures: list[list[str]]) -> None:
    assert (
        "\n".join(all_pictures[-1])
        == """\
 remapd demo  Forearm trackball and knee switches                    27 of 27 s
                          0 s      5         10       15        20        25
 ── what the hands do ────┬────────┬─────────┬────────┬─────────┬─────────┬───
   roll                   ·→→→→→→········↖↖↖↖·······←←←←←←····················
   left-knee              ·······×··●·········●━━··············●━━━····●·●━━··
   right-knee             ·············●··········●━········●·······●●······●·
   left-stick helper      ····························→→→→→→→→→···············
 ── layers that are on ───────────────────────────────────────────────────────
   more                   ·············━━━━━━·······················━━━━━━━━━·
   net                    ······················━━━━━━━━━━━━━━━━━━············
 ◆ sail always on         ━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━
 ── what the game sees ───────────────────────────────────────────────────────
   steer left-stick       ·→→→→→·····················←←←←←→→→→→···············
   look right-stick       ···············↖↖↖↖·································
   hoist south            ··········●·········································
   cast-net right-trigger ························●●2●22●2●2━·················
   horn north             ·············································●······
   menu start             ················································●━··
 ─────────────────────────────────────────────────────────────────────────────
  26.2 s  right-knee pressed: layer more is off.
  25.4 s  left-knee held for 0.8 s: menu (start) is pressed.
  24.7 s  left-knee pressed: short horn, long menu.
 ● press   ━ held or on   2 presses so close   × ignored   → moved   ◆ now"""
    )


def test_it_fits_a_terminal_of_the_smallest_size_with_a_row_to_spare(
    all_pictures: list[list[str]],
) -> None:
    assert max(len(picture) for picture in all_pictures) <= ROWS - 1
    assert max(len(row) for picture in all_pictures for row in picture) <= COLUMNS
    assert not any("~" in row for picture in all_pictures for row in picture)


def test_a_wide_terminal_is_filled() -> None:
    last = list(pictures(FULL, 120))[-1]

    assert max(map(len, last)) <= 120
    assert any("→" * 10 in row for row in last)


def test_time_fills_the_picture_in_from_left_to_right(all_pictures: list[list[str]]) -> None:
    rolls = [picture[3] for picture in all_pictures]

    assert all(len(before) <= len(after) for before, after in pairwise(rolls))
    assert len(rolls[0]) < len(rolls[100]) < len(rolls[-1])


def test_nothing_flashes_more_than_three_times_in_any_second(
    all_pictures: list[list[str]],
) -> None:
    """WCAG 2.2, success criterion 2.3.1; a flash is a pair of opposing changes."""
    second = 1_000_000 // PICTURE_US
    sentences = range(len(all_pictures[0]) - 4, len(all_pictures[0]) - 1)
    worst = 0
    for row in set(range(len(all_pictures[0]))) - set(sentences):
        for column in range(COLUMNS):
            cells = [picture[row][column : column + 1] or " " for picture in all_pictures]
            changes = [n for n, (one, two) in enumerate(pairwise(cells)) if one != two]
            for number, change in enumerate(changes):
                within = [each for each in changes[number:] if each < change + second]
                worst = max(worst, len(within))

    assert worst <= 6  # changes: three flashes


def test_sentences_stand_long_enough_to_be_no_flash(all_pictures: list[list[str]]) -> None:
    newest = [picture[-4] for picture in all_pictures]
    changes = [n for n, (one, two) in enumerate(pairwise(newest)) if one != two]

    assert all(after - before > 160_000 // PICTURE_US for before, after in pairwise(changes))


def test_plain_letters_where_the_terminal_has_no_others() -> None:
    last = list(pictures(ASCII))[-1]

    assert all(row.isascii() for row in last)
    assert any("oo2o22o2o2=" in row for row in last)


def test_which_signs_a_terminal_gets() -> None:
    assert signs_for("utf-8", "xterm-256color") is FULL
    assert signs_for("latin-1", "xterm-256color") is ASCII
    assert signs_for(None, "xterm-256color") is ASCII
    assert signs_for("utf-8", "linux") is ASCII


def test_sentences_say_what_a_hand_did_and_what_came_of_it() -> None:
    session = new_session()
    teller = Teller(session.layout)

    told = [sentence for moment in session for sentence in teller.tell(moment)]

    assert told == [
        "roll moves: steer (left-stick) goes right.",
        "steer (left-stick) is centred.",
        "left-knee ignored: released after 45 ms, acceptance-delay is 80 ms.",
        "left-knee pressed: short hoist, long layer net (toggle).",
        "left-knee let go: hoist (south) is pressed.",
        "right-knee pressed: layer more is on.",
        "roll moves: look (right-stick) goes left and up.",
        "layer more is off and look (right-stick) is centred.",
        "left-knee pressed: short hoist, long layer net (toggle).",
        "left-knee held for 1.0 s: layer net is on.",
        "right-knee pressed: cast-net (right-trigger) repeats.",
        "roll moves: steer (left-stick) goes left.",
        "the helper's steer (left-stick) waits, the player comes first.",
        "steer (left-stick) is centred.",
        "the helper's left-stick moves: steer (left-stick) goes right.",
        "right-knee pressed: cast-net (right-trigger) stops after 15 presses.",
        "steer (left-stick) is centred.",
        "left-knee pressed: short hoist, long layer net (toggle).",
        "left-knee held for 1.0 s: layer net is off.",
        "right-knee pressed: layer more is on.",
        "right-knee pressed: layer more stays on.",
        "left-knee pressed: short horn, long menu.",
        "left-knee let go: horn (north) is pressed.",
        "left-knee pressed: short horn, long menu.",
        "left-knee held for 0.8 s: menu (start) is pressed.",
        "right-knee pressed: layer more is off.",
    ]
