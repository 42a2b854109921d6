"""The layout language, section 7: frames, their order, timers, and no press too short to see."""

from __future__ import annotations

import pytest

from tests.language.board import board, frames
from tests.support.bench import Bench

BARE = "shortest-press: 0ms"
ONE_DEVICE = """
remapd: 1
title: One device
base: sail
{top}
devices:
  desk:
    find: {{name: "Desk"}}
    controls:
      knee: {{button: BTN_0}}
      cheek: {{button: BTN_1}}
      wand: {{stick: [ABS_X, ABS_Y]}}
layers:
  sail: {{{sail}}}
  net: {{{net}}}
"""


def desk(sail: str, net: str = "knee: nothing", top: str = "") -> Bench:
    """Two buttons and a stick on one device, so that they can come in one frame."""
    return Bench(ONE_DEVICE.format(sail=sail, net=net, top=top))


# ------------------------------------------------------------------ a frame


def test_frame_has_releases_then_presses_then_axes() -> None:
    """Section 7: "In an output frame come releases, then presses, then axes"."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net}, cheek: north, wand: left-stick, elbow: south}",
            "net: {wand: right-stick}",
        )
    )
    bench.press("cheek", at=0)
    bench.move("wand", 1, 0, at=50)
    bench.frame(("press", "elbow"), ("release", "cheek"), ("press", "knee"), at=100)

    assert frames(bench, 1000)[-1] == (
        "100: release north, press south, left-stick 0 0, right-stick 32767 0"
    )


def test_buttons_are_in_pad_order_with_the_hat_among_them() -> None:
    """Section 7: "Buttons are in pad order; a hat axis stands among them"."""
    every = (
        "dpad-left, right-stick-press, left-stick-press, mode, start, select, dpad-up, "
        "right-shoulder, left-shoulder, north, west, east, south, right-trigger, left-trigger, "
        "right-stick.up, left-stick.left"
    )
    order = [
        "south",
        "east",
        "west",
        "north",
        "left-shoulder",
        "right-shoulder",
        "select",
        "start",
        "mode",
        "left-stick-press",
        "right-stick-press",
        "dpad-up",
        "dpad-left",
    ]
    bench = Bench(board(f"play: {{knee: {{together: [{every}]}}}}"))
    bench.tap("knee", at=0, length=100)
    presses = ", ".join(f"press {name}" for name in order)
    releases = ", ".join(f"release {name}" for name in order)

    assert frames(bench, 1000) == [
        f"0: {presses}, left-stick -32767 0, right-stick 0 -32767, left-trigger 255, "
        "right-trigger 255",
        f"100: {releases}, left-stick 0 0, right-stick 0 0, left-trigger 0, right-trigger 0",
    ]


def test_a_frame_is_applied_in_its_order() -> None:
    """Section 7: "All of a frame is applied, in its order"."""
    layer_first = desk("knee: {layer: net}, cheek: south", "cheek: east")
    layer_first.frame(("press", "knee"), ("press", "cheek"), at=10)
    layer_last = desk("knee: {layer: net}, cheek: south", "cheek: east")
    layer_last.frame(("press", "cheek"), ("press", "knee"), at=10)

    assert frames(layer_first, 100) == ["10: press east"]
    assert frames(layer_last, 100) == ["10: press south"]


def test_sticks_are_resolved_after_the_whole_frame() -> None:
    """Section 7: "then sticks are resolved", so a stick takes the layer of the frame's end."""
    for acts in (
        (("press", "knee"), ("move", "wand", 1.0, 0.0)),
        (("move", "wand", 1.0, 0.0), ("press", "knee")),
    ):
        bench = desk("knee: {layer: net}, wand: left-stick", "wand: right-stick")
        bench.frame(*acts, at=10)

        assert frames(bench, 100) == ["10: right-stick 32767 0"]


