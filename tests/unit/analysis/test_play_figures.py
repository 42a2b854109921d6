"""Figures of a session, on sessions whose presses are known."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.analysis.effort import hand_activity_level
from remapd.analysis.play_figures import busiest, figures, joined, longest_rest, within

S = 1_000_000
stretches = st.lists(
    st.tuples(st.integers(0, 900), st.integers(1, 60)).map(lambda pair: (pair[0], sum(pair))),
    max_size=12,
)


def test_a_session_of_known_presses_gives_their_figures() -> None:
    # 30 presses a minute, each held for 0.4 s, for 5 minutes: F 0.5 a second, duty 20 %.
    presses = [(at, at + 400_000) for at in range(0, 300 * S, 2 * S)]

    found = figures(presses, 300 * S)

    assert (found.efforts, found.per_minute, found.busiest_minute) == (150, 30.0, 30)
    assert (found.held_us, found.mean_held_us, found.longest_held_us) == (60 * S, 400_000, 400_000)
    assert found.duty_percent == pytest.approx(20.0)
    assert found.longest_rest_us == 1_600_000
    assert hand_activity_level(found.per_minute / 60, found.duty_percent) == pytest.approx(
        3.47, abs=0.006
    )


def test_two_at_once_are_two_efforts_and_one_time() -> None:
    found = figures([(0, 4 * S), (1 * S, 2 * S)], 10 * S)

    assert (found.efforts, found.held_us) == (2, 4 * S)
    assert found.longest_rest_us == 6 * S


def test_what_lasts_a_second_is_a_hold() -> None:
    found = figures([(0, S - 1), (2 * S, 3 * S), (4 * S, 9 * S)], 120 * S)

    assert (found.per_minute, found.holds_per_minute) == (1.5, 1.0)
    assert figures([(0, 2 * S)], 0).holds_per_minute == 0.0


def test_nothing_done_is_one_long_rest() -> None:
    found = figures([], 60 * S)

    assert (found.efforts, found.duty_percent, found.longest_rest_us) == (0, 0.0, 60 * S)
    assert figures([], 0).per_minute == 0.0


def test_the_busiest_window_may_begin_anywhere() -> None:
    assert busiest([0, 59, 60, 61, 119, 120], 60) == 3
    assert busiest([], 60) == 0


@given(stretches)
def test_joined_stretches_cover_the_same_and_do_not_touch(spans: list[tuple[int, int]]) -> None:
    found = joined(sorted(spans))

    assert {at for a, b in found for at in range(a, b)} == {
        at for a, b in spans for at in range(a, b)
    }
    assert all(first[1] < second[0] for first, second in pairwise(found))
    assert 0 <= longest_rest(found, 1000) <= 1000


@given(stretches, st.integers(0, 500), st.integers(501, 1000))
def test_what_is_within_a_time_is_all_of_it_that_is_there(
    spans: list[tuple[int, int]], begin: int, end: int
) -> None:
    inside = {at for a, b in within(spans, begin, end) for at in range(a, b)}

    assert inside == {at for a, b in spans for at in range(a, b) if begin <= at < end}
