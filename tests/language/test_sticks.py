"""The layout language, section 3, sticks: conditioning, step by step, and directions as buttons.

A stand-in's axes go from minus a million to a million, so that a share of the way is met exactly.
"""

from __future__ import annotations

import math

import pytest
from OneEuroFilter import OneEuroFilter

from remapd import codes
from tests.language.board import board, frames
from tests.support.bench import Bench

FULL = 32767
DIAGONAL = 23170  # 32767 / sqrt(2) is 23169.77
BARE = "shortest-press: 0ms"


def wand(settings: str, *, action: str = "left-stick", top: str = "") -> Bench:
    """One stick with these settings, whole to this action."""
    return Bench(board(f"play: {{wand: {action}}}", top=top, wand=settings))


def where(bench: Bench, stick: str = "left-stick") -> tuple[float, float]:
    """Where the pad's stick stands, in shares."""
    x, y = bench.stick(stick)
    return x / FULL, y / FULL


def near(x: float, y: float) -> tuple[object, object]:
    """A point, give or take one of the output's steps."""
    return pytest.approx(x, abs=1 / FULL), pytest.approx(y, abs=1 / FULL)


# ------------------------------------------------------------------ the whole way


@pytest.mark.parametrize(
    ("x", "y", "out"),
    [
        (1, 0, "left-stick 32767 0"),
        (-1, 0, "left-stick -32767 0"),
        (0, 1, "left-stick 0 32767"),
        (0, -1, "left-stick 0 -32767"),
        (1, 1, f"left-stick {DIAGONAL} {DIAGONAL}"),
        (-1, -1, f"left-stick -{DIAGONAL} -{DIAGONAL}"),
        (-1, 1, f"left-stick -{DIAGONAL} {DIAGONAL}"),
    ],
)
def test_full_deflection_is_the_rim_of_the_circle(x: int, y: int, out: str) -> None:
    """Section 3, sticks 1, 5 and 7: -1 to 1, clamped to the unit circle, times 32767 rounded."""
    bench = Bench(board("play: {wand: left-stick}"))
    bench.move("wand", x, y, at=10)
    bench.move("wand", 0, 0, at=100)

    assert frames(bench, 1000) == [f"10: {out}", "100: left-stick 0 0"]


def test_stick_that_does_not_move_the_pad_makes_no_frame() -> None:
    """Section 7: "Only what changed"."""
    bench = Bench(board("play: {wand: left-stick}"))
    bench.move("wand", 1, 0, at=10)
    bench.move("wand", 1, 0, at=20)
    bench.move("wand", 0, 0, at=30)
    bench.move("wand", 0.05, 0.02, at=40)

    assert frames(bench, 1000) == ["10: left-stick 32767 0", "30: left-stick 0 0"]


def test_asymmetric_axis_is_scaled_on_each_side() -> None:
    """Section 3, sticks 1: "v > c ? (v-c)/(max-c) : (v-c)/(c-min)" with a centre that is off."""
    bench = wand("centre: [50%, 0%], dead-zone: 0%")
    bench.move("wand", 0.75, 0, at=10)
    right = where(bench)
    bench.move("wand", -0.25, 0, at=20)
    left = where(bench)
    bench.move("wand", 0.5, 0, at=30)
    centred = where(bench)

    assert (right, left, centred) == (near(0.5, 0), near(-0.5, 0), near(0, 0))


def test_centre_may_be_on_the_negative_side() -> None:
    """Section 3, sticks 1: centre is "-100% to 100%", up is negative as everywhere."""
    bench = wand("centre: [0%, -20%], dead-zone: 0%")
    bench.move("wand", 0, -0.6, at=10)
    up = where(bench)
    bench.move("wand", 0, 0.4, at=20)
    down = where(bench)

    assert (up, down) == (near(0, -0.5), near(0, 0.5))


# ------------------------------------------------------------------ turn