def test_directions_are_pressed_after_all_of_a_frames_buttons() -> None:
    """Section 12, 17: though the stick's events stand first in the frame."""
    bench = desk("knee: {layer: net}, wand.up: south", "wand.up: east")
    bench.frame(("move", "wand", 0.0, -1.0), ("press", "knee"), at=10)

    assert frames(bench, 100) == ["10: press east"]


def test_at_most_one_output_frame_for_an_input_frame() -> None:
    """Section 7: "then at most one output frame is made"."""
    bench = desk("knee: south, cheek: east, wand: left-stick")
    bench.frame(("press", "knee"), ("move", "wand", 1.0, 0.0), ("press", "cheek"), at=10)

    assert frames(bench, 100) == ["10: press south, press east, left-stick 32767 0"]


def test_press_and_release_in_one_frame_are_both_seen() -> None:
    """Section 7: nothing of a frame is lost; the press is shown for `shortest-press`."""
    bench = Bench(board("play: {knee: south}", knee="debounce: 0ms"))
    bench.frame(("press", "knee"), ("release", "knee"), at=10)

    assert frames(bench, 100) == ["10: press south", "44: release south"]


def test_frame_that_changes_nothing_makes_no_output_frame() -> None:
    """Section 7: "Only what changed"."""
    bench = Bench(board("sail: {knee: {layer: net}}", "net: {cheek: south}"))
    bench.tap("knee", at=0, length=100)

    assert frames(bench, 1000) == []


# ------------------------------------------------------------------ timers


def test_timers_due_at_a_frames_time_come_before_it() -> None:
    """Section 7: "What is due at a time that a frame reaches comes before that frame"."""
    bench = Bench(board("play: {knee: {pulse: south, length: 100ms}, cheek: east}"))
    bench.tap("knee", at=0, length=50)
    bench.press("cheek", at=100)

    assert frames(bench, 1000) == ["0: press south", "100: release south", "100: press east"]


def test_timers_due_together_fire_in_the_order_in_which_they_were_set() -> None:
    """Section 7: and each "makes an output frame of its own"."""
    for first, second in (("knee", "cheek"), ("cheek", "knee")):
        bench = Bench(board("play: {knee: {pulse: south}, cheek: {pulse: east}}"))
        bench.frame(("press", first), ("press", second), at=0)
        names = {"knee": "south", "cheek": "east"}

        assert frames(bench, 1000) == [
            "0: press south, press east",
            f"150: release {names[first]}",
            f"150: release {names[second]}",
        ]


def test_timers_of_different_kinds_due_together() -> None:
    """Section 7: order of setting, whatever set them."""
    bench = Bench(
        board(
            "play: {knee: {short: north, long: west, after: 300ms}, cheek: {pulse: south}, "
            "elbow: {latch: east, at-most: 200ms}}"
        )
    )
    bench.press("knee", at=0)
    bench.press("elbow", at=100)
    bench.press("cheek", at=150)

    assert frames(bench, 1000) == [
        "100: press east",
        "150: press south",
        "300: press west",
        "300: release east",
        "300: release south",
    ]


def test_late_wake_up_bears_the_due_times() -> None:
    """Section 7: a frame "bears the timer's due time, not the time at which it was run"."""
    text = board("play: {knee: {turbo: south}, cheek: {pulse: east, length: 300ms}}")
    late, punctual = Bench(text), Bench(text)
    for bench in (late, punctual):
        bench.press("knee", at=0)
        bench.press("cheek", at=10)
    for at in range(11, 2001):
        punctual.until(at)

    assert frames(late, 2000) == frames(punctual)


def test_what_was_due_before_a_late_frame_comes_first() -> None:
    """Section 7: a frame that is fed late finds the decisions of the time before it."""
    bench = Bench(
        board(
            "sail: {knee: {cycle: [sail, net], back-after: 500ms}, cheek: south}",
            "net: {cheek: east}",
        )
    )
    bench.tap("knee", at=0, length=50)
    bench.tap("cheek", at=9000, length=50)

    assert frames(bench, 10_000) == ["9000: press south", "9050: release south"]


