"""Sticks, step by step and as a whole."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.engine.settings import Steady, StickSettings
from remapd.engine.source import AxisRange
from remapd.engine.sticks import StickConditioner

FULL = 1000
AXIS = AxisRange(-FULL, FULL)
BARE = StickSettings(dead_zone=0.0)


def at(settings: StickSettings, x: float, y: float) -> tuple[float, float]:
    """The conditioned point for a stick that goes from -1 to 1."""
    stick = StickConditioner(settings, AXIS, AXIS)
    stick.sample(round(x * FULL), round(y * FULL), 1)
    return stick.x, stick.y


# ---------------------------------------------------------------- step 1: the axes


@pytest.mark.parametrize(
    ("axis", "raw", "expected"),
    [
        (AxisRange(0, 255), 0, -1.0),
        (AxisRange(0, 255), 255, 1.0),
        (AxisRange(0, 255), 128, 0.5 / 127.5),
        (AxisRange(-32768, 32767), -32768, -1.0),
        (AxisRange(-32768, 32767), 32767, 1.0),
        (AxisRange(-1, 1), -1, -1.0),  # a hat, or keys
        (AxisRange(-1, 1), 0, 0.0),
        (AxisRange(100, 300), 150, -0.5),
        (AxisRange(0, 0), 0, 0.0),  # a device that knows no range
    ],
)
def test_an_axis_goes_from_minus_one_to_one(axis: AxisRange, raw: int, expected: float) -> None:
    stick = StickConditioner(BARE, axis, AXIS)
    stick.sample(raw, 0, 1)

    assert stick.x == expected


def test_each_side_of_a_moved_centre_has_its_own_length() -> None:
    settings = replace(BARE, centre_x=0.2, centre_y=-0.5)

    assert at(settings, 0.2, -0.5) == (0.0, 0.0)
    assert at(settings, 0.6, -0.5) == pytest.approx((0.5, 0.0))
    assert at(settings, -0.4, -0.5) == pytest.approx((-0.5, 0.0))
    assert at(settings, 0.2, -0.75) == pytest.approx((0.0, -0.5))
    assert at(settings, 0.2, 0.25) == pytest.approx((0.0, 0.5))


def test_a_centre_at_the_very_end_divides_by_nothing() -> None:
    settings = replace(BARE, centre_x=1.0, centre_y=-1.0)

    assert at(settings, 1.0, -1.0) == (0.0, 0.0)
    assert at(settings, 1.1, -1.1) == (0.0, 0.0)


# ---------------------------------------------------------------- steps 2 and 3


def test_turn_90_makes_the_devices_up_the_players_right() -> None:
    settings = replace(BARE, turn_degrees=90.0)

    assert at(settings, 0, -1) == (1.0, 0.0)
    assert at(settings, 1, 0) == (0.0, 1.0)
    assert at(settings, 0, 1) == (-1.0, 0.0)
    assert at(settings, -1, 0) == (0.0, -1.0)


def test_a_stick_mounted_30_degrees_clockwise_takes_turn_30() -> None:
    """Its up then points to one o'clock; a hand that pushes straight up pushes to its eleven."""
    settings = replace(BARE, turn_degrees=30.0)
    eleven = (-math.sin(math.radians(30)), -math.cos(math.radians(30)))

    assert at(settings, *eleven) == pytest.approx((0.0, -1.0), abs=1e-3)


@pytest.mark.parametrize(
    ("degrees", "expected"), [(-90, (-1, 0)), (180, (0, 1)), (270, (-1, 0)), (360, (0, -1))]
)
def test_quarter_turns_are_exact(degrees: int, expected: tuple[float, float]) -> None:
    """Else a stick pushed along one axis would lean a little along the other."""
    assert at(replace(BARE, turn_degrees=float(degrees)), 0, -1) == expected


@pytest.mark.parametrize("degrees", [-90, -30, 15, 180, 270, 360, 725])
def test_turns_are_clockwise_as_the_player_sees_it(degrees: int) -> None:
    settings = replace(BARE, turn_degrees=float(degrees))
    turned = (math.sin(math.radians(degrees)), -math.cos(math.radians(degrees)))

    assert at(settings, 0, -1) == pytest.approx(turned)


def test_reach_is_for_each_direction() -> None:
    settings = replace(BARE, reach_left=0.5, reach_right=0.8, reach_up=0.4, reach_down=0.625)

    assert at(settings, -0.25, 0) == pytest.approx((-0.5, 0))
    assert at(settings, 0.4, 0) == pytest.approx((0.5, 0))
    assert at(settings, 0, -0.2) == pytest.approx((0, -0.5))
    assert at(settings, 0, 0.25) == pytest.approx((0, 0.4))
    assert at(settings, -0.5, 0) == (-1, 0)
    assert at(settings, -0.9, 0) == (-1, 0)