@pytest.mark.parametrize(
    ("turn", "x", "y", "out_x", "out_y"),
    [
        ("90deg", 0, -1, 1, 0),
        ("90deg", 1, 0, 0, 1),
        ("90deg", 0, 1, -1, 0),
        ("90deg", -1, 0, 0, -1),
        ("180deg", 0, -1, 0, 1),
        ("30deg", 0, -1, 0.5, -math.sqrt(3) / 2),
        ("45deg", 0, -1, math.sqrt(0.5), -math.sqrt(0.5)),
    ],
)
def test_turn_is_clockwise(turn: str, x: int, y: int, out_x: float, out_y: float) -> None:
    """Section 3, sticks 2: "`turn: 90deg` makes the device's up the player's right"."""
    bench = wand(f"turn: {turn}, dead-zone: 0%")
    bench.move("wand", x, y, at=10)

    assert where(bench) == near(out_x, out_y)


def test_turn_comes_before_reach() -> None:
    """Section 3, sticks: "in this order", so reach is in the player's directions."""
    bench = wand("turn: 90deg, reach: {right: 50%}, dead-zone: 0%")
    bench.move("wand", 0, -0.5, at=10)

    assert where(bench) == near(1, 0)


def test_centre_comes_before_turn() -> None:
    """Section 3, sticks: the centre is the device's own."""
    bench = wand("centre: [0%, -20%], turn: 90deg, dead-zone: 0%")
    bench.move("wand", 0, -0.6, at=10)

    assert where(bench) == near(0.5, 0)


# ------------------------------------------------------------------ reach, flip


@pytest.mark.parametrize(
    ("x", "y", "out_x", "out_y"),
    [(-0.55, 0, -1, 0), (0.8, 0, 1, 0), (0, -0.7, 0, -1), (0, 0.6, 0, 1), (-0.275, 0, -0.5, 0)],
)
def test_each_half_axis_is_divided_by_its_reach(
    x: float, y: float, out_x: float, out_y: float
) -> None:
    """Section 3, sticks 3: "how far this player gets in each direction"."""
    bench = wand("reach: {left: 55%, right: 80%, up: 70%, down: 60%}, dead-zone: 0%")
    bench.move("wand", x, y, at=10)

    assert where(bench) == near(out_x, out_y)


def test_one_reach_sets_all_four() -> None:
    """Section 3, sticks 3: "`reach: 70%` sets all four"."""
    bench = wand("reach: 70%")
    for at, (x, y) in enumerate([(0.7, 0), (-0.7, 0), (0, 0.7), (0, -0.7)]):
        bench.move("wand", x, y, at=10 * at)

        assert where(bench) == near(x / 0.7, y / 0.7)


def test_beyond_the_reach_is_clamped() -> None:
    """Section 3, sticks 5: "Clamp to the unit circle"."""
    bench = wand("reach: 50%")
    bench.move("wand", 1, 0, at=10)

    assert frames(bench, 100) == ["10: left-stick 32767 0"]


def test_flip_turns_an_axis_round() -> None:
    """Section 3, sticks 3: "`flip: [x, y]` turns an axis round"."""
    bench = wand("flip: [y]")
    bench.move("wand", 0, -1, at=10)
    bench.move("wand", 1, 0, at=20)

    assert frames(bench, 100) == ["10: left-stick 0 32767", "20: left-stick 32767 0"]


def test_flip_of_both() -> None:
    """Section 3, sticks 3: both axes."""
    bench = wand("flip: [x, y]")
    bench.move("wand", 1, -1, at=10)

    assert frames(bench, 100) == [f"10: left-stick -{DIAGONAL} {DIAGONAL}"]


# ------------------------------------------------------------------ dead zone and curve


@pytest.mark.parametrize(
    ("deflection", "out"), [(0.05, 0), (0.099, 0), (0.19, 0.1), (0.55, 0.5), (1, 1)]
)
def test_dead_zone_is_10_percent_unless_said(deflection: float, out: float) -> None:
    """Section 3, sticks 5: "`dead-zone: D` (10%)": (r-D)/(1-D), 0 below D."""
    bench = Bench(board("play: {wand: left-stick}"))
    bench.move("wand", 0, -deflection, at=10)

    assert where(bench) == near(0, -out)


def test_dead_zone_keeps_the_direction() -> None:
    """Section 3, sticks 5: "direction kept", by radius and not by axis."""
    bench = wand("dead-zone: 20%")
    bench.move("wand", 0.3, -0.4, at=10)

    assert where(bench) == near(0.6 * 0.375, -0.8 * 0.375)


