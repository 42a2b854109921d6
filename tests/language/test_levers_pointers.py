"""The layout language, section 3, levers and pointers."""

from __future__ import annotations

import pytest

from tests.language.board import board, frames
from tests.support.bench import Bench

BARE = "shortest-press: 0ms"


def pedal(settings: str, action: str = "right-trigger") -> Bench:
    """One lever with these settings."""
    return Bench(board(f"play: {{pedal: {action}}}", pedal=settings))


# ------------------------------------------------------------------ levers


def test_lever_to_a_trigger() -> None:
    """Section 3, lever: 0 to 1; section 2: a trigger is 0 to 255."""
    bench = Bench(board("play: {pedal: right-trigger}"))
    bench.move("pedal", 1, at=10)
    bench.move("pedal", 0, at=20)

    assert frames(bench, 100) == ["10: right-trigger 255", "20: right-trigger 0"]


@pytest.mark.parametrize(("share", "out"), [(0.05, 0), (0.1, 0), (0.28, 51), (0.46, 102), (1, 255)])
def test_lever_has_a_dead_zone_of_10_percent(share: float, out: int) -> None:
    """Section 3, levers: "dead-zone (10%)"; (0.28 - 0.1) / 0.9 is a fifth of 255."""
    bench = Bench(board("play: {pedal: left-trigger}"))
    bench.move("pedal", share, at=10)

    assert bench.trigger("left-trigger") == out


@pytest.mark.parametrize(
    ("settings", "share", "out"),
    [
        ("dead-zone: 0%", 0.2, 51),
        ("dead-zone: 0%, reach: 50%", 0.1, 51),
        ("dead-zone: 0%, reach: 50%", 0.5, 255),
        ("dead-zone: 0%, reach: 50%", 0.9, 255),
        ("dead-zone: 0%, curve: 2", 0.2, 10),
        ("dead-zone: 20%, curve: 1", 0.6, 128),
        ("dead-zone: 20%, reach: 50%", 0.26, 102),
    ],
)
def test_lever_takes_reach_clamp_dead_zone_and_curve(settings: str, share: float, out: int) -> None:
    """Section 3, levers: "then reach (one share), steady, clamp, dead-zone (10%), curve"."""
    bench = pedal(settings)
    bench.move("pedal", share, at=10)

    assert bench.trigger("right-trigger") == pytest.approx(out, abs=0.5)


def test_lever_that_rests_high() -> None:
    """Section 3, levers: "`rests-at` sets zero"."""
    bench = pedal("rests-at: high")
    at_rest = bench.trigger("right-trigger")
    bench.move("pedal", 1, at=10)  # all the way from its rest
    bench.move("pedal", 0, at=20)

    assert at_rest == 0
    assert frames(bench, 100) == ["10: right-trigger 255", "20: right-trigger 0"]


def test_lever_in_the_middle_gives_its_upper_half_to_a_trigger() -> None:
    """Section 4: "A whole lever takes a trigger (`middle` gives its upper half)"."""
    bench = Bench(board("play: {breath: right-trigger}"))
    bench.move("breath", -1, at=10)
    bench.move("breath", 1, at=20)
    bench.move("breath", 0, at=30)

    assert frames(bench, 100) == ["20: right-trigger 255", "30: right-trigger 0"]


def test_ends_of_a_lever_are_buttons_with_their_own_names() -> None:
    """Section 3: "`ends: [sip, puff]` names its ends"; the first is the low one."""
    bench = Bench(board("play: {breath.sip: south, breath.puff: east}"))
    bench.move("breath", -1, at=10)
    bench.move("breath", 1, at=100)
    bench.move("breath", 0, at=200)

    assert frames(bench, 1000) == [
        "10: press south",
        "100: release south, press east",
        "200: release east",
    ]


def test_ends_are_low_and_high_unless_said() -> None:
    """Section 3: "`low` and `high` unless said"."""
    bench = Bench(board("play: {pedal.high: south}"))
    bench.move("pedal", 1, at=10)
    bench.move("pedal", 0, at=100)

    assert frames(bench, 1000) == ["10: press south", "100: release south"]


def test_lever_end_has_the_hysteresis_of_directions() -> None:
    """Section 3: press-at 50%, release-at 40%, after the dead zone."""
    bench = Bench(board("play: {pedal.high: south}", top=BARE, pedal="dead-zone: 0%"))
    for at, share in enumerate([0.499, 0.5, 0.4, 0.399]):
        bench.move("pedal", share, at=10 * at)

    assert frames(bench, 100) == ["10: press south", "30: release south"]


