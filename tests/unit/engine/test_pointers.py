"""Pointers: counts in a window, as a stick."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.engine.pointers import PointerConditioner
from remapd.engine.settings import Steady, StickSettings

#: At 500 counts a second, 30 counts in the window of 60 ms are full speed.
BARE = StickSettings(dead_zone=0.0, full_speed=500.0, window_us=60_000)


def test_counts_in_the_window_as_a_share_of_full_speed() -> None:
    ball = PointerConditioner(BARE)
    ball.count(6, 0, 1_000)
    assert (ball.x, ball.y) == pytest.approx((0.2, 0.0))
    ball.count(3, -9, 9_000)
    assert (ball.x, ball.y) == pytest.approx((0.3, -0.3))


def test_a_count_leaves_when_it_is_as_old_as_the_window() -> None:
    ball = PointerConditioner(BARE)
    ball.count(6, 0, 1_000)
    ball.count(0, 9, 21_000)
    assert ball.next_due_us == 61_000
    ball.expire(61_000)
    assert (ball.x, ball.y) == pytest.approx((0.0, 0.3))
    assert ball.next_due_us == 81_000
    ball.expire(81_000)

    assert (ball.x, ball.y, ball.neutral) == (0.0, 0.0, True)
    assert ball.next_due_us is None


def test_faster_than_full_is_full() -> None:
    ball = PointerConditioner(BARE)
    ball.count(-300, 400, 1)

    assert (ball.x, ball.y) == pytest.approx((-0.6, 0.8))


def test_the_steps_of_a_stick_apply() -> None:
    ball = PointerConditioner(
        replace(BARE, turn_degrees=90.0, reach_right=0.5, dead_zone=0.2, curve=2.0)
    )
    ball.count(0, -9, 1)  # 0.3 up, is 0.6 of the reach to the right, 0.5 beyond the dead zone

    assert (ball.plain_x, ball.plain_y) == pytest.approx((0.5, 0.0))
    assert (ball.x, ball.y) == pytest.approx((0.25, 0.0))


def test_a_steadied_pointer_ticks_until_it_is_there() -> None:
    ball = PointerConditioner(replace(BARE, steady=Steady(1.5)))
    assert not ball.expire(0)
    assert ball.count(15, 0, 8_000)
    assert 0.0 < ball.x < 0.1
    us = 8_000
    wanted = True
    while wanted:
        us += 8_000
        due_us = ball.next_due_us
        wanted = ball.expire(us) if due_us is not None and due_us <= us else ball.tick(us)

    assert ball.x == 0.0
    assert us > 200_000


def test_a_tuning_of_window_and_full_speed_counts_from_the_next_sample() -> None:
    ball = PointerConditioner(BARE)
    ball.count(6, 0, 1_000)
    ball.count(6, 0, 31_000)
    ball.settings = replace(BARE, window_us=20_000, full_speed=750.0)
    assert ball.x == pytest.approx(0.4)
    assert ball.next_due_us == 61_000
    ball.count(3, 0, 36_000)  # 9 of 15 counts; those at 1 ms are too old for the new window

    assert ball.x == pytest.approx(0.6)
    assert ball.next_due_us == 51_000


@given(
    st.lists(
        st.tuples(st.integers(0, 50_000), st.integers(-50, 50), st.integers(-50, 50)), max_size=40
    )
)
def test_what_came_in_goes_out_again(frames: list[tuple[int, int, int]]) -> None:
    """At any time the value is that of the counts younger than the window, and in the end 0."""
    ball = PointerConditioner(replace(BARE, full_speed=1e6))
    came: list[tuple[int, int, int]] = []
    us = 0
    for gap_us, x, y in frames:
        us += gap_us
        while ball.next_due_us is not None and ball.next_due_us <= us:
            ball.expire(ball.next_due_us)
        ball.count(x, y, us)
        came.append((us, x, y))
        young = [(x, y) for at_us, x, y in came if us - at_us < 60_000]
        assert ball.x == pytest.approx(sum(x for x, _ in young) / 60_000)
        assert ball.y == pytest.approx(sum(y for _, y in young) / 60_000)
    while ball.next_due_us is not None:
        assert ball.next_due_us > us
        us = ball.next_due_us
        ball.expire(us)

    assert (ball.x, ball.y) == (0.0, 0.0)