def test_dead_zone_of_nothing_passes_the_smallest_move() -> None:
    """Section 3, sticks 5: "`0%` must be written"."""
    bench = wand("dead-zone: 0%")
    bench.move("wand", 0.02, 0, at=10)

    assert where(bench) == near(0.02, 0)


@pytest.mark.parametrize(
    ("curve", "out"), [("1", 0.5), ("2", 0.25), ("3", 0.125), ("1.5", 0.35355)]
)
def test_curve_is_a_power_of_the_radius(curve: str, out: float) -> None:
    """Section 3, sticks 6: "radius r becomes r^P"."""
    bench = wand(f"curve: {curve}, dead-zone: 0%")
    bench.move("wand", -0.5, 0, at=10)

    assert where(bench) == near(-out, 0)


def test_curve_comes_after_the_dead_zone_and_keeps_the_direction() -> None:
    """Section 3, sticks 5 and 6, in their order."""
    bench = wand("curve: 2, dead-zone: 20%")
    bench.move("wand", 0.36, 0.48, at=10)  # radius 0.6: 0.5 after the dead zone, 0.25 after curve

    assert where(bench) == near(0.15, 0.2)


def test_curve_leaves_the_rim_where_it_is() -> None:
    """Section 3, sticks 6: 1^P is 1."""
    bench = wand("curve: 4")
    bench.move("wand", 1, 0, at=10)

    assert frames(bench, 100) == ["10: left-stick 32767 0"]


# ------------------------------------------------------------------ steady


def reference(cutoff: float, beta: float, samples: int) -> list[float]:
    """A step from rest to 1, filtered by the reference package at one sample each 8 ms."""
    filtered = OneEuroFilter(freq=125.0, mincutoff=cutoff, beta=beta, dcutoff=1.0)
    filtered(0.0, 0.008)
    return [filtered(1.0, 0.008 * (i + 2)) for i in range(samples)]


@pytest.mark.parametrize(
    ("steady", "cutoff", "beta"),
    [
        ("{cutoff: 1.2Hz, beta: 0.02}", 1.2, 0.02),
        ("{cutoff: 2Hz, beta: 0.5}", 2.0, 0.5),
        ("light", 3.0, 0.02),
        ("medium", 1.5, 0.02),
        ("strong", 0.8, 0.02),
    ],
)
def test_steady_is_the_one_euro_filter(steady: str, cutoff: float, beta: float) -> None:
    """Section 3, sticks 4, against the OneEuroFilter package; rest is the first sample.

    The stick is still after one move: each 8 ms "the last value counts as sampled again".
    """
    bench = wand(f"steady: {steady}, dead-zone: 0%")
    bench.move("wand", 1, 0, at=1000)
    expected = reference(cutoff, beta, 60)
    for tick, value in enumerate(expected):
        bench.until(1000 + 8 * tick)

        assert bench.stick("left-stick")[0] == pytest.approx(value * FULL, abs=1)
        assert bench.stick("left-stick")[1] == 0
    assert {us % 8000 for us, _ in bench.frames} == {0}


def test_steady_settles_on_the_true_value_by_ticks() -> None:
    """Section 3, sticks 4: "until the filter is within half an output step"; "taken as reached"."""
    bench = wand("steady: strong, dead-zone: 0%")
    bench.move("wand", 1, 0, at=1000)
    bench.until(10_000)

    assert bench.stick("left-stick") == (FULL, 0)
    assert bench.engine.next_deadline_us is None
    assert [us % 8000 for us, _ in bench.frames] == [0] * len(bench.frames)


def test_steady_settles_back_to_rest() -> None:
    """Section 3, sticks 4: let go, the stick reaches the dead zone and stays there."""
    bench = wand("steady: light")
    bench.move("wand", 1, 0, at=0)
    bench.until(5000)
    bench.move("wand", 0, 0, at=5000)
    bench.until(15_000)

    assert bench.neutral
    assert bench.engine.next_deadline_us is None


def test_long_silence_counts_as_8_ms() -> None:
    """Section 12, 3: "the time between two samples counts as at most 8 ms"."""
    early = wand("steady: medium, dead-zone: 0%")
    late = wand("steady: medium, dead-zone: 0%")
    early.move("wand", 1, 0, at=8)
    late.move("wand", 1, 0, at=60_000)

    assert early.stick("left-stick") == late.stick("left-stick")
    assert early.stick("left-stick")[0] == pytest.approx(reference(1.5, 0.02, 1)[0] * FULL, abs=1)


