"""Directions press and release with hysteresis, in one order."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.engine.directions import Directions, Ends
from remapd.engine.pad_controls import DOWN, LEFT, RIGHT, UP

PRESS_AT = 0.5
RELEASE_AT = 0.4


def eight() -> Directions:
    return Directions(PRESS_AT, RELEASE_AT)


def four() -> Directions:
    return Directions(PRESS_AT, RELEASE_AT, ways=4)


def test_it_presses_at_and_releases_below() -> None:
    stick = eight()
    assert stick.update(0.49, 0) == ()
    assert stick.update(0.5, 0) == ((RIGHT, True),)
    assert stick.update(0.41, 0) == ()
    assert stick.update(0.4, 0) == ()
    assert stick.update(0.39, 0) == ((RIGHT, False),)
    assert stick.update(0.49, 0) == ()


@pytest.mark.parametrize(
    ("x", "y", "direction"), [(0, -1, UP), (0, 1, DOWN), (-1, 0, LEFT), (1, 0, RIGHT)]
)
def test_up_is_negative_as_evdev_has_it(x: float, y: float, direction: int) -> None:
    stick = eight()
    assert stick.update(0.49 * x, 0.49 * y) == ()
    assert stick.update(0.5 * x, 0.5 * y) == ((direction, True),)
    assert stick.held == 1 << direction
    assert stick.update(0.4 * x, 0.4 * y) == ()
    assert stick.update(0.39 * x, 0.39 * y) == ((direction, False),)


def test_a_threshold_that_is_met_on_paper_is_met() -> None:
    """60 % with a dead zone of 20 % is half way, and 52 % is 40 % of it: both computed as less."""
    half, two_fifths = (0.6 - 0.2) / (1 - 0.2), (0.52 - 0.2) / (1 - 0.2)
    assert half < 0.5
    stick, lever = eight(), Ends(PRESS_AT, RELEASE_AT)

    assert stick.update(half, 0) == ((RIGHT, True),)
    assert lever.update(half) == ((1, True),)
    assert stick.update(min(two_fifths, 0.4 - 1e-16), 0) == ()
    assert lever.update(min(two_fifths, 0.4 - 1e-16)) == ()


def test_releases_come_first_and_each_in_order() -> None:
    stick = eight()
    assert stick.update(-0.7, -0.7) == ((UP, True), (LEFT, True))
    assert stick.update(0.7, 0.7) == ((UP, False), (LEFT, False), (DOWN, True), (RIGHT, True))
    assert stick.update(0.7, -0.7) == ((DOWN, False), (UP, True))


def test_four_ways_keep_only_the_larger_component() -> None:
    stick = four()
    assert stick.update(0.6, 0.7) == ((DOWN, True),)
    assert stick.update(0, 0) == ((DOWN, False),)


def test_four_ways_of_two_equal_ones_keep_the_horizontal_at_first() -> None:
    assert four().update(0.7, 0.7) == ((RIGHT, True),)


def test_four_ways_have_no_opinion_at_the_centre() -> None:
    stick = four()
    stick.update(0, 0)

    assert stick.update(0.58, -0.6) == ((UP, True),)


def test_four_ways_turn_when_the_other_is_larger_by_a_tenth() -> None:
    stick = four()
    stick.update(0.6, 0)
    assert stick.update(0.6, -0.65) == ()
    assert stick.update(0.6, -0.67) == ((RIGHT, False), (UP, True))
    assert stick.update(-0.7, -0.67) == ()
    assert stick.update(-0.75, -0.67) == ((UP, False), (LEFT, True))


def test_four_ways_keep_the_component_through_the_centre() -> None:
    stick = four()
    stick.update(0, 0.8)
    stick.update(0, 0)

    assert stick.update(0.6, 0.6) == ((DOWN, True),)


def test_other_values_count_from_the_next_update() -> None:
    stick = eight()
    stick.update(0.45, 0)
    stick.press_at = 0.3
    stick.release_at = 0.2
    assert stick.held == 0
    assert stick.update(0.45, 0) == ((RIGHT, True),)


def test_ends_of_a_lever() -> None:
    breath = Ends(PRESS_AT, RELEASE_AT)
    assert breath.update(-0.5) == ((0, True),)
    assert breath.update(-0.4) == ()
    assert breath.update(0.9) == ((0, False), (1, True))
    assert breath.update(0.0) == ((1, False),)


POINTS = st.lists(st.tuples(st.floats(-1, 1), st.floats(-1, 1)), max_size=30)


@given(POINTS, st.sampled_from([4, 8]))
def test_changes_are_changes_and_opposites_are_never_held_together(
    points: list[tuple[float, float]], ways: int
) -> None:
    stick = Directions(PRESS_AT, RELEASE_AT, ways)
    held = [False] * 4
    for x, y in points:
        changes = stick.update(x, y)
        assert sorted(changes, key=lambda change: (change[1], change[0])) == list(changes)
        for index, down in changes:
            assert held[index] != down
            held[index] = down
        assert stick.held == sum(1 << index for index in range(4) if held[index])
        assert not (held[UP] and held[DOWN])
        assert not (held[LEFT] and held[RIGHT])
        assert ways == 8 or sum(held) <= 1


@given(st.lists(st.floats(0.4, 0.4999), max_size=30))
def test_noise_within_the_hysteresis_gives_at_most_one_edge(noise: list[float]) -> None:
    """Source of the rule: common practice, no source."""
    stick = eight()
    stick.update(0.6, 0)
    edges = [stick.update(x, 0) for x in noise]

    assert edges == [()] * len(noise)


@given(POINTS)
def test_four_ways_turn_only_for_a_tenth_more(points: list[tuple[float, float]]) -> None:
    """Between two updates, an axis changes only where the new one is larger by a tenth."""
    stick = Directions(0.001, 0.0005, ways=4)
    axes = []
    for x, y in points:
        stick.update(x, y)
        axes.append((stick.held & (1 << UP | 1 << DOWN) != 0, stick.held != 0, abs(x), abs(y)))
    for (vertical, held, _, _), (now_vertical, now_held, x, y) in pairwise(axes):
        if held and now_held and vertical != now_vertical:
            assert (y >= 1.1 * x) if now_vertical else (x >= 1.1 * y)
