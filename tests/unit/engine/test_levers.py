"""Levers: where they rest, and which end is which."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.engine.levers import LeverConditioner
from remapd.engine.settings import LeverSettings, Rest, Steady
from remapd.engine.source import AxisRange

PEDAL = AxisRange(0, 200)


def lever(**settings: object) -> LeverConditioner:
    return LeverConditioner(LeverSettings(**{"dead_zone": 0.0, **settings}), PEDAL)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("rests_at", "raw", "x", "plain_x"),
    [
        (Rest.LOW, 0, 0.0, 0.0),
        (Rest.LOW, 50, 0.25, 0.25),
        (Rest.LOW, 200, 1.0, 1.0),
        (Rest.LOW, -30, 0.0, 0.0),
        (Rest.LOW, 230, 1.0, 1.0),
        (Rest.HIGH, 200, 0.0, 0.0),
        (Rest.HIGH, 150, 0.25, -0.25),
        (Rest.HIGH, 0, 1.0, -1.0),
        (Rest.HIGH, 230, 0.0, 0.0),
        (Rest.MIDDLE, 100, 0.0, 0.0),
        (Rest.MIDDLE, 150, 0.5, 0.5),
        (Rest.MIDDLE, 50, -0.5, -0.5),
        (Rest.MIDDLE, 200, 1.0, 1.0),
        (Rest.MIDDLE, 0, -1.0, -1.0),
    ],
)
def test_how_far_from_rest_and_towards_which_end(
    rests_at: Rest, raw: int, x: float, plain_x: float
) -> None:
    control = lever(rests_at=rests_at)
    assert not control.sample(raw, 1)

    assert (control.x, control.plain_x) == (x, plain_x)
    assert control.neutral == (x == 0.0)


def test_reach_dead_zone_and_curve_in_this_order() -> None:
    control = lever(reach=0.5, dead_zone=0.2, curve=2.0)
    control.sample(60, 1)  # 0.3 of the way is 0.6 of the reach, 0.5 beyond the dead zone

    assert control.plain_x == pytest.approx(0.5)
    assert control.x == pytest.approx(0.25)
    control.sample(100, 2)
    assert control.x == 1.0
    control.sample(160, 3)
    assert control.x == 1.0


def test_the_curve_bends_both_halves_alike() -> None:
    control = lever(rests_at=Rest.MIDDLE, curve=2.0)
    control.sample(50, 1)
    assert control.x == -0.25
    control.sample(150, 1)
    assert control.x == 0.25


def test_a_steadied_lever_settles_by_ticks() -> None:
    control = lever(steady=Steady(1.5))
    assert not control.sample(0, 1_000)
    assert control.sample(120, 9_000)
    assert 0.0 < control.x < 0.2
    us = 17_000
    while control.tick(us):
        us += 8_000

    assert control.x == 0.6
    assert us > 200_000


def test_samples_that_come_faster_count_as_they_come() -> None:
    control = lever(steady=Steady(1.0, beta=0.0))
    control.sample(0, 1_000)
    control.sample(200, 5_000)

    assert control.x == pytest.approx(1 / (1 + 1 / (2 * math.pi * 0.004)))


def test_tuning() -> None:
    control = lever()
    control.settings = LeverSettings(dead_zone=0.0, reach=0.5, rests_at=Rest.HIGH)
    control.sample(150, 1)

    assert control.x == 0.5


def test_a_dead_zone_of_all_leaves_nothing() -> None:
    control = lever(dead_zone=1.0)
    control.sample(200, 1)

    assert control.x == 0.0


@given(
    st.builds(
        LeverSettings,
        rests_at=st.sampled_from(Rest),
        reach=st.floats(0.05, 1),
        steady=st.none() | st.builds(Steady, st.floats(0.1, 10)),
        dead_zone=st.floats(0, 0.95),
        curve=st.floats(1, 4),
    ),
    st.integers(-1000, 1000),
    st.integers(0, 70_000),
    st.lists(st.integers(-(2**31), 2**31 - 1), min_size=1, max_size=10),
)
def test_any_raw_value_stays_in_range(
    settings: LeverSettings, minimum: int, length: int, raws: list[int]
) -> None:
    control = LeverConditioner(settings, AxisRange(minimum, minimum + length))
    lowest = -1.0 if settings.rests_at is Rest.MIDDLE else 0.0
    for index, raw in enumerate(raws):
        control.sample(raw, index * 3_000)
        assert lowest <= control.x <= 1.0
        assert -1.0 <= control.plain_x <= 1.0


@given(st.sampled_from(Rest), st.integers(0, 200), st.integers(0, 200))
def test_the_ends_are_in_the_axis_own_order(rests_at: Rest, one: int, other: int) -> None:
    control = lever(rests_at=rests_at)
    plain = []
    for raw in sorted((one, other)):
        control.sample(raw, 1)
        plain.append(control.plain_x)

    assert plain[0] <= plain[1]