def test_reach_comes_after_turn_and_before_flip() -> None:
    """The player's right, which is the device's up, reaches half way; then it is turned round."""
    settings = replace(BARE, turn_degrees=90.0, reach_right=0.5, flip_x=True)

    assert at(settings, 0, -0.25) == (-0.5, 0.0)
    assert at(settings, 0, 0.25) == (0.25, 0.0)


def test_flip_turns_only_what_it_names() -> None:
    assert at(replace(BARE, flip_x=True), 0.3, 0.4) == pytest.approx((-0.3, 0.4))
    assert at(replace(BARE, flip_y=True), 0.3, 0.4) == pytest.approx((0.3, -0.4))


# ---------------------------------------------------------------- steps 5 and 6


def test_neutral_is_inside_the_dead_zone() -> None:
    stick = StickConditioner(StickSettings(), AXIS, AXIS)
    neutral = {}
    for raw in (0, 99, 100, 101, -100, -101):
        stick.sample(raw, 0, 1)
        neutral[raw] = stick.neutral
        assert stick.neutral == (stick.x == 0.0)

    assert neutral == {0: True, 99: True, 100: True, 101: False, -100: True, -101: False}


def test_the_edge_of_the_dead_zone_is_neutral_in_spite_of_rounding() -> None:
    """7 % of the way with a reach of 70 % is 10 %, though it comes out as more."""
    assert 0.07 / 0.7 > 0.1
    stick = StickConditioner(StickSettings(reach_right=0.7), AXIS, AXIS)
    stick.sample(70, 0, 1)

    assert stick.neutral


def test_without_a_dead_zone_only_the_centre_is_neutral() -> None:
    stick = StickConditioner(BARE, AXIS, AXIS)
    assert stick.neutral
    stick.sample(1, 0, 1)
    assert not stick.neutral
    stick.sample(0, 0, 2)
    assert stick.neutral


def test_a_dead_zone_of_all_leaves_nothing() -> None:
    assert at(StickSettings(dead_zone=1.0), 1, 1) == (0.0, 0.0)


def test_curve_bends_the_radius_and_leaves_the_plain_value() -> None:
    stick = StickConditioner(StickSettings(dead_zone=0.2, curve=2.0), AXIS, AXIS)
    stick.sample(360, 480, 1)  # radius 0.6: half of what lies beyond the dead zone

    assert (stick.plain_x, stick.plain_y) == pytest.approx((0.3, 0.4))
    assert (stick.x, stick.y) == pytest.approx((0.15, 0.2))


# ---------------------------------------------------------------- properties

SHAPES = st.builds(
    StickSettings,
    centre_x=st.floats(-0.3, 0.3),
    centre_y=st.floats(-0.3, 0.3),
    turn_degrees=st.floats(-360, 360),
    reach_left=st.floats(0.1, 1),
    reach_right=st.floats(0.1, 1),
    reach_up=st.floats(0.1, 1),
    reach_down=st.floats(0.1, 1),
    flip_x=st.booleans(),
    flip_y=st.booleans(),
    dead_zone=st.floats(0, 0.9),
    curve=st.floats(1, 4),
    steady=st.none() | st.builds(Steady, st.floats(0.1, 10), st.floats(0, 5)),
)
RANGES = st.tuples(st.integers(-40_000, 40_000), st.integers(0, 70_000)).map(
    lambda pair: AxisRange(pair[0], pair[0] + pair[1])
)
RAW = st.integers(-(2**31), 2**31 - 1)


@given(SHAPES, RANGES, RANGES, st.lists(st.tuples(RAW, RAW), min_size=1, max_size=20))
def test_any_raw_value_stays_in_the_unit_circle(
    settings: StickSettings,
    x_range: AxisRange,
    y_range: AxisRange,
    points: list[tuple[int, int]],
) -> None:
    stick = StickConditioner(settings, x_range, y_range)
    for index, (x, y) in enumerate(points):
        stick.sample(x, y, index * 3_000)
        assert math.hypot(stick.x, stick.y) <= 1.0 + 1e-12
        assert -32767 <= round(stick.x * 32767) <= 32767
        assert stick.neutral == (stick.plain_x == 0.0 and stick.plain_y == 0.0)


@given(
    st.floats(0, 0.9), st.floats(1, 4), st.floats(0, 2 * math.pi), st.floats(0, 1), st.floats(0, 1)
)
def test_direction_is_kept_and_radius_rises(
    dead_zone: float, curve: float, angle: float, one: float, other: float
) -> None:
    settings = StickSettings(dead_zone=dead_zone, curve=curve)
    fine = AxisRange(-(10**9), 10**9)
    radii = []
    for radius in sorted((one, other)):
        x = round(10**9 * radius * math.cos(angle))
        y = round(10**9 * radius * math.sin(angle))
        stick = StickConditioner(settings, fine, fine)
        stick.sample(x, y, 1)
        out = math.hypot(stick.x, stick.y)
        radii.append(out)
        # The cross product is 0 for parallel vectors, the scalar product positive for like ones.
        assert stick.x * y - stick.y * x == pytest.approx(0, abs=1e-3)
        assert stick.x * x + stick.y * y >= 0

    assert radii[0] <= radii[1] + 1e-9