def test_whole_lever_with_another_action_is_pressed_away_from_rest() -> None:
    """Section 4: "or any action, pressed by its direction away from rest"."""
    low = Bench(board("play: {pedal: south}"))
    high = pedal("rests-at: high", "south")
    for bench in (low, high):
        bench.move("pedal", 1, at=10)
        bench.move("pedal", 0, at=100)

        assert frames(bench, 1000) == ["10: press south", "100: release south"]


def test_lever_takes_button_settings() -> None:
    """Section 3: the settings of buttons may be given to a lever too."""
    bench = Bench(
        board("play: {breath.puff: south}", breath="acceptance-delay: 100ms, release-delay: 50ms")
    )
    bench.move("breath", 1, at=0)
    bench.move("breath", 0, at=80)
    bench.move("breath", 1, at=120)  # bridged: the press counts now, its 100 ms being over
    bench.move("breath", 0, at=300)

    assert frames(bench, 1000) == ["120: press south", "350: release south"]


def test_steady_lever_settles() -> None:
    """Section 3, levers: steady, with ticks of 8 ms as a stick's."""
    bench = pedal("steady: light")
    bench.move("pedal", 1, at=1000)
    bench.until(9000)
    values = [change.value for change in bench.changes]

    assert bench.trigger("right-trigger") == 255
    assert len(values) > 10
    assert values == sorted(values)  # type: ignore[type-var]
    assert all(change.us % 8000 == 0 for change in bench.changes)
    assert bench.engine.next_deadline_us is None


def test_levers_value_is_never_delayed() -> None:
    """Section 7: "what a lever gives is never delayed"."""
    bench = Bench(board("play: {pedal: right-trigger}"))
    for at in (10, 12, 14):
        bench.move("pedal", 1, at=at)
        bench.move("pedal", 0, at=at + 1)

    assert frames(bench, 100) == [
        "10: right-trigger 255",
        "11: right-trigger 0",
        "12: right-trigger 255",
        "13: right-trigger 0",
        "14: right-trigger 255",
        "15: right-trigger 0",
    ]


def test_trigger_with_lever_and_button_shows_the_larger() -> None:
    """Section 6: one person's triggers are joined "by the larger"; section 12, 9."""
    bench = Bench(board("play: {pedal: right-trigger, knee: right-trigger}", pedal="dead-zone: 0%"))
    bench.move("pedal", 0.4, at=10)
    bench.press("knee", at=20)
    bench.move("pedal", 0.6, at=50)
    bench.release("knee", at=100)
    bench.move("pedal", 0, at=200)

    assert frames(bench, 1000) == [
        "10: right-trigger 102",
        "20: right-trigger 255",
        "100: right-trigger 153",
        "200: right-trigger 0",
    ]


def test_trigger_from_a_short_button_press_stays_over_a_lever() -> None:
    """Section 12, 9: "stays at 255 for `shortest-press`; a lever's value is shown where larger"."""
    bench = Bench(board("play: {pedal: right-trigger, knee: right-trigger}", pedal="dead-zone: 0%"))
    bench.press("knee", at=0)
    bench.move("pedal", 0.4, at=5)
    bench.release("knee", at=16)
    bench.move("pedal", 0.2, at=20)

    assert frames(bench, 1000) == ["0: right-trigger 255", "34: right-trigger 51"]


# ------------------------------------------------------------------ pointers


def test_counts_are_a_share_of_full_speed_for_the_window() -> None:
    """Section 3, pointer: 24 counts in 60 ms are half of 800 counts/s."""
    bench = Bench(board("play: {ball: left-stick}"))
    bench.count("ball", 24, 0, at=10)

    assert frames(bench, 1000) == ["10: left-stick 16384 0", "70: left-stick 0 0"]


def test_each_count_leaves_when_it_is_window_old() -> None:
    """Section 3, pointer: "each count leaves when it is `window` old, with a frame then"."""
    bench = Bench(board("play: {ball: left-stick}"))
    bench.count("ball", 24, 0, at=0)
    bench.count("ball", 0, -24, at=30)
    bench.count("ball", -24, 0, at=40)

    assert frames(bench, 1000) == [
        "0: left-stick 16384 0",
        "30: left-stick 16384 -16384",
        "40: left-stick 0 -16384",
        "60: left-stick -16384 -16384",
        "90: left-stick -16384 0",
        "100: left-stick 0 0",
    ]


