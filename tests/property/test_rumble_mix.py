"""What effects amount to: laws over random play, and the kernel's own arithmetic as the model.

Source: Linux, drivers/input/ff-memless.c (ml_combine_effects, apply_envelope, ml_ff_playback,
ml_ff_upload), whose sums, gain and envelopes pads with plain motors have.
"""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from remapd.daemon.rumble_mix import SILENCE_US, STEP_US, STILL, RumbleMix, Strength
from remapd.kernel.effects import FULL, FULL_PERIODIC, Effect, Envelope

MS = 1000
LEVELS = st.integers(0, FULL)
TIMES_MS = st.integers(0, 400)
ENVELOPES = st.builds(
    Envelope,
    TIMES_MS.map(lambda ms: ms * MS),
    st.integers(0, FULL_PERIODIC),
    TIMES_MS.map(lambda ms: ms * MS),
    st.integers(0, FULL_PERIODIC),
)
EFFECTS = st.builds(
    Effect,
    st.integers(0, 3),
    LEVELS,
    LEVELS,
    TIMES_MS.map(lambda ms: ms * MS),
    TIMES_MS.map(lambda ms: ms * MS),
    ENVELOPES,
)
#: What happens, each so many ms after the one before.
ACTS = st.lists(
    st.tuples(
        st.integers(0, 300),
        st.one_of(
            EFFECTS,
            st.tuples(st.just("play"), st.integers(0, 3), st.integers(-1, 3)),
            st.tuples(st.just("erase"), st.integers(0, 3)),
            st.tuples(st.just("gain"), st.integers(0, FULL)),
        ),
    ),
    max_size=12,
)


def do(mix: RumbleMix, us: int, act: object) -> None:
    match act:
        case Effect():
            mix.upload(us, act)
        case ("play", int(number), int(times)):
            mix.play(us, number, times)
        case ("erase", int(number)):
            mix.erase(us, number)
        case ("gain", int(gain)):
            mix.set_gain(us, gain)


def played(acts: list[tuple[int, object]]) -> tuple[RumbleMix, int]:
    mix, us = RumbleMix(), 0
    for wait_ms, act in acts:
        us += wait_ms * MS
        do(mix, us, act)
    return mix, us


@given(ACTS)
def test_motors_never_turn_more_than_fully_and_never_backwards(
    acts: list[tuple[int, object]],
) -> None:
    mix, us = played(acts)
    for later_us in range(us, us + 1500 * MS, 37 * MS):
        strong, weak = mix.strength(later_us)
        assert 0 <= strong <= FULL
        assert 0 <= weak <= FULL


