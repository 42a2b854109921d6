"""No press too short to see: what a game is shown of presses that come and go quickly.

Times are microseconds; `shortest-press` is 34 ms here, the language's default.
"""

import pytest

from remapd.engine.pad_controls import (
    DPAD_DOWN,
    DPAD_LEFT,
    DPAD_RIGHT,
    DPAD_UP,
    EAST,
    LEFT_TRIGGER,
    RIGHT_TRIGGER,
    SOUTH,
    TARGET_NAMES,
)
from tests.support.pad_play import PadPlay

SHORTEST_US = 34_000

DOWN = (SOUTH, True)
UP = (SOUTH, False)


@pytest.fixture
def play() -> PadPlay:
    return PadPlay(SHORTEST_US)


def shown(play: PadPlay, name: str = "south") -> list[tuple[int, int]]:
    play.until(10_000_000)
    assert play.timers.next_due_us is None
    return play.game.of(name)


def test_a_clean_press_is_not_touched(play: PadPlay) -> None:
    play.at(0, DOWN)
    play.at(34_000, UP)
    play.at(68_000, DOWN)
    play.at(200_000, UP)

    assert shown(play) == [(0, 1), (34_000, 0), (68_000, 1), (200_000, 0)]


def test_the_first_press_ever_has_no_wait(play: PadPlay) -> None:
    play.at(1, DOWN)

    assert play.game.of("south") == [(1, 1)]


def test_a_short_press_is_shown_for_the_shortest_time(play: PadPlay) -> None:
    play.at(0, DOWN)
    play.at(10_000, UP)

    assert shown(play) == [(0, 1), (34_000, 0)]


def test_a_press_after_a_short_gap_waits_for_the_gap_s_end(play: PadPlay) -> None:
    play.at(0, DOWN)
    play.at(50_000, UP)
    play.at(60_000, DOWN)
    play.at(200_000, UP)

    assert shown(play) == [(0, 1), (50_000, 0), (84_000, 1), (200_000, 0)]


def test_a_press_that_came_and_went_in_the_wait_is_shown_after_it(play: PadPlay) -> None:
    play.at(0, DOWN)
    play.at(50_000, UP)
    play.at(60_000, DOWN)
    play.at(70_000, UP)

    assert shown(play) == [(0, 1), (50_000, 0), (84_000, 1), (118_000, 0)]


def test_presses_that_came_and_went_in_one_wait_are_shown_as_one(play: PadPlay) -> None:
    play.at(0, DOWN)
    play.at(50_000, UP)
    play.at(60_000, DOWN, UP)
    play.at(70_000, DOWN, UP)

    assert shown(play) == [(0, 1), (50_000, 0), (84_000, 1), (118_000, 0)]


def test_a_gap_that_came_and_went_is_not_shown(play: PadPlay) -> None:
    play.at(0, DOWN)
    play.at(10_000, UP)
    play.at(20_000, DOWN)
    play.at(200_000, UP)

    assert shown(play) == [(0, 1), (200_000, 0)]


def test_a_gap_that_came_and_went_leaves_no_timer(play: PadPlay) -> None:
    play.at(0, DOWN)
    play.at(10_000, UP)
    play.at(20_000, DOWN)

    assert play.timers.next_due_us is None


def test_a_press_within_one_frame_is_shown(play: PadPlay) -> None:
    play.at(5_000, DOWN, UP)

    assert shown(play) == [(5_000, 1), (39_000, 0)]


def test_a_gap_within_one_frame_is_not_shown(play: PadPlay) -> None:
    play.at(0, DOWN)
    nothing = play.at(100_000, UP, DOWN)

    assert nothing is None
    assert shown(play) == [(0, 1)]


def test_a_press_at_the_very_end_of_a_release_s_wait_comes_after_the_gap(play: PadPlay) -> None:
    """The wait is over before anything else of that microsecond: two presses are shown as two."""
    play.at(0, DOWN)
    play.at(10_000, UP)
    play.at(34_000, DOWN)
    play.at(40_000, UP)

    assert shown(play) == [(0, 1), (34_000, 0), (68_000, 1), (102_000, 0)]