def test_next_deadline_is_later_than_the_time_reached() -> None:
    """Section 7: what is due has happened when a time has been reached."""
    bench = Bench(board("play: {knee: {turbo: south}, cheek: {pulse: east}}"))
    bench.press("knee", at=0)
    bench.press("cheek", at=3)
    for at in range(4, 600):
        bench.until(at)
        deadline = bench.engine.next_deadline_us

        assert deadline is not None
        assert deadline > at * 1000


def test_no_deadline_when_nothing_can_happen_by_itself() -> None:
    """Section 7: an engine at rest does not wake up."""
    bench = Bench(board("play: {knee: {turbo: south}, cheek: {pulse: east}}"))
    bench.tap("knee", at=0, length=100)
    bench.tap("cheek", at=100, length=100)
    bench.until(5000)

    assert bench.engine.next_deadline_us is None


# ------------------------------------------------------------------ shortest-press


def quick(top: str = "") -> Bench:
    """Two buttons without debounce."""
    return Bench(
        board(
            "play: {knee: south, cheek: east}", top=top, knee="debounce: 0ms", cheek="debounce: 0ms"
        )
    )


def test_press_is_shown_for_34_ms() -> None:
    """Section 7: "stays pressed for at least `shortest-press`"; section 2: 34ms."""
    bench = quick()
    bench.tap("knee", at=0, length=1)

    assert frames(bench, 1000) == ["0: press south", "34: release south"]


def test_press_of_34_ms_is_not_lengthened() -> None:
    """Section 7: at least, so a press that long is as it is."""
    bench = quick()
    bench.tap("knee", at=0, length=34)
    bench.tap("cheek", at=100, length=35)

    assert frames(bench, 1000) == [
        "0: press south",
        "34: release south",
        "100: press east",
        "135: release east",
    ]


def test_release_is_shown_for_34_ms() -> None:
    """Section 7: "once released stays so for as long before it is pressed again"."""
    bench = quick()
    bench.tap("knee", at=0, length=100)
    bench.tap("knee", at=110, length=100)

    assert frames(bench, 1000) == [
        "0: press south",
        "100: release south",
        "134: press south",
        "210: release south",
    ]


def test_gap_that_came_and_went_is_not_shown() -> None:
    """Section 7: "a gap that came and went is not shown"."""
    bench = quick()
    bench.tap("knee", at=0, length=10)
    bench.tap("knee", at=20, length=100)

    assert frames(bench, 1000) == ["0: press south", "120: release south"]


def test_press_that_came_and_went_in_the_wait_is_shown() -> None:
    """Section 7: it "is shown then, for `shortest-press`"."""
    bench = quick()
    bench.tap("knee", at=0, length=100)
    bench.tap("knee", at=110, length=10)

    assert frames(bench, 1000) == [
        "0: press south",
        "100: release south",
        "134: press south",
        "168: release south",
    ]


def test_press_shown_late_is_still_shown_for_34_ms() -> None:
    """Section 7: counted from when it is shown."""
    bench = quick()
    bench.tap("knee", at=0, length=100)
    bench.tap("knee", at=110, length=40)

    assert frames(bench, 1000) == [
        "0: press south",
        "100: release south",
        "134: press south",
        "168: release south",
    ]


def test_own_shortest_press() -> None:
    """Section 2: `shortest-press` is a top-level setting."""
    bench = quick("shortest-press: 50ms")
    bench.tap("knee", at=0, length=1)

    assert frames(bench, 1000) == ["0: press south", "50: release south"]


def test_shortest_press_of_one_button_delays_no_other() -> None:
    """Section 7: each pad button by itself."""
    bench = quick()
    bench.press("knee", at=0)
    bench.press("cheek", at=5)
    bench.release("knee", at=10)
    bench.release("cheek", at=60)

    assert frames(bench, 1000) == [
        "0: press south",
        "5: press east",
        "34: release south",
        "60: release east",
    ]


