"""The layout language, section 4: steps, push and keep."""

from __future__ import annotations

import pytest

from tests.language.board import board, frames
from tests.support.bench import Bench

# ------------------------------------------------------------------ steps


def test_each_step_is_a_tap_and_a_pause() -> None:
    """Section 4, steps: "each step as a press of `tap` followed by a pause of `tap`"."""
    bench = Bench(board("play: {knee: {steps: [south, east, north]}}"))
    bench.tap("knee", at=0, length=30)

    assert frames(bench, 2000) == [
        "0: press south",
        "60: release south",
        "120: press east",
        "180: release east",
        "240: press north",
        "300: release north",
    ]


def test_wait_replaces_the_pause() -> None:
    """Section 4, steps: "a `wait` written there replaces the pause"."""
    bench = Bench(
        board(
            "play: {knee: {steps: [south, {wait: 80ms}, {together: [east, north]}, "
            "{wait: 500ms}, west]}}"
        )
    )
    bench.tap("knee", at=0, length=30)

    assert frames(bench, 2000) == [
        "0: press south",
        "60: release south",
        "140: press east, press north",
        "200: release east, release north",
        "700: press west",
        "760: release west",
    ]


def test_steps_take_the_files_tap() -> None:
    """Section 2, tap: the length of a press that the engine makes up."""
    bench = Bench(board("play: {knee: {steps: [south, east]}}", top="tap: 100ms"))
    bench.tap("knee", at=0, length=30)

    assert frames(bench, 2000) == [
        "0: press south",
        "100: release south",
        "200: press east",
        "300: release east",
    ]


def test_presses_while_steps_play_do_nothing() -> None:
    """Section 4, steps: "presses meanwhile do nothing"."""
    bench = Bench(board("play: {knee: {steps: [south, east]}}"))
    for at in (0, 50, 100, 150):
        bench.tap("knee", at=at, length=30)
    bench.tap("knee", at=400, length=30)

    assert frames(bench, 2000) == [
        "0: press south",
        "60: release south",
        "120: press east",
        "180: release east",
        "400: press south",
        "460: release south",
        "520: press east",
        "580: release east",
    ]


def test_steps_play_on_whatever_the_hand_does() -> None:
    """Section 4, steps: nothing on release, unless `how: hold` is written."""
    bench = Bench(board("play: {knee: {steps: [south, east]}}"))
    bench.tap("knee", at=0, length=1000)

    assert frames(bench, 2000) == [
        "0: press south",
        "60: release south",
        "120: press east",
        "180: release east",
    ]


@pytest.mark.parametrize("length", [30, 90])
def test_held_steps_stop_after_the_running_step(length: int) -> None:
    """Section 4, steps: "with `how: hold` written: stops after the running step or wait"."""
    bench = Bench(board("play: {knee: {steps: [south, east, north], how: hold}}"))
    bench.tap("knee", at=0, length=length)

    assert frames(bench, 2000) == ["0: press south", "60: release south"]


def test_held_steps_stop_after_the_running_wait() -> None:
    """Section 4, steps: stopped in a wait, the step after it is not played."""
    bench = Bench(board("play: {knee: {steps: [south, {wait: 500ms}, east], how: hold}}"))
    bench.tap("knee", at=0, length=300)

    assert frames(bench, 2000) == ["0: press south", "60: release south"]


def test_held_steps_play_out_while_held() -> None:
    """Section 4, steps: played once, also when held longer."""
    bench = Bench(board("play: {knee: {steps: [south, east], how: hold}}"))
    bench.tap("knee", at=0, length=1000)

    assert frames(bench, 2000) == [
        "0: press south",
        "60: release south",
        "120: press east",
        "180: release east",
    ]


def test_steps_may_be_any_action() -> None:
    """Section 4: "A, B, items and steps may be any action": a toggled layer, a latch, a pulse."""
    bench = Bench(
        board(
            "sail: {knee: {steps: [{layer: net, how: toggle}, {latch: west}, "
            "{pulse: north, length: 100ms}]}, cheek: south}",
            "net: {cheek: east}",
        )
    )
    bench.tap("knee", at=0, length=30)
    bench.tap("cheek", at=50, length=50)
    bench.tap("knee", at=600, length=30)
    bench.tap("cheek", at=650, length=50)

    assert frames(bench, 2000) == [
        "50: press east",
        "100: release east",
        "120: press west",
        "240: press north",
        "340: release north",
        "650: press south",
        "700: release south",
        "720: release west",
        "840: press north",
        "940: release north",
    ]