@pytest.mark.parametrize("timer_first", [True, False])
def test_a_wait_is_over_whichever_timer_of_its_microsecond_fires_first(timer_first: bool) -> None:
    play = PadPlay(SHORTEST_US)
    play.at(0, DOWN)
    play.at(10_000, UP)
    if timer_first:
        play.until(34_000)
    play.pad.want_button(*DOWN)
    play.frame(34_000)

    assert shown(play) == [(0, 1), (34_000, 0), (68_000, 1)]


def test_a_change_whose_wait_is_over_is_in_any_frame_of_that_time(play: PadPlay) -> None:
    """A frame made for another cause at the same time, before the wait's own timer has fired."""
    play.at(0, DOWN)
    play.at(10_000, UP)
    play.pad.want_button(EAST, True)
    frame = play.frame(34_000)

    assert frame is not None
    assert play.game.of("south")[-1] == (34_000, 0)
    assert play.game.of("east") == [(34_000, 1)]
    play.until(34_000)
    assert len(play.frames) == 2


def test_undelayed_shows_a_release_that_waits(play: PadPlay) -> None:
    play.at(0, DOWN)
    play.at(5_000, UP)
    play.at(10_000, undelayed=True)

    assert shown(play) == [(0, 1), (10_000, 0)]


def test_undelayed_drops_a_press_that_came_and_went(play: PadPlay) -> None:
    play.at(0, DOWN)
    play.at(50_000, UP)
    play.at(60_000, DOWN, UP)
    play.at(65_000, undelayed=True)

    assert shown(play) == [(0, 1), (50_000, 0)]


def test_undelayed_drops_a_press_that_came_and_went_in_its_own_frame(play: PadPlay) -> None:
    play.at(5_000, DOWN, UP, undelayed=True)

    assert shown(play) == []


def test_undelayed_lets_a_wanted_press_wait_for_its_gap(play: PadPlay) -> None:
    play.at(0, DOWN)
    play.at(50_000, UP)
    play.at(60_000, DOWN)
    play.at(65_000, undelayed=True)

    assert shown(play) == [(0, 1), (50_000, 0), (84_000, 1)]


def test_after_an_undelayed_release_the_gap_lasts_as_ever(play: PadPlay) -> None:
    play.at(0, DOWN)
    play.at(5_000, UP, undelayed=True)
    play.at(6_000, DOWN)

    assert shown(play) == [(0, 1), (5_000, 0), (39_000, 1)]


def test_waits_survive_cleared_timers_where_an_undelayed_frame_follows(play: PadPlay) -> None:
    play.at(0, DOWN)
    play.at(50_000, UP)
    play.at(60_000, DOWN)
    play.timers.clear()
    play.frame(65_000, undelayed=True)

    assert shown(play) == [(0, 1), (50_000, 0), (84_000, 1)]


def test_a_new_shortest_press_counts_for_a_running_wait(play: PadPlay) -> None:
    play.at(0, DOWN)
    play.at(10_000, UP)
    play.pad.shortest_press_us = 50_000
    play.frame(15_000)
    play.until(34_000)

    assert shown(play) == [(0, 1), (50_000, 0)]


def test_a_new_shorter_shortest_press_ends_a_wait_that_is_over_by_it(play: PadPlay) -> None:
    play.at(0, DOWN, (EAST, True))
    play.at(10_000, UP)
    play.at(15_000, (EAST, False))
    play.pad.shortest_press_us = 20_000
    play.frame(16_000)
    play.until(20_000)

    assert shown(play) == [(0, 1), (20_000, 0)]
    assert shown(play, "east") == [(0, 1), (20_000, 0)]


def test_shortest_press_of_nothing_shows_a_press_of_no_length() -> None:
    play = PadPlay(0)
    play.at(5_000, DOWN, UP)

    assert play.timers.next_due_us == 5_000
    assert shown(play) == [(5_000, 1), (5_000, 0)]