@given(ACTS)
def test_between_two_changes_that_are_told_nothing_changes_but_what_swells_and_fades(
    acts: list[tuple[int, object]],
) -> None:
    mix, us = played(acts)
    for _ in range(50):
        before = mix.strength(us)
        next_us = mix.next_change_us(us)
        if next_us is None:
            assert mix.strength(us + 10_000 * MS) == before
            break
        assert next_us > us
        if next_us - us > STEP_US:  # nothing swells or fades now
            assert mix.strength((us + next_us) // 2) == before
            assert mix.strength(next_us - 1) == before
        us = next_us


@given(ACTS)
def test_looking_changes_nothing(acts: list[tuple[int, object]]) -> None:
    """The same play, looked at often and never: the same strength at the end."""
    often, seldom, us = RumbleMix(), RumbleMix(), 0
    for wait_ms, act in acts:
        for _ in range(3):
            us += wait_ms * MS // 3
            often.strength(us)
        do(often, us, act)
        do(seldom, us, act)
    assert often.strength(us + 50 * MS) == seldom.strength(us + 50 * MS)


@given(ACTS)
def test_all_ends_by_itself_unless_it_is_for_ever(acts: list[tuple[int, object]]) -> None:
    endless = [act for _, act in acts if isinstance(act, Effect) and not act.length_us]
    mix, us = played(acts)
    if not endless:
        assert mix.strength(us + 3 * 800 * MS) == STILL
        assert mix.next_change_us(us + 3 * 800 * MS) is None
    assert mix.strength(us + SILENCE_US) == STILL  # the game has said nothing for so long
    assert mix.next_change_us(us + SILENCE_US) is None
    mix.stop()
    assert mix.strength(us) == STILL
    assert mix.next_change_us(us) is None


@given(st.lists(st.tuples(LEVELS, LEVELS), max_size=5), LEVELS)
def test_effects_sum_as_the_kernel_sums_them(levels: list[tuple[int, int]], gain: int) -> None:
    mix = RumbleMix()
    mix.set_gain(0, gain)
    strong_sum = weak_sum = 0
    for number, (strong, weak) in enumerate(levels):
        mix.upload(0, Effect(number, strong, weak))
        mix.play(0, number, 1)
        strong_sum = min(strong * gain // 0xFFFF + strong_sum, 0xFFFF)
        weak_sum = min(weak * gain // 0xFFFF + weak_sum, 0xFFFF)
    assert mix.strength(0) == (strong_sum, weak_sum)


@given(st.integers(0, FULL_PERIODIC), ENVELOPES, st.integers(1, 1000), st.integers(0, 1000))
def test_an_effect_swells_and_fades_as_the_kernel_does_it(
    magnitude: int, envelope: Envelope, length_ms: int, at_ms: int
) -> None:
    """apply_envelope, then the scale from 0x7fff to 0xffff; to one part in a thousand."""
    full = magnitude * FULL // FULL_PERIODIC
    mix = RumbleMix()
    mix.upload(0, Effect(0, full, full, length_ms * MS, envelope=envelope))
    mix.play(0, 0, 1)
    attack_ms, fade_ms = envelope.attack_us // MS, envelope.fade_us // MS
    left_ms = length_ms - at_ms
    level = magnitude
    if left_ms <= 0:
        level = 0
    elif at_ms < attack_ms:
        difference = (magnitude - envelope.attack_level) * at_ms / attack_ms
        level = round(envelope.attack_level + difference)
    elif fade_ms and left_ms < fade_ms:
        difference = (magnitude - envelope.fade_level) * left_ms / fade_ms
        level = round(envelope.fade_level + difference)
    assert abs(mix.strength(at_ms * MS).strong - level * FULL / FULL_PERIODIC) <= FULL / 1000


def test_an_effect_waits_is_repeated_and_ends() -> None:
    mix = RumbleMix()
    mix.upload(0, Effect(7, 100, 50, length_us=30 * MS, delay_us=10 * MS))
    mix.play(1000 * MS, 7, 2)
    seen = [(ms, *mix.strength((1000 + ms) * MS)) for ms in (0, 9, 10, 39, 40, 49, 50, 79, 80)]
    on, off = (100, 50), (0, 0)
    assert seen == [
        (0, *off), (9, *off), (10, *on), (39, *on), (40, *off), (49, *off), (50, *on), (79, *on),
        (80, *off),
    ]  # fmt: skip


def test_another_effect_in_the_place_of_one_that_is_played_begins_anew() -> None:
    mix = RumbleMix()
    mix.upload(0, Effect(0, 100, 0, length_us=100 * MS))
    mix.play(0, 0, 1)
    mix.upload(90 * MS, Effect(0, 60, 0, length_us=100 * MS))
    assert mix.strength(150 * MS) == (60, 0)
    assert mix.strength(190 * MS) == STILL


def test_an_effect_that_is_not_there_is_not_played() -> None:
    mix = RumbleMix()
    mix.play(0, 3, 1)
    mix.upload(0, Effect(3, 100, 100))
    assert mix.strength(0) == STILL
    mix.play(0, 3, 1)
    mix.erase(0, 3)
    assert mix.strength(0) == STILL


def test_shares_and_sums_of_strength() -> None:
    assert Strength(FULL, 1000).scaled(0.4) == (round(FULL * 0.4), 400)
    assert Strength(FULL, 1) + Strength(1, 2) == (FULL, 3)


def test_what_a_game_leaves_on_ends_when_it_says_nothing_for_long_as_a_stop_may_be_lost() -> None:
    """The kernel keeps 15 words of games, and loses all where 16 come before we look."""
    mix = RumbleMix()
    mix.upload(0, Effect(0, 100, 100))
    mix.play(0, 0, 1)
    assert mix.strength(SILENCE_US - 1) == (100, 100)
    assert mix.next_change_us(MS) == SILENCE_US  # so that somebody looks then
    assert mix.strength(SILENCE_US) == STILL

    mix.play(0, 0, 1)
    mix.set_gain(SILENCE_US // 2, FULL)  # it lives, and wants it still
    assert mix.strength(SILENCE_US) == (100, 100)

    mix.set_gain(3 * SILENCE_US, FULL)  # what was over does not begin again by that
    assert mix.strength(3 * SILENCE_US) == STILL
    mix.play(3 * SILENCE_US, 0, 1)
    assert mix.strength(3 * SILENCE_US) == (100, 100)


def test_no_effect_that_has_an_end_is_cut_short() -> None:
    """ff-core's longest, 0x7FFF ms (linux/input.h, struct ff_replay)."""
    mix = RumbleMix()
    mix.upload(0, Effect(0, 100, 100, 0x7FFF * MS))
    mix.play(0, 0, 1)
    assert mix.strength(0x7FFF * MS - 1) == (100, 100)