def test_steady_never_overshoots_nor_turns_back() -> None:
    """Section 3, sticks 4: a low-pass of a step rises and does not pass it."""
    bench = wand("steady: medium, dead-zone: 0%")
    bench.move("wand", 0, -1, at=100)
    bench.until(8000)
    ys = [change.value[1] for change in bench.changes if isinstance(change.value, tuple)]

    assert ys == sorted(ys, reverse=True)
    assert ys[-1] == -FULL


# ------------------------------------------------------------------ directions as buttons


@pytest.mark.parametrize(
    ("direction", "x", "y"),
    [("up", 0, -1), ("down", 0, 1), ("left", -1, 0), ("right", 1, 0)],
)
def test_each_direction_is_a_button(direction: str, x: int, y: int) -> None:
    """Section 3: a stick is bound "by direction, as buttons"."""
    bench = Bench(board(f"play: {{wand.{direction}: south}}"))
    bench.move("wand", x, y, at=10)
    bench.move("wand", -x, -y, at=100)
    bench.move("wand", 0, 0, at=200)

    assert frames(bench, 1000) == ["10: press south", "100: release south"]


def test_direction_presses_at_50_and_releases_below_40_percent() -> None:
    """Section 3: press-at 50%, release-at 40%, of the value after the dead zone."""
    bench = Bench(board("play: {wand.up: south}", top=BARE))
    for at, raw in enumerate([0.54, 0.56, 0.47, 0.45, 0.54, 0.56]):  # 0.55 and 0.46 are the limits
        bench.move("wand", 0, -raw, at=10 * at)

    assert frames(bench, 1000) == ["10: press south", "30: release south", "50: press south"]


def test_direction_presses_at_the_threshold_and_stays_at_the_other() -> None:
    """Section 3: presses when it "reaches `press-at`", "releases below `release-at`"."""
    bench = Bench(board("play: {wand.up: south}", top=BARE, wand="dead-zone: 0%"))
    for at, raw in enumerate([0.499999, 0.5, 0.4, 0.399999]):
        bench.move("wand", 0, -raw, at=10 * at)

    assert frames(bench, 1000) == ["10: press south", "30: release south"]


def test_output_is_rounded_with_halves_away_from_zero() -> None:
    """Section 3, sticks 7: "x × 32767 rounded, halves away from zero": 16383.5 is 16384."""
    bench = wand("dead-zone: 0%")
    bench.move("wand", 0.5, 0, at=10)
    bench.move("wand", -0.5, 0, at=20)

    assert frames(bench, 100) == ["10: left-stick 16384 0", "20: left-stick -16384 0"]


def test_own_thresholds() -> None:
    """Section 3: press-at and release-at are settings."""
    bench = Bench(
        board(
            "play: {wand.up: south}",
            top=BARE,
            wand="press-at: 80%, release-at: 20%, dead-zone: 0%",
        )
    )
    for at, raw in enumerate([0.79, 0.81, 0.21, 0.19]):
        bench.move("wand", 0, -raw, at=10 * at)

    assert frames(bench, 1000) == ["10: press south", "30: release south"]


def test_directions_are_of_the_value_before_curve() -> None:
    """Section 3: "both of the value before `curve`"."""
    bench = Bench(board("play: {wand.up: south}", wand="curve: 4"))
    bench.move("wand", 0, -0.56, at=10)

    assert frames(bench, 100) == ["10: press south"]


def test_directions_come_after_reach_and_turn() -> None:
    """Section 3: a direction is the player's, after calibration."""
    bench = Bench(board("play: {wand.right: south}", wand="turn: 90deg, reach: 50%"))
    bench.move("wand", 0, -0.3, at=10)  # 0.6 of the player's right

    assert frames(bench, 100) == ["10: press south"]


def test_eight_ways_press_two_at_a_diagonal() -> None:
    """Section 3: "`8` (the default) both"; in the order up, down, left, right in one frame."""
    bench = Bench(board("play: {wand.up: south, wand.left: east}"))
    bench.move("wand", -1, -1, at=10)

    assert frames(bench, 100) == ["10: press south, press east"]