def test_steps_of_directions() -> None:
    """Section 4: a step may be any target."""
    bench = Bench(board("play: {knee: {steps: [left-stick.up, dpad-left, left-trigger]}}"))
    bench.tap("knee", at=0, length=30)

    assert frames(bench, 2000) == [
        "0: left-stick 0 -32767",
        "60: left-stick 0 0",
        "120: press dpad-left",
        "180: release dpad-left",
        "240: left-trigger 255",
        "300: left-trigger 0",
    ]


def test_two_players_of_the_same_steps_are_two() -> None:
    """Section 4, steps: presses of this control do nothing meanwhile, another's has its own."""
    bench = Bench(board("play: {knee: {steps: [south, east]}, cheek: {steps: [south, east]}}"))
    bench.tap("knee", at=0, length=30)
    bench.tap("cheek", at=30, length=30)

    assert frames(bench, 2000) == [
        "0: press south",
        "90: release south",
        "120: press east",
        "210: release east",
    ]


# ------------------------------------------------------------------ push


@pytest.mark.parametrize(
    ("toward", "out"),
    [("up", "0 -32767"), ("down", "0 32767"), ("left", "-32767 0"), ("right", "32767 0")],
)
def test_push_without_a_ramp_is_there_at_once(toward: str, out: str) -> None:
    """Section 4, push: ramp 0ms and amount 100% unless said; centred in the release's frame."""
    bench = Bench(board(f"play: {{knee: {{push: left-stick, toward: {toward}}}}}"))
    bench.tap("knee", at=10, length=100)

    assert frames(bench, 2000) == [f"10: left-stick {out}", "110: left-stick 0 0"]


def test_push_has_an_amount() -> None:
    """Section 4, push: amount is a share."""
    bench = Bench(board("play: {knee: {push: right-stick, toward: up, amount: 50%}}"))
    bench.tap("knee", at=0, length=100)

    assert frames(bench, 2000) == ["0: right-stick 0 -16384", "100: right-stick 0 0"]


def test_push_ramps_linearly_in_frames_of_8_ms() -> None:
    """Section 4, push: linear, each 8 ms, "full at the first of these at or past `ramp`"."""
    bench = Bench(board("play: {knee: {push: left-stick, toward: right, ramp: 20ms}}"))
    bench.tap("knee", at=100, length=100)

    assert frames(bench, 2000) == [
        "108: left-stick 13107 0",
        "116: left-stick 26214 0",
        "124: left-stick 32767 0",
        "200: left-stick 0 0",
    ]


def test_push_whose_ramp_is_a_multiple_of_8_ms_is_full_at_its_end() -> None:
    """Section 4, push: full at the frame "at" ramp, none after."""
    bench = Bench(board("play: {knee: {push: left-stick, toward: down, ramp: 200ms}}"))
    bench.press("knee", at=0)
    bench.until(2000)

    assert [(8000 * i) for i in range(1, 26)] == [us for us, _ in bench.frames]
    values = [change.value for change in bench.changes]
    assert values == [(0, int(32767 * i / 25 + 0.5)) for i in range(1, 26)]


def test_push_let_go_on_the_ramp() -> None:
    """Section 4, push: on release "centred, in the release's own frame", and the ramp ends."""
    bench = Bench(board("play: {knee: {push: left-stick, toward: right, ramp: 40ms}}"))
    bench.tap("knee", at=0, length=20)

    assert frames(bench, 2000) == [
        "8: left-stick 6553 0",
        "16: left-stick 13107 0",
        "20: left-stick 0 0",
    ]


def test_push_let_go_before_its_first_frame_shows_nothing() -> None:
    """Section 4, push: at the press itself a ramp has not moved anything yet."""
    bench = Bench(
        board("play: {knee: {push: left-stick, toward: right, ramp: 40ms}}", knee="debounce: 0ms")
    )
    bench.tap("knee", at=0, length=7)

    assert frames(bench, 2000) == []


def test_toggled_push_stays_until_the_next_press() -> None:
    """Section 4, push: "`how: toggle` stays until the next press"."""
    bench = Bench(board("play: {knee: {push: left-stick, toward: up, how: toggle}}"))
    bench.tap("knee", at=0, length=50)
    bench.tap("knee", at=5000, length=50)
    bench.tap("knee", at=6000, length=50)

    assert frames(bench, 9000) == [
        "0: left-stick 0 -32767",
        "5000: left-stick 0 0",
        "6000: left-stick 0 -32767",
    ]