class TestTriggers:
    @pytest.fixture
    def play(self) -> PadPlay:
        return PadPlay(SHORTEST_US)

    def lever(self, play: PadPlay, us: int, value: int) -> None:
        play.until(us)
        play.pad.want_lever(LEFT_TRIGGER, value)
        play.frame(us)

    def test_a_lever_is_never_delayed(self, play: PadPlay) -> None:
        for us, value in [(0, 10), (1_000, 255), (2_000, 0), (3_000, 200), (4_000, 0)]:
            self.lever(play, us, value)

        assert play.game.of("left-trigger") == [
            (0, 10),
            (1_000, 255),
            (2_000, 0),
            (3_000, 200),
            (4_000, 0),
        ]

    def test_a_button_s_press_stays_full_for_the_shortest_time(self, play: PadPlay) -> None:
        play.at(0, (RIGHT_TRIGGER, True))
        play.at(10_000, (RIGHT_TRIGGER, False))

        assert shown(play, "right-trigger") == [(0, 255), (34_000, 0)]

    def test_the_lever_is_shown_where_the_button_is_not(self, play: PadPlay) -> None:
        self.lever(play, 0, 100)
        play.at(10_000, (LEFT_TRIGGER, True))
        self.lever(play, 15_000, 120)
        play.at(20_000, (LEFT_TRIGGER, False))
        self.lever(play, 60_000, 130)

        assert shown(play, "left-trigger") == [
            (0, 100),
            (10_000, 255),
            (44_000, 120),
            (60_000, 130),
        ]

    def test_a_lever_goes_on_in_the_gap_of_a_button(self, play: PadPlay) -> None:
        play.at(0, (LEFT_TRIGGER, True))
        play.at(50_000, (LEFT_TRIGGER, False))
        play.at(55_000, (LEFT_TRIGGER, True))
        self.lever(play, 60_000, 90)

        assert shown(play, "left-trigger") == [
            (0, 255),
            (50_000, 0),
            (60_000, 90),
            (84_000, 255),
        ]

    def test_values_out_of_range_are_clamped(self, play: PadPlay) -> None:
        self.lever(play, 0, 300)
        self.lever(play, 1, -4)

        assert play.game.of("left-trigger") == [(0, 255), (1, 0)]


@pytest.mark.parametrize(
    ("one", "other", "code", "far"),
    [
        (DPAD_UP, DPAD_DOWN, 0x11, 1),
        (DPAD_DOWN, DPAD_UP, 0x11, -1),
        (DPAD_LEFT, DPAD_RIGHT, 0x10, 1),
        (DPAD_RIGHT, DPAD_LEFT, 0x10, -1),
    ],
)
class TestHat:
    """`far` is the other direction's value."""

    @pytest.fixture
    def play(self) -> PadPlay:
        return PadPlay(SHORTEST_US)

    def shown(self, play: PadPlay, target: int) -> list[tuple[int, int]]:
        return shown(play, TARGET_NAMES[target])

    def test_the_opposite_waits_for_the_release_and_both_are_one_event(
        self, play: PadPlay, one: int, other: int, code: int, far: int
    ) -> None:
        play.at(0, (one, True))
        play.at(10_000, (one, False), (other, True))
        play.until(100_000)

        assert [frame.us for frame in play.frames] == [0, 34_000]
        assert play.frames[1].events == [3, code, far, 0, 0, 0]

    def test_opposites_change_at_once_where_nothing_waits(
        self, play: PadPlay, one: int, other: int, code: int, far: int
    ) -> None:
        play.at(0, (one, True))
        frame = play.at(40_000, (one, False), (other, True))

        assert frame is not None
        assert frame.events == [3, code, far, 0, 0, 0]

    def test_each_direction_keeps_its_own_gap(
        self, play: PadPlay, one: int, other: int, code: int, far: int
    ) -> None:
        play.at(0, (one, True))
        play.at(40_000, (one, False))
        play.at(45_000, (other, True))
        play.at(80_000, (other, False))
        play.at(85_000, (one, True))

        assert self.shown(play, one) == [(0, 1), (40_000, 0), (85_000, 1)]
        assert self.shown(play, other) == [(45_000, 1), (80_000, 0)]

    def test_an_opposite_that_came_and_went_is_shown_after_the_release(
        self, play: PadPlay, one: int, other: int, code: int, far: int
    ) -> None:
        play.at(0, (one, True))
        play.at(10_000, (one, False), (other, True))
        play.at(20_000, (other, False))

        assert self.shown(play, one) == [(0, 1), (34_000, 0)]
        assert self.shown(play, other) == [(34_000, 1), (68_000, 0)]

    def test_of_two_that_came_and_went_the_first_is_shown_first(
        self, play: PadPlay, one: int, other: int, code: int, far: int
    ) -> None:
        once = [(one, True), (one, False), (other, True), (other, False)]
        play.at(0, *once, *once)

        assert self.shown(play, one) == [(0, 1), (34_000, 0)]
        assert self.shown(play, other) == [(34_000, 1), (68_000, 0)]

    def test_an_opposite_that_came_and_went_is_dropped_where_the_first_is_held_again(
        self, play: PadPlay, one: int, other: int, code: int, far: int
    ) -> None:
        """It would else appear seconds later, when the hand lets go."""
        play.at(0, (one, True))
        play.at(5_000, (one, False))
        play.at(10_000, (other, True))
        play.at(15_000, (other, False))
        play.at(20_000, (one, True))
        play.at(2_000_000, (one, False))

        assert self.shown(play, one) == [(0, 1), (2_000_000, 0)]
        assert self.shown(play, other) == []

    def test_the_same_within_one_frame(
        self, play: PadPlay, one: int, other: int, code: int, far: int
    ) -> None:
        play.at(0, (one, True), (one, False), (other, True), (other, False), (one, True))
        play.at(2_000_000, (one, False))

        assert self.shown(play, one) == [(0, 1), (2_000_000, 0)]
        assert self.shown(play, other) == []

    def test_undelayed_lets_the_opposite_in_at_once(
        self, play: PadPlay, one: int, other: int, code: int, far: int
    ) -> None:
        play.at(0, (one, True))
        play.at(10_000, (one, False), (other, True))
        frame = play.at(15_000, undelayed=True)

        assert frame is not None
        assert frame.events == [3, code, far, 0, 0, 0]

    def test_both_wanted_shows_the_first_and_then_the_other(
        self, play: PadPlay, one: int, other: int, code: int, far: int
    ) -> None:
        """Merging never asks for this; the hat stays in range all the same."""
        play.at(0, (one, True), (other, True))
        play.at(500_000, (one, False))

        assert self.shown(play, one) == [(0, 1), (500_000, 0)]
        assert self.shown(play, other) == [(500_000, 1)]