def test_four_ways_keep_only_the_larger() -> None:
    """Section 3: "`ways: 4` keeps only the larger component"."""
    bench = Bench(board("play: {wand.up: south, wand.left: east}", wand="ways: 4"))
    bench.move("wand", -0.9, -0.7, at=10)

    assert frames(bench, 100) == ["10: press east"]


def test_four_ways_at_first_the_horizontal_of_two_equal() -> None:
    """Section 12, 12: "at first, of two equal ones, the horizontal"."""
    bench = Bench(board("play: {wand.up: south, wand.left: east}", wand="ways: 4"))
    bench.move("wand", -1, -1, at=10)

    assert frames(bench, 100) == ["10: press east"]


def test_four_ways_keep_the_last_until_the_other_is_larger_by_10_percent() -> None:
    """Section 12, 12: "keeps the component it kept last until the other is larger by 10%"."""
    bench = Bench(
        board("play: {wand.up: south, wand.left: east}", top=BARE, wand="ways: 4, dead-zone: 0%")
    )
    bench.move("wand", -0.65, -0.6, at=10)
    bench.move("wand", -0.65, -0.7, at=20)  # larger by 8% of the other: kept
    bench.move("wand", -0.6, -0.75, at=30)  # by 25%, and by 15% of the whole way

    assert frames(bench, 100) == ["10: press east", "30: release east, press south"]


def test_direction_change_in_one_frame_releases_first() -> None:
    """Section 3: "In one frame, directions release and then press"."""
    bench = Bench(
        board("sail: {wand.left: {layer: net}, wand.right: south}", "net: {wand.right: east}")
    )
    bench.move("wand", -1, 0, at=10)
    bench.move("wand", 1, 0, at=100)

    assert frames(bench, 1000) == ["100: press south"]


def test_button_settings_apply_to_each_direction() -> None:
    """Section 3: "The settings of buttons below may be given to a stick"."""
    bench = Bench(
        board("play: {wand.up: south, wand.left: east}", top=BARE, wand="acceptance-delay: 80ms")
    )
    bench.move("wand", 0, -1, at=0)
    bench.move("wand", -1, -1, at=50)
    bench.move("wand", -1, 0, at=100)
    bench.move("wand", 0, 0, at=120)

    assert frames(bench, 1000) == ["80: press south", "100: release south"]


def test_directions_have_no_debounce_unless_given() -> None:
    """Section 3: "(there with no default)"."""
    bench = Bench(board("play: {wand.up: south}", top=BARE))
    bench.move("wand", 0, -1, at=0)
    bench.move("wand", 0, 0, at=2)
    bench.move("wand", 0, -1, at=4)

    assert frames(bench, 100) == ["0: press south", "2: release south", "4: press south"]


def test_directions_take_the_debounce_they_are_given() -> None:
    """Section 3: the settings of buttons given to a stick."""
    bench = Bench(board("play: {wand.up: south}", top=BARE, wand="debounce: 15ms"))
    bench.move("wand", 0, -1, at=0)
    bench.move("wand", 0, 0, at=2)

    assert frames(bench, 100) == ["0: press south", "15: release south"]


def test_steady_direction_presses_on_the_tick_that_passes_the_threshold() -> None:
    """Section 3, sticks 4: a tick is a sample, so directions follow it too."""
    bench = Bench(board("play: {wand.right: south}", wand="steady: medium, dead-zone: 0%"))
    bench.move("wand", 1, 0, at=1000)
    first = next(i for i, value in enumerate(reference(1.5, 0.02, 100)) if value >= 0.5)

    assert frames(bench, 3000) == [f"{1000 + 8 * first}: press south"]


# ------------------------------------------------------------------ whole to other goals


def test_whole_stick_to_the_right_stick() -> None:
    """Section 4: "A whole stick or pointer takes a stick name"."""
    bench = Bench(board("play: {wand: right-stick}"))
    bench.move("wand", 0, -1, at=10)

    assert frames(bench, 100) == ["10: right-stick 0 -32767"]


def test_send_has_gain_and_flip() -> None:
    """Section 4: `{send: right-stick, gain: 60%, flip: [y]}`."""
    bench = wand("dead-zone: 10%", action="{send: right-stick, gain: 60%, flip: [y]}")
    bench.move("wand", 0, -1, at=10)
    up = where(bench, "right-stick")
    bench.move("wand", 1, 0, at=20)
    right = where(bench, "right-stick")

    assert (up, right) == (near(0, 0.6), near(0.6, 0))