def test_toggled_push_with_a_ramp_goes_on_after_the_release() -> None:
    """Section 4, push: the ramp is the push's, not the hand's."""
    bench = Bench(
        board(
            "play: {knee: {push: left-stick, toward: right, ramp: 20ms, how: toggle}}",
            knee="debounce: 0ms",
        )
    )
    bench.tap("knee", at=0, length=10)
    bench.tap("knee", at=100, length=10)

    assert frames(bench, 1000) == [
        "8: left-stick 13107 0",
        "16: left-stick 26214 0",
        "24: left-stick 32767 0",
        "100: left-stick 0 0",
    ]


def test_pushes_are_summed_with_each_other_and_with_sticks() -> None:
    """Section 6: "sticks by the clamped sum"."""
    bench = Bench(
        board(
            "play: {knee: {push: left-stick, toward: up}, "
            "cheek: {push: left-stick, toward: right}, "
            "wand: left-stick}"
        )
    )
    bench.press("knee", at=0)
    bench.press("cheek", at=100)
    bench.move("wand", 0, 1, at=200)
    bench.release("cheek", at=300)

    assert frames(bench, 1000) == [
        "0: left-stick 0 -32767",
        "100: left-stick 23170 -23170",
        "200: left-stick 32767 0",
        "300: left-stick 0 0",
    ]


def test_held_push_belongs_to_its_press() -> None:
    """Section 5: the layer that gave it goes, the push stays until its own release."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net}, cheek: south}",
            "net: {cheek: {push: left-stick, toward: up}}",
        )
    )
    bench.press("knee", at=0)
    bench.press("cheek", at=100)
    bench.release("knee", at=200)
    bench.release("cheek", at=300)

    assert frames(bench, 1000) == ["100: left-stick 0 -32767", "300: left-stick 0 0"]


# ------------------------------------------------------------------ keep

KEEP = "play: {knee: {keep: left-stick}, wand: left-stick}"


def test_keep_freezes_the_stick_until_the_next_press() -> None:
    """Section 4, keep: "freezes this person's part of that pad stick ... until the next press"."""
    bench = Bench(board(KEEP))
    bench.move("wand", 1, 0, at=0)
    bench.tap("knee", at=100, length=50)
    bench.move("wand", 0, -1, at=200)
    bench.move("wand", 0, 1, at=300)
    bench.tap("knee", at=400, length=50)
    bench.move("wand", 0, 0, at=500)

    assert frames(bench, 1000) == [
        "0: left-stick 32767 0",
        "400: left-stick 0 32767",
        "500: left-stick 0 0",
    ]


def test_keep_at_rest_keeps_the_stick_centred() -> None:
    """Section 4, keep: as it is, neutral too."""
    bench = Bench(board(KEEP))
    bench.tap("knee", at=100, length=50)
    bench.move("wand", 0, -1, at=200)

    assert frames(bench, 1000) == []


def test_keep_ends_at_most_after_its_time() -> None:
    """Section 4, keep: "`at-most: T`"; then the stick is where the hand has it."""
    bench = Bench(board("play: {knee: {keep: left-stick, at-most: 1s}, wand: left-stick}"))
    bench.move("wand", 1, 0, at=0)
    bench.tap("knee", at=100, length=50)
    bench.move("wand", 0, -1, at=200)

    assert frames(bench, 3000) == ["0: left-stick 32767 0", "1100: left-stick 0 -32767"]


def test_keep_is_ended_by_another_keep_of_the_stick() -> None:
    """Section 4, keep: "the next press of a `keep` of it"."""
    bench = Bench(
        board("play: {knee: {keep: left-stick}, cheek: {keep: left-stick}, wand: left-stick}")
    )
    bench.move("wand", 1, 0, at=0)
    bench.tap("knee", at=100, length=50)
    bench.move("wand", 0, 0, at=200)
    bench.tap("cheek", at=300, length=50)

    assert frames(bench, 1000) == ["0: left-stick 32767 0", "300: left-stick 0 0"]


def test_keep_of_one_stick_leaves_the_other() -> None:
    """Section 4, keep: "that pad stick"."""
    bench = Bench(
        board(
            "sail: {knee: {keep: left-stick}, elbow: {layer: net}, wand: left-stick}",
            "net: {wand: right-stick}",
        )
    )
    bench.move("wand", 1, 0, at=0)
    bench.tap("knee", at=100, length=50)
    bench.press("elbow", at=200)
    bench.move("wand", 0, 1, at=300)
    bench.move("wand", 0, 0, at=400)
    bench.tap("knee", at=500, length=50)

    assert frames(bench, 1000) == [
        "0: left-stick 32767 0",
        "200: right-stick 32767 0",
        "300: right-stick 0 32767",
        "400: right-stick 0 0",
        "500: left-stick 0 0",
    ]


def test_keep_takes_the_stick_as_it_is_after_its_frame() -> None:
    """Section 4, keep: "as it is after this frame": the order within the frame does not matter."""
    for first, second in (
        (("move", "wand", 0.0, -1.0), ("press", "knee")),
        (("press", "knee"), ("move", "wand", 0.0, -1.0)),
    ):
        bench = Bench(ONE_DEVICE)
        bench.move("wand", 1, 0, at=0)
        bench.frame(first, second, at=100)
        bench.move("wand", 0, 0, at=300)

        assert frames(bench, 1000) == ["0: left-stick 32767 0", "100: left-stick 0 -32767"]


ONE_DEVICE = """
remapd: 1
title: One device
devices:
  desk:
    find: {name: "Desk"}
    controls:
      knee: {button: BTN_0}
      cheek: {button: BTN_1}
      wand: {stick: [ABS_X, ABS_Y]}
