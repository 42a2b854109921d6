"""Buttons against published timings of switches and keyboards. Each check names its source."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.engine.buttons import Refusal
from tests.support.one_button import one_button

LATER_US = 10_000_000

# ---------------------------------------------------------------- XKB
# X Keyboard Extension: Protocol Specification, X11R7.7, chapters 4 and 6; 300 ms is the default of
# the sample server (xkb/xkbAccessX.c) for both.

XKB_DEFAULT_US = 300_000


def test_xkb_slow_keys_nothing_is_sent_for_a_shorter_press() -> None:
    button = one_button(acceptance_delay_us=XKB_DEFAULT_US)
    button.hold(1_000, 300_000)
    button.advance(LATER_US)

    assert button.told == []


def test_xkb_slow_keys_press_at_the_delay_and_release_as_it_comes() -> None:
    """So the press that comes out is shorter than the one that went in by just the delay."""
    button = one_button(acceptance_delay_us=XKB_DEFAULT_US)
    button.hold(0, 450_000)

    assert button.told == [(300_000, True), (450_000, False)]


@given(st.integers(300_000, 5_000_000))
def test_xkb_slow_keys_length_is_shorter_by_the_delay(held_us: int) -> None:
    button = one_button(acceptance_delay_us=XKB_DEFAULT_US)
    button.hold(0, held_us)

    (pressed_us, _), (released_us, _) = button.told
    assert released_us - pressed_us == held_us - XKB_DEFAULT_US


def test_xkb_bounce_keys_count_from_the_release() -> None:
    """Chapter 6: the timer starts on release, and the same key is refused until it expires."""
    button = one_button(repeat_guard_us=XKB_DEFAULT_US)
    button.hold(0, 50_000)
    button.hold(200_000, 210_000)
    button.hold(350_000, 400_000)

    assert button.told == [(0, True), (50_000, False), (350_000, True), (400_000, False)]
    assert [refused.reason for refused in button.refused] == [Refusal.REPEAT_GUARD]


def test_xkb_bounce_keys_differ_in_one_thing() -> None:
    """The sample server begins its time anew when a refused key is released; the language does not.

    A hand that trembles on and on would otherwise never be heard again.
    """
    button = one_button(repeat_guard_us=XKB_DEFAULT_US)
    button.hold(0, 50_000)
    button.hold(200_000, 250_000)  # refused; the server would now refuse until 550 ms
    button.hold(360_000, 400_000)

    assert (360_000, True) in button.told


def test_xkb_both_on_as_the_server_orders_them() -> None:
    """Bounce keys come first, then slow keys: the guard looks at when the key went down."""
    button = one_button(repeat_guard_us=XKB_DEFAULT_US, acceptance_delay_us=XKB_DEFAULT_US)
    button.hold(0, 400_000)
    button.hold(600_000, 2_000_000)  # accepted at 900 ms if the guard looked there: 500 ms later
    button.advance(LATER_US)

    assert button.told == [(300_000, True), (400_000, False)]


# ---------------------------------------------------------------- EN 301 549


@pytest.mark.parametrize("guard_us", [500_000, 1_000_000, 5_000_000])
@pytest.mark.parametrize("held_us", [1, 20_000, 100_000])
def test_en_301_549_double_strike(guard_us: int, held_us: int) -> None:
    """EN 301 549 V3.2.1, 5.8, by the procedure of C.5.8.

    With the delay at 0.5 s or more: press, and again 0.5 s after that keystroke; the second must
    not be accepted. The time counts from the release, so it is refused with the least setting too.
    """
    button = one_button(repeat_guard_us=guard_us)
    button.hold(0, held_us)
    button.hold(500_000, 520_000)

    assert button.told == [(0, True), (held_us, False)]


# ---------------------------------------------------------------- contact bounce
# J. Ganssle, "A Guide to Debouncing" (2004, rev. 2008), 18 kinds of switch: mean about 1.6 ms,
# nearly all below 6.2 ms. The figures are from memory; that there are 18 kinds, from nanoseconds to
# hundreds of milliseconds, a second text confirms. The trains are made up to these lengths.

MEAN_BOUNCE_US = 1_600
LONG_BOUNCE_US = 6_200


def train(length_us: int, edges: int, seed: int) -> list[int]:
    """Times of the changes of one bouncing edge, an odd number, from 0 to its end."""
    if edges == 1:
        return [0]
    return [0, *sorted(random.Random(seed).sample(range(1, length_us), edges - 2)), length_us]


@pytest.mark.parametrize("length_us", [MEAN_BOUNCE_US, LONG_BOUNCE_US])
@pytest.mark.parametrize("edges", [1, 3, 9, 41])
@pytest.mark.parametrize("debounce_us", [7_000, 15_000, 50_000])
def test_ganssle_bounce_is_one_press(length_us: int, edges: int, debounce_us: int) -> None:
    """Both edges bounce; one press comes out, with no delay at either end. 15 ms is the default."""
    going_down = train(length_us, edges, seed=edges)
    going_up = [100_000 + us for us in train(length_us, edges, seed=edges + 1)]
    button = one_button(debounce_us=debounce_us)
    button.play([*going_down, *going_up], LATER_US)

    assert button.told == [(0, True), (100_000, False)]


def test_a_short_block_against_the_mean_bounce() -> None:
    """A train of 1.6 ms with a block of 5 ms gives exactly one press [calculated]."""
    button = one_button(debounce_us=5_000)
    button.play([*train(MEAN_BOUNCE_US, 21, seed=1), 200_000], LATER_US)

    assert button.told == [(0, True), (200_000, False)]


@given(
    st.integers(0, 2**32),
    st.integers(1, 30),
    st.integers(2_000, LONG_BOUNCE_US),
    st.integers(50_000, 1_000_000),
)
def test_any_train_within_the_block_is_one_press(
    seed: int, half: int, length_us: int, held_us: int
) -> None:
    """At the default 15 ms."""
    going_down = train(length_us, 2 * half + 1, seed)
    going_up = [held_us + us for us in train(length_us, 2 * half + 1, seed + 1)]
    button = one_button(debounce_us=15_000)
    button.play([*going_down, *going_up], LATER_US)

    assert button.told == [(0, True), (held_us, False)]


def test_a_tapping_finger_is_not_taken_for_bounce() -> None:
    """The fastest healthy finger taps about 6 times a second.

    Source: finger-tapping test, 10 s trials, about 50 to 60 taps (from memory; a computerised
    version's norms were read). At twice that speed each tap still counts.
    """
    button = one_button(debounce_us=15_000)
    taps = [tap * 83_000 + offset for tap in range(20) for offset in (0, 41_000)]
    button.play(taps, LATER_US)

    assert button.told == [(us, index % 2 == 0) for index, us in enumerate(taps)]