@given(st.floats(0, 0.9), st.floats(1, 4))
def test_it_begins_at_zero_and_ends_at_exactly_one(dead_zone: float, curve: float) -> None:
    settings = StickSettings(dead_zone=dead_zone, curve=curve)
    fine = AxisRange(-(10**9), 10**9)
    stick = StickConditioner(settings, fine, fine)

    stick.sample(int(dead_zone * 10**9) + 2, 0, 1)
    assert 0.0 <= stick.x < 1e-6
    for x, y in ((1, 0), (-1, 0), (0, 1), (0, -1)):
        stick.sample(x * 10**9, y * 10**9, 2)
        assert (stick.x, stick.y) == (x, y)


@given(SHAPES.map(lambda settings: replace(settings, steady=None)), RAW, RAW)
def test_without_steady_a_sample_has_no_memory(settings: StickSettings, x: int, y: int) -> None:
    fresh = StickConditioner(settings, AXIS, AXIS)
    used = StickConditioner(settings, AXIS, AXIS)
    used.sample(700, -300, 1)

    assert not fresh.sample(x, y, 2)
    assert not used.sample(x, y, 2)
    assert (fresh.x, fresh.y, fresh.neutral) == (used.x, used.y, used.neutral)


# ---------------------------------------------------------------- step 4: ticks


def settle(stick: StickConditioner, us: int) -> int:
    """Ticks until none is wanted; how many there were."""
    ticks = 1
    while stick.tick(us + ticks * 8_000):
        ticks += 1
        assert ticks < 2_000
    return ticks


def test_a_resting_stick_settles_to_its_true_value_by_ticks() -> None:
    stick = StickConditioner(replace(BARE, steady=Steady(0.8)), AXIS, AXIS)
    assert not stick.sample(0, 0, 1_000)
    assert stick.sample(300, 400, 9_000)
    assert settle(stick, 9_000) > 100

    assert (stick.x, stick.y) == pytest.approx((0.3, 0.4), abs=1e-15)
    assert not stick.tick(10_000_000)


def test_the_first_sample_needs_no_tick() -> None:
    stick = StickConditioner(replace(BARE, steady=Steady(0.8)), AXIS, AXIS)

    assert not stick.sample(500, 0, 1_000)
    assert stick.x == 0.5


def test_the_time_after_a_silence_counts_as_8_ms() -> None:
    after = {}
    for silence_us in (8_000, 9_000, 60_000_000):
        stick = StickConditioner(replace(BARE, steady=Steady(1.5)), AXIS, AXIS)
        stick.sample(0, 0, 1_000)
        stick.sample(1_000, 0, 1_000 + silence_us)
        after[silence_us] = stick.x

    assert 0 < after[8_000] < 0.1
    assert set(after.values()) == {after[8_000]}


def test_samples_that_come_faster_count_as_they_come() -> None:
    """A filter with no lead-in from speed: one step of 4 ms, by its own formula."""
    stick = StickConditioner(replace(BARE, steady=Steady(1.0, beta=0.0)), AXIS, AXIS)
    stick.sample(0, 0, 1_000)
    stick.sample(1_000, 0, 5_000)

    assert stick.x == pytest.approx(1 / (1 + 1 / (2 * math.pi * 0.004)))


def test_steadying_comes_before_the_dead_zone() -> None:
    """A tremor inside the dead zone, and one jolt beyond it, leave the stick neutral."""
    stick = StickConditioner(StickSettings(steady=Steady(0.8)), AXIS, AXIS)
    stick.sample(0, 0, 1_000)
    stick.sample(400, 0, 9_000)
    assert stick.neutral
    stick.sample(0, 0, 17_000)
    assert stick.neutral


def test_a_tuning_counts_from_the_next_sample_and_the_filter_goes_on() -> None:
    stick = StickConditioner(replace(BARE, steady=Steady(0.8)), AXIS, AXIS)
    stick.sample(0, 0, 1_000)
    stick.sample(1_000, 0, 9_000)
    before = stick.x
    stick.settings = replace(BARE, steady=Steady(3.0))
    assert stick.x == before
    stick.tick(17_000)

    assert before < stick.x < 0.3


def test_a_tuning_may_switch_steadying_on_and_off() -> None:
    stick = StickConditioner(BARE, AXIS, AXIS)
    stick.sample(0, 0, 1_000)
    stick.settings = replace(BARE, steady=Steady(0.8))
    assert not stick.sample(400, 0, 9_000)  # the first sample of a new filter passes
    assert stick.sample(800, 0, 17_000)
    assert stick.x < 0.5
    stick.settings = BARE
    assert not stick.tick(25_000)
    assert stick.x == 0.8


def test_a_tuning_may_change_centre_and_reach() -> None:
    stick = StickConditioner(BARE, AXIS, AXIS)
    stick.settings = replace(BARE, centre_x=0.2, reach_right=0.5)
    stick.sample(600, 0, 1)

    assert stick.x == 1.0