def test_whole_stick_to_the_dpad_goes_by_direction_thresholds() -> None:
    """Section 4: "`dpad` (by direction thresholds)"."""
    bench = Bench(board("play: {wand: dpad}", top=BARE))
    bench.move("wand", 0, -0.54, at=10)
    bench.move("wand", 0, -0.56, at=20)
    bench.move("wand", 0, -0.47, at=30)
    bench.move("wand", 0, -0.45, at=40)

    assert frames(bench, 100) == ["20: press dpad-up", "40: release dpad-up"]


def test_whole_stick_to_the_dpad_presses_diagonals() -> None:
    """Section 3, ways 8, through section 12, 11: "presses what its directions would press"."""
    bench = Bench(board("play: {wand: dpad}"))
    bench.move("wand", 1, -1, at=10)

    assert frames(bench, 100) == ["10: press dpad-up, press dpad-right"]


def test_whole_stick_to_the_dpad_keeps_the_timing_of_directions() -> None:
    """Section 12, 11: "their timing included"."""
    bench = wand("acceptance-delay: 80ms", action="dpad")
    bench.move("wand", 0, -1, at=0)
    bench.move("wand", 0, 0, at=200)

    assert frames(bench, 1000) == ["80: press dpad-up", "200: release dpad-up"]


def test_dpad_takes_flip_but_not_gain() -> None:
    """Section 12, 11: "`flip` counts, `gain` does not"."""
    bench = wand("dead-zone: 10%", action="{send: dpad, gain: 20%, flip: [y]}")
    bench.move("wand", 0, -0.6, at=10)

    assert frames(bench, 100) == ["10: press dpad-down"]


def test_stick_across_to_the_opposite_direction_in_one_frame() -> None:
    """Section 12, 8: the hat's release and press of the opposite "are one event"."""
    bench = Bench(board("play: {wand: dpad}"))
    bench.move("wand", -1, 0, at=10)
    bench.move("wand", 1, 0, at=100)

    assert frames(bench, 1000) == [
        "10: press dpad-left",
        "100: release dpad-left, press dpad-right",
    ]


def test_two_sticks_to_one_are_summed_and_clamped() -> None:
    """Section 6: one person's sticks are joined "by the clamped sum"."""
    text = """
remapd: 1
title: Two sticks
devices:
  left-box: {find: {name: "Left"}, controls: {left-wand: {stick: [ABS_X, ABS_Y]}}}
  right-box: {find: {name: "Right"}, controls: {right-wand: {stick: [ABS_X, ABS_Y]}}}
layers:
  play: {left-wand: left-stick, right-wand: left-stick}
"""
    bench = Bench(text)
    bench.move("left-wand", 1, 0, at=10)
    bench.move("right-wand", 0, -1, at=20)
    bench.move("left-wand", 0, 0, at=30)
    bench.move("right-wand", 0, 0, at=40)

    assert frames(bench, 100) == [
        "10: left-stick 32767 0",
        f"20: left-stick {DIAGONAL} -{DIAGONAL}",
        "30: left-stick 0 -32767",
        "40: left-stick 0 0",
    ]


def test_a_hat_may_be_a_stick() -> None:
    """Section 3, stick: "two absolute axes; a hat too"."""
    text = """
remapd: 1
title: A hat
devices:
  box: {find: {name: "Box"}, controls: {hat: {stick: [ABS_HAT0X, ABS_HAT0Y]}}}
layers:
  play: {hat: left-stick}
"""
    bench = Bench(text)
    bench.press("hat.left", at=10)
    bench.release("hat.left", at=50)

    assert frames(bench, 100) == ["10: left-stick -32767 0", "50: left-stick 0 0"]


def test_both_axes_of_one_frame_make_one_change() -> None:
    """Section 7: "All of a frame is applied, ... then sticks are resolved"."""
    bench = Bench(board("play: {wand: left-stick}"))
    full = [(codes.EV_ABS, codes.AXES[axis], 1_000_000) for axis in ("ABS_X", "ABS_Y")]
    bench.raw("joystick", full, at=10)

    assert frames(bench, 100) == [f"10: left-stick {DIAGONAL} {DIAGONAL}"]