def test_stick_directions_are_not_held() -> None:
    """Section 7: "Stick directions are not held so"."""
    bench = Bench(board("play: {knee: left-stick.up}", knee="debounce: 0ms"))
    bench.tap("knee", at=0, length=1)
    bench.tap("knee", at=2, length=1)

    assert frames(bench, 1000) == [
        "0: left-stick 0 -32767",
        "1: left-stick 0 0",
        "2: left-stick 0 -32767",
        "3: left-stick 0 0",
    ]


@pytest.mark.parametrize("trigger", ["left-trigger", "right-trigger"])
def test_trigger_pressed_by_a_button_is_held_so(trigger: str) -> None:
    """Section 7: "a trigger as far as buttons drive it"."""
    bench = Bench(board(f"play: {{knee: {trigger}}}", knee="debounce: 0ms"))
    bench.tap("knee", at=0, length=1)

    assert frames(bench, 1000) == [f"0: {trigger} 255", f"34: {trigger} 0"]


def test_dpad_is_held_so() -> None:
    """Section 7: a pad button "of the 17", the d-pad among them."""
    bench = Bench(board("play: {knee: dpad-up}", knee="debounce: 0ms"))
    bench.tap("knee", at=0, length=1)

    assert frames(bench, 1000) == ["0: press dpad-up", "34: release dpad-up"]


def test_opposite_of_the_dpad_waits_for_the_release() -> None:
    """Section 12, 8: "its opposite waits for the release, and both are one event"."""
    bench = Bench(
        board(
            "play: {knee: dpad-left, cheek: dpad-right}",
            knee="debounce: 0ms",
            cheek="debounce: 0ms",
        )
    )
    bench.tap("knee", at=0, length=5)
    bench.press("cheek", at=10)
    bench.release("cheek", at=200)

    assert frames(bench, 1000) == [
        "0: press dpad-left",
        "34: release dpad-left, press dpad-right",
        "200: release dpad-right",
    ]


def test_waits_that_are_over_together_are_shown_together() -> None:
    """Section 12, 16: "Every change whose wait ... is over by the time of an output frame"."""
    bench = quick()
    bench.frame(("press", "knee"), ("press", "cheek"), at=0)
    bench.frame(("release", "knee"), ("release", "cheek"), at=10)

    assert frames(bench, 1000) == [
        "0: press south, press east",
        "34: release south, release east",
    ]


def test_wait_over_at_a_frames_time_is_shown_before_it() -> None:
    """Section 7: the wait is a timer, so it comes before the frame of its time."""
    bench = quick()
    bench.tap("knee", at=0, length=10)
    bench.press("cheek", at=34)

    assert frames(bench, 1000) == ["0: press south", "34: release south", "34: press east"]


def test_two_controls_of_one_target_in_quick_turn() -> None:
    """Section 7: the pad button counts, whoever presses it: the gap between is not shown."""
    bench = Bench(
        board("play: {knee: south, cheek: south}", knee="debounce: 0ms", cheek="debounce: 0ms")
    )
    bench.tap("knee", at=0, length=10)
    bench.tap("cheek", at=12, length=5)

    assert frames(bench, 1000) == ["0: press south", "34: release south"]


# ------------------------------------------------------------------ replays


def test_same_input_gives_the_same_output_and_trace() -> None:
    """Section 7: "Nothing in the engine reads a clock", so all is repeated exactly."""
    runs = []
    for _ in range(2):
        bench = Bench(
            board(
                "sail: {knee: {short: south, long: {layer: net, how: toggle}}, "
                "cheek: {turbo: east}, "
                "wand: left-stick}",
                "net: {wand: dpad}",
                wand="steady: medium",
            )
        )
        bench.tap("knee", at=10, length=100)
        bench.press("cheek", at=300)
        bench.move("wand", 0.7, 0.7, at=310)
        bench.tap("knee", at=400, length=1000)
        bench.unplug("joystick", at=2000)
        bench.until(3000)
        runs.append((bench.frames, bench.notices, list(bench.trace)))

    assert runs[0] == runs[1]
    assert runs[0][0]
