"""A switch on the bench: what is worked out from its edges, against runs made to order."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.analysis.bench_words import data, sentences
from remapd.analysis.switch_bench import (
    CHATTER_GAP_US,
    FIRM_US,
    Edge,
    advice_for,
    bench_report,
    pulse_length_us,
    settings_for,
    split_presses,
)

BEAT_US = 1_500_000


def press(
    at_us: int, length_us: int, *, close: tuple[int, ...] = (), open_: tuple[int, ...] = ()
) -> list[Edge]:
    """The edges of a press; `close` and `open_` are lengths of chatter in turn, closed and open."""
    edges: list[Edge] = []
    us, closed = at_us, True
    for length in close:  # closed, open, closed, open: an even number
        edges.append((us, closed))
        us, closed = us + length, not closed
    edges.append((us, True))
    us += length_us
    edges.append((us, False))
    closed = True
    for length in open_:  # open, closed, open, closed: an even number
        us += length
        edges.append((us, closed))
        closed = not closed
    return edges


def beats(count: int) -> list[int]:
    return [10_000_000 + number * BEAT_US for number in range(count)]


def run(*presses: list[Edge]) -> list[Edge]:
    return [edge for edges in presses for edge in edges]


def test_a_clean_switch_is_sound_and_wants_no_setting() -> None:
    asked = beats(100)
    report = bench_report(run(*(press(us + 200_000, 150_000) for us in asked)), asked)

    assert len(report.presses) == report.beats == 100
    assert report.sound
    assert (report.missed_beats, report.doubled_beats, report.sticking_beats) == ((), (), ())
    assert settings_for(report) == []
    assert advice_for(report) == []
    assert sentences(report)[0] == "The switch is sound."
    assert "default debounce" in "\n".join(sentences(report))


def test_chatter_at_either_end_is_measured_and_is_one_press() -> None:
    edges = press(0, 300_000, close=(500, 700, 200, 100), open_=(400, 300, 1_000, 100))

    (only,) = split_presses(edges)

    assert only.begin_us == 0
    assert only.close_chatter_us == 1_500
    assert only.open_chatter_us == 1_800
    assert only.extra_closings == 4
    assert only.breaks_us == ()
    assert only.length_us == 303_300 - 0


def test_a_published_bounce_fits_the_default_debounce() -> None:
    # 1.6 ms on average and 6.2 ms at most for nearly all switches: Ganssle, from memory
    asked = beats(10)
    made = [press(us, 200_000, close=(3_000, 3_200)) for us in asked]

    assert settings_for(bench_report(run(*made), asked)) == []


def test_longer_chatter_wants_a_longer_debounce_with_its_reason() -> None:
    asked = beats(3)
    made = [press(us, 200_000, close=(8_000, 8_000)) for us in asked]

    (setting,) = settings_for(bench_report(run(*made), asked))

    assert setting.text == "debounce: 25ms"
    assert "16.0 ms" in setting.because


def test_chatter_that_no_setting_should_hide_is_said_to_want_mending() -> None:
    asked = beats(1)
    edges = press(asked[0], 200_000, close=(15_000, 40_000, 10_000, 10_000))
    report = bench_report(edges, asked)

    assert settings_for(report)[0].text == "debounce: 50ms"
    assert "mend or change the switch" in advice_for(report)[0]


def test_a_contact_that_breaks_while_held_wants_a_release_delay() -> None:
    asked = beats(1)
    us = asked[0]
    edges = [(us, True), (us + 300_000, False), (us + 312_000, True), (us + 700_000, False)]
    report = bench_report(edges, asked)

    assert [p.breaks_us for p in report.presses] == [(12_000,)]
    assert report.broken == 1
    assert [s.text for s in settings_for(report)] == ["release-delay: 20ms"]
    assert not report.sound


def test_a_closing_is_contact_from_its_very_limit_on() -> None:
    def broken(first_us: int) -> bool:
        us = first_us + 5_000
        edges = [(0, True), (first_us, False), (us, True), (us + 300_000, False)]
        return bool(split_presses(edges)[0].breaks_us)

    assert (broken(FIRM_US - 1), broken(FIRM_US)) == (False, True)


def test_missed_doubled_and_sticking_beats_are_named() -> None:
    asked = beats(5)
    edges = run(
        press(asked[0], 100_000),
        # the second beat: nothing
        run(press(asked[2], 100_000), press(asked[2] + 500_000, 100_000)),
        press(asked[3], BEAT_US + 400_000),  # still pressed at the fifth
    )
    report = bench_report(edges, asked)

    assert report.missed_beats == (2,)
    assert report.doubled_beats == (3,)
    assert report.sticking_beats == (4,)
    text = "\n".join(sentences(report))
    assert "No press at beat: 2." in text
    assert "repeat-guard: 300ms" in text
    assert "longest: 2s" in text


def test_a_switch_that_never_lets_go_sticks_and_misses_nothing_meanwhile() -> None:
    asked = beats(4)
    report = bench_report([(asked[1], True)], asked)

    assert report.missed_beats == (1,)
    assert report.sticking_beats == (2,)
    assert report.presses[0].length_us is None


def test_presses_before_the_first_beat_count_for_no_beat() -> None:
    asked = beats(1)
    report = bench_report(press(asked[0] - 500_000, 100_000), asked)

    assert (report.unasked, report.missed_beats) == (1, (1,))


def test_held_and_let_go_is_a_true_release_and_a_pulse_is_found_out() -> None:
    assert pulse_length_us(press(0, 2_000_000), 2_000_000) is None
    assert pulse_length_us([(0, True)], 2_000_000) is None  # still held when we stopped looking
    assert pulse_length_us(press(0, 30_000), 2_000_000) == 30_000
    assert pulse_length_us(press(0, 199_999), 2_000_000) == 199_999
    assert pulse_length_us(press(0, 200_000), 2_000_000) is None  # a hand that let go too soon
    with pytest.raises(ValueError, match="no press"):
        pulse_length_us([], 2_000_000)


def test_a_pulse_switch_is_told_what_it_cannot_do() -> None:
    asked = beats(2)
    report = bench_report(run(*(press(us, 8_000) for us in asked)), asked, pulse_us=8_000)

    assert not report.sound
    assert len(report.presses) == 2
    assert "how: toggle" in advice_for(report)[0]
    assert "pulse of 8.0 ms" in "\n".join(sentences(report))


def test_nothing_at_all_is_a_report_too() -> None:
    report = bench_report([], beats(3))

    assert report.missed_beats == (1, 2, 3)
    assert sentences(report)[0] == "Nothing came from the switch."
    assert data(report)["presses"] == 0


def test_two_presses_at_the_very_limit_are_two() -> None:
    at_limit = run(press(0, 50_000), press(50_000 + CHATTER_GAP_US, 50_000))
    below = run(press(0, 50_000), press(50_000 + CHATTER_GAP_US - 1, 50_000))

    assert [len(split_presses(edges)) for edges in (at_limit, below)] == [2, 1]


chatters = st.lists(st.integers(1, 4_000), max_size=6).map(lambda c: tuple(c[: len(c) // 2 * 2]))
presses_made = st.lists(
    st.tuples(st.integers(0, 600_000), st.integers(FIRM_US, 500_000), chatters, chatters),
    min_size=1,
    max_size=12,
)


@given(presses_made, st.integers(-(10**12), 10**12), st.randoms(use_true_random=False))
def test_what_was_made_is_found_again(
    made: list[tuple[int, int, tuple[int, ...], tuple[int, ...]]],
    shift_us: int,
    shuffled: random.Random,
) -> None:
    asked = [us + shift_us for us in beats(len(made))]
    edges = run(
        *(
            press(us + late, length, close=close, open_=open_)
            for us, (late, length, close, open_) in zip(asked, made, strict=True)
        )
    )
    # times at which several edges fall cannot be put in order again
    if len({us for us, _ in edges}) == len(edges):
        shuffled.shuffle(edges)

    report = bench_report(edges, asked)

    assert len(report.presses) == len(made)
    assert report.close_chatters_us() == [sum(close) for _, _, close, _ in made]
    assert report.open_chatters_us() == [sum(open_) for _, _, _, open_ in made]
    assert (report.missed_beats, report.doubled_beats, report.sticking_beats) == ((), (), ())
    assert report.broken == 0


edge_lists = st.lists(st.tuples(st.integers(0, 3_000_000), st.booleans()), max_size=30)


@given(edge_lists, st.lists(st.integers(0, 3_000_000), max_size=5, unique=True).map(sorted))
def test_any_edges_give_a_report_that_adds_up(edges: list[Edge], asked: list[int]) -> None:
    report = bench_report(edges, asked)

    for before, after in zip(report.presses, report.presses[1:], strict=False):
        assert before.end_us is not None
        assert after.begin_us - before.end_us >= CHATTER_GAP_US
    for each in report.presses:
        parts = each.close_chatter_us + each.open_chatter_us + sum(each.breaks_us)
        assert each.length_us is None or parts <= each.length_us
    asked_numbers = set(range(1, len(asked) + 1))
    assert set(report.missed_beats) <= asked_numbers
    assert not set(report.missed_beats) & set(report.doubled_beats)
    assert sentences(report)
    assert data(report)["beats"] == len(asked)