def test_order_of_a_frame(play: PadPlay) -> None:
    """Releases in pad order, presses in pad order, axes; the hats stand among the buttons."""
    first = [12, 8, 6, 3, 0, DPAD_RIGHT, DPAD_UP]
    then = [DPAD_LEFT, 11, 7, 4, 2]
    play.at(0, *((target, True) for target in first))
    for target in first:
        play.pad.want_button(target, False)
    for target in then:
        play.pad.want_button(target, True)
    play.pad.want_stick(1, 1.0, -1.0)
    play.pad.want_stick(0, -1.0, 1.0)
    frame = play.frame(100_000)

    assert frame is not None
    key, axis = 1, 3
    assert frame.events == [
        *(key, 0x130, 0),  # south
        *(key, 0x134, 0),  # north
        *(key, 0x13A, 0),  # select
        *(key, 0x13E, 0),  # right-stick-press
        *(axis, 0x11, 0),  # dpad-up
        *(key, 0x133, 1),  # west
        *(key, 0x136, 1),  # left-shoulder
        *(key, 0x13D, 1),  # left-stick-press
        *(axis, 0x10, -1),  # dpad-right to dpad-left
        *(axis, 0x00, -32767),
        *(axis, 0x01, 32767),
        *(axis, 0x03, 32767),
        *(axis, 0x04, -32767),
        *(axis, 0x02, 0),  # left-trigger
        *(axis, 0x05, 255),  # right-trigger
        *(0, 0, 0),
    ]


def test_only_what_changed_is_sent(play: PadPlay) -> None:
    play.pad.want_stick(0, 0.5, 0.25)
    play.frame(0)
    play.pad.want_stick(0, 0.5, 0.5)
    frame = play.frame(1_000)

    assert frame is not None
    assert frame.events == [3, 1, 16384, 0, 0, 0]
    play.pad.want_stick(0, 0.5, 0.5)
    assert play.frame(2_000) is None
