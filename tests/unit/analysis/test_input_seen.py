"""Frames of a device as sentences for a person who watches."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from remapd.analysis.input_seen import InputSeen
from remapd.codes import EV_ABS, EV_KEY, EV_REL, KEYS
from remapd.engine.source import AxisRange

FIRE = KEYS["BTN_TRIGGER"]
X = 0
RANGES = {X: AxisRange(0, 200)}


def test_a_press_and_its_release_are_told_with_their_length() -> None:
    seen = InputSeen({})

    assert seen.feed(1_000_000, [(EV_KEY, FIRE, 1)]) == ["BTN_TRIGGER pressed"]
    assert list(seen.held) == [FIRE]
    assert seen.feed(1_120_500, [(EV_KEY, FIRE, 0)]) == ["BTN_TRIGGER released after 0.120 s"]
    assert seen.held == {}
    assert seen.pressed == [FIRE]


def test_what_was_held_from_the_start_is_released_without_a_length() -> None:
    seen = InputSeen({}, held=[FIRE])

    assert seen.feed(5, [(EV_KEY, FIRE, 0)]) == ["BTN_TRIGGER released"]
    assert seen.feed(6, [(EV_KEY, FIRE, 0)]) == []


def test_a_stick_is_told_when_it_has_moved_far_and_where_it_rests() -> None:
    seen = InputSeen(RANGES, values={X: 100})

    assert seen.feed(9_000_000, [(EV_ABS, X, 110)]) == []  # 5 % of the range
    assert seen.feed(9_010_000, [(EV_ABS, X, 150)]) == ["ABS_X at 150 of 0 to 200 (75 %)"]
    assert seen.feed(9_020_000, [(EV_ABS, X, 200)]) == []  # too soon after the last
    assert seen.due_us == 9_420_000
    assert seen.advance(9_419_999) == []
    assert seen.advance(9_420_000) == ["ABS_X at 200 of 0 to 200 (100 %), and rests there"]
    assert seen.due_us is None
    assert seen.moved == [(EV_ABS, X)]


def test_trembling_at_rest_is_not_told() -> None:
    seen = InputSeen(RANGES, values={X: 100})

    assert seen.feed(0, [(EV_ABS, X, 102)]) == []
    assert seen.advance(10_000_000) == []
    assert seen.due_us is None


def test_a_ball_is_told_in_sums() -> None:
    seen = InputSeen({})

    assert seen.feed(0, [(EV_REL, 0, 3), (EV_REL, 1, -2)]) == []
    assert seen.feed(100_000, [(EV_REL, 0, 4)]) == []
    assert seen.due_us == 250_000
    assert seen.advance(250_000) == ["REL_X 7 counts to the right", "REL_Y 2 counts up"]
    assert seen.due_us is None


frames = st.lists(
    st.tuples(
        st.integers(0, 600_000),
        st.lists(
            st.one_of(
                st.tuples(st.just(EV_KEY), st.sampled_from([FIRE, FIRE + 1]), st.integers(0, 1)),
                st.tuples(st.just(EV_ABS), st.just(X), st.integers(0, 200)),
                st.tuples(st.just(EV_REL), st.sampled_from([0, 1, 8]), st.integers(-9, 9)),
            ),
            max_size=4,
        ),
    ),
    max_size=20,
)


@given(frames)
def test_after_all_that_is_due_nothing_waits(
    steps: list[tuple[int, list[tuple[int, int, int]]]],
) -> None:
    seen = InputSeen(RANGES, values={X: 0})
    us = 0
    for later, events in steps:
        us += later
        seen.feed(us, events)
    due = [seen.due_us]
    while due[-1] is not None:
        seen.advance(due[-1])
        due.append(seen.due_us)

    known = [us for us in due if us is not None]
    assert known == sorted(set(known))