def test_count_leaves_before_another_that_comes_at_that_time() -> None:
    """Section 3 and 7: what is due at a frame's time comes before it, as a frame of its own."""
    bench = Bench(board("play: {ball: left-stick}"))
    bench.count("ball", 24, 0, at=0)
    bench.count("ball", 24, 0, at=60)

    assert frames(bench, 1000) == [
        "0: left-stick 16384 0",
        "60: left-stick 0 0",
        "60: left-stick 16384 0",
        "120: left-stick 0 0",
    ]


def test_pointer_beyond_full_speed_is_full() -> None:
    """Section 3, pointers: step 5 clamps."""
    bench = Bench(board("play: {ball: right-stick}"))
    bench.count("ball", 0, -500, at=0)
    bench.count("ball", 0, 453, at=10)  # 47 counts of 48 upward are left

    assert bench.stick("right-stick") == (0, -round(47 / 48 * 32767))
    assert frames(bench, 1000)[0] == "0: right-stick 0 -32767"


def test_pointer_has_no_dead_zone_unless_given() -> None:
    """Section 3, pointers: "with no dead zone unless given"."""
    bare = Bench(board("play: {ball: left-stick}"))
    bare.count("ball", 1, 0, at=0)
    given = Bench(board("play: {ball: left-stick}", ball="dead-zone: 50%"))
    given.count("ball", 24, 0, at=0)
    given.count("ball", 12, 0, at=10)

    assert frames(bare, 1000) == ["0: left-stick 683 0", "60: left-stick 0 0"]
    assert frames(given, 1000) == ["10: left-stick 16384 0", "60: left-stick 0 0"]


def test_own_window_and_full_speed() -> None:
    """Section 3, pointer: `full-speed` and `window` are settings."""
    text = """
remapd: 1
title: A quick ball
devices:
  bowl:
    find: {name: "Bowl"}
    controls:
      ball: {pointer: [REL_X, REL_Y], full-speed: 100/s, window: 200ms}
layers:
  play: {ball: left-stick}
"""
    bench = Bench(text)
    bench.count("ball", 10, 0, at=0)

    assert frames(bench, 1000) == ["0: left-stick 16384 0", "200: left-stick 0 0"]


@pytest.mark.parametrize(
    ("settings", "dx", "dy", "out"),
    [
        ("turn: 90deg", 0, -48, "32767 0"),
        ("reach: 50%", 24, 0, "32767 0"),
        ("flip: [x]", 48, 0, "-32767 0"),
        ("curve: 2", 24, 0, "8192 0"),
    ],
)
def test_pointer_takes_the_steps_of_sticks(settings: str, dx: int, dy: int, out: str) -> None:
    """Section 3: "Pointers: steps 2 to 7"."""
    bench = Bench(board("play: {ball: left-stick}", ball=settings))
    bench.count("ball", dx, dy, at=0)

    assert frames(bench, 1000) == [f"0: left-stick {out}", "60: left-stick 0 0"]


def test_pointer_direction_presses_and_releases_with_its_window() -> None:
    """Section 3: a pointer by direction; half of full speed presses, below 40% releases."""
    bench = Bench(board("play: {ball.up: south}"))
    bench.count("ball", 0, -23, at=0)
    bench.count("ball", 0, -1, at=10)
    bench.count("ball", 0, -20, at=50)

    # At 60 the 23 leave: 21 of 48 are 43.75%, which still hold; at 70 one more: 41.7%.
    assert frames(bench, 1000) == ["10: press south", "110: release south"]


def test_steady_pointer_settles_to_rest() -> None:
    """Section 3, pointers: step 4, with its ticks, after the counts have left."""
    bench = Bench(board("play: {ball: left-stick}", ball="steady: light"))
    bench.count("ball", 48, 0, at=0)
    bench.count("ball", 0, 48, at=100)
    bench.until(10_000)

    assert bench.neutral
    assert bench.engine.next_deadline_us is None
    assert len(bench.frames) > 20


def test_two_counts_in_one_frame_are_added() -> None:
    """Section 3, pointer: counts in the window, whichever frame they came in."""
    bench = Bench(board("play: {ball: left-stick}"))
    bench.frame(("count", "ball", 12, 0), ("count", "ball", 12, 0), at=0)

    assert frames(bench, 1000) == ["0: left-stick 16384 0", "60: left-stick 0 0"]
