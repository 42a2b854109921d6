"""Published effort figures against examples worked out from their formulas or printed with them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.analysis.effort import (
    Intensity,
    Posture,
    Speed,
    hand_activity_level,
    strain_index,
)


@pytest.mark.parametrize(
    ("exertions", "duty", "level"),
    # Worked out by hand from the formula of Radwin et al., Ergonomics 58(2), 2015, 173-183.
    [(0.125, 10, 0.82), (0.5, 20, 3.47), (1, 20, 4.70), (1, 50, 6.14), (2, 90, 8.24)],
)
def test_hand_activity_level_is_that_of_the_published_equation(
    exertions: float, duty: float, level: float
) -> None:
    assert hand_activity_level(exertions, duty) == pytest.approx(level, abs=0.006)


@given(st.floats(0, 20), st.floats(0, 100))
def test_hand_activity_level_stays_on_its_scale(exertions: float, duty: float) -> None:
    assert 0.0 <= hand_activity_level(exertions, duty) <= 10.0


def test_strain_index_of_the_published_exercise() -> None:
    # Hard, 30-49 % of the time, 4-8 a minute, bad posture, fast, 2-4 h: 6 * 1.5 * 1 * 2 * 1.5 * .75
    # (an exercise printed with a scoring sheet of Moore and Garg's method, 1995).
    assert strain_index(Intensity.HARD, 40, 6, Posture.BAD, Speed.FAST, 3) == pytest.approx(20.25)


def test_strain_index_of_light_and_frequent_presses() -> None:
    # Worked out from the same sheet: light, 10-29 %, 40 a minute, good, fair, 2-4 h.
    index = strain_index(Intensity.LIGHT, 20, 40, Posture.GOOD, Speed.FAIR, 3)

    assert index == pytest.approx(2.25)


@pytest.mark.parametrize(
    ("percent", "efforts", "hours", "index"),
    [
        (9.9, 3.9, 1.0, 0.5 * 0.5 * 0.25),
        (10, 4, 1.1, 1.0 * 1.0 * 0.5),
        (30, 9, 2.1, 1.5 * 1.5 * 0.75),
        (50, 15, 4.1, 2.0 * 2.0 * 1.0),
        (80, 20, 8.1, 3.0 * 3.0 * 1.5),
    ],
)
def test_strain_index_changes_at_the_bounds_of_its_table(
    percent: float, efforts: float, hours: float, index: float
) -> None:
    found = strain_index(
        Intensity.LIGHT, percent, efforts, Posture.VERY_GOOD, Speed.VERY_SLOW, hours
    )

    assert found == pytest.approx(index)