layers:
  play: {knee: {keep: left-stick}, wand: left-stick}
"""


def test_keep_includes_directions_that_are_pressed() -> None:
    """Section 4, keep: this person's part, whatever it is made of."""
    bench = Bench(board("play: {knee: {keep: left-stick}, cheek: left-stick.up}"))
    bench.press("cheek", at=0)
    bench.tap("knee", at=100, length=50)
    bench.release("cheek", at=200)
    bench.tap("knee", at=300, length=50)

    assert frames(bench, 1000) == ["0: left-stick 0 -32767", "300: left-stick 0 0"]


def test_keep_leaves_another_persons_part_free() -> None:
    """Section 4, keep: "this person's part"."""
    bench = Bench(
        board(
            "play: {knee: {keep: left-stick}, wand: left-stick, tiller: left-stick}",
            top="merge: {left-stick: sum}",
        )
    )
    bench.move("wand", 1, 0, at=0)
    bench.tap("knee", at=100, length=50)
    bench.move("wand", 0, 0, at=200)
    bench.move("tiller", 0, -1, at=300)
    bench.move("tiller", 0, 0, at=400)

    assert frames(bench, 1000) == [
        "0: left-stick 32767 0",
        "300: left-stick 23170 -23170",
        "400: left-stick 32767 0",
    ]


def test_unplugging_what_moved_a_kept_stick_ends_the_keep() -> None:
    """Section 4, keep: "or the unplugging of a device that moved it"."""
    bench = Bench(board(KEEP))
    bench.move("wand", 1, 0, at=0)
    bench.tap("knee", at=100, length=50)
    bench.move("wand", 0, 0, at=200)
    bench.unplug("joystick", at=300)

    assert frames(bench, 1000) == ["0: left-stick 32767 0", "300: left-stick 0 0"]


def test_unplugging_what_began_a_keep_ends_it() -> None:
    """Section 8, unplug: what the device's controls began, keep among it, ends."""
    bench = Bench(board(KEEP))
    bench.move("wand", 1, 0, at=0)
    bench.tap("knee", at=100, length=50)
    bench.move("wand", 0, -1, at=200)
    bench.unplug("switches", at=300)

    assert frames(bench, 1000) == ["0: left-stick 32767 0", "300: left-stick 0 -32767"]


def test_keep_of_a_pointer_outlasts_its_window() -> None:
    """Section 4, keep: a trackball's push stays when the ball is let go."""
    bench = Bench(board("play: {knee: {keep: left-stick}, ball: left-stick}"))
    bench.count("ball", 48, 0, at=0)
    bench.tap("knee", at=30, length=50)
    bench.until(1000)
    kept = bench.stick("left-stick")
    bench.tap("knee", at=1000, length=50)

    assert kept == (32767, 0)
    assert frames(bench, 2000) == ["0: left-stick 32767 0", "1000: left-stick 0 0"]


def test_keep_outlives_the_layer_that_gave_it() -> None:
    """Section 5: a keep may leave a stick deflected, whatever layers change."""
    bench = Bench(
        board(
            "sail: {elbow: {layer: net}, wand: left-stick, knee: south}",
            "net: {knee: {keep: left-stick}}",
        )
    )
    bench.move("wand", 1, 0, at=0)
    bench.press("elbow", at=50)
    bench.tap("knee", at=100, length=50)
    bench.release("elbow", at=200)
    bench.move("wand", 0, 0, at=300)
    bench.until(400)

    assert bench.stick("left-stick") == (32767, 0)
