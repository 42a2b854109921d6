"""The layout language, sections 2 and 4: pad controls as targets, together, directions, verbs."""

from __future__ import annotations

import pytest

from tests.language.board import board, frames
from tests.support.bench import Bench

BUTTONS = (
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
    "dpad-down",
    "dpad-left",
    "dpad-right",
)


@pytest.mark.parametrize("target", BUTTONS)
def test_target_is_pressed_and_released_with_its_control(target: str) -> None:
    """Section 4, a target: on press "presses it", on release "releases it"."""
    bench = Bench(board(f"play: {{knee: {target}}}"))
    bench.tap("knee", at=10, length=100)

    assert frames(bench, 1000) == [f"10: press {target}", f"110: release {target}"]


@pytest.mark.parametrize("trigger", ["left-trigger", "right-trigger"])
def test_button_drives_a_trigger_fully(trigger: str) -> None:
    """Section 2: "2 triggers, which are analogue and which a button drives fully (0 or 255)"."""
    bench = Bench(board(f"play: {{knee: {trigger}}}"))
    bench.tap("knee", at=10, length=100)

    assert frames(bench, 1000) == [f"10: {trigger} 255", f"110: {trigger} 0"]


@pytest.mark.parametrize("stick", ["left-stick", "right-stick"])
@pytest.mark.parametrize(
    ("direction", "out"),
    [("up", "0 -32767"), ("down", "0 32767"), ("left", "-32767 0"), ("right", "32767 0")],
)
def test_direction_pushes_the_stick_fully(stick: str, direction: str, out: str) -> None:
    """Section 2: "they push it fully that way"."""
    bench = Bench(board(f"play: {{knee: {stick}.{direction}}}"))
    bench.tap("knee", at=10, length=100)

    assert frames(bench, 1000) == [f"10: {stick} {out}", f"110: {stick} 0 0"]


def test_two_directions_are_a_diagonal_in_the_unit_circle() -> None:
    """Section 2: "and two together a diagonal within the unit circle"."""
    bench = Bench(board("play: {knee: left-stick.up, cheek: left-stick.right}"))
    bench.press("knee", at=0)
    bench.press("cheek", at=100)
    bench.release("knee", at=200)
    bench.release("cheek", at=300)

    assert frames(bench, 1000) == [
        "0: left-stick 0 -32767",
        "100: left-stick 23170 -23170",
        "200: left-stick 32767 0",
        "300: left-stick 0 0",
    ]


def test_opposite_directions_of_a_stick_cancel() -> None:
    """Section 6: one person's sticks are joined by the sum."""
    bench = Bench(board("play: {knee: left-stick.up, cheek: left-stick.down}"))
    bench.press("knee", at=0)
    bench.press("cheek", at=100)
    bench.release("knee", at=200)

    assert frames(bench, 1000) == [
        "0: left-stick 0 -32767",
        "100: left-stick 0 0",
        "200: left-stick 0 32767",
    ]


def test_direction_and_whole_stick_are_summed() -> None:
    """Section 6: "sticks by the clamped sum", buttons and a stick alike."""
    bench = Bench(board("play: {knee: left-stick.up, wand: left-stick}", wand="dead-zone: 0%"))
    bench.move("wand", 0, 0.5, at=0)
    bench.press("knee", at=100)
    bench.move("wand", 1, 0, at=200)

    assert frames(bench, 1000) == [
        "0: left-stick 0 16384",
        "100: left-stick 0 -16384",
        "200: left-stick 23170 -23170",
    ]


def test_together_is_one_frame_in_pad_order() -> None:
    """Section 4, together: "presses all, in one frame"."""
    bench = Bench(board("play: {knee: {together: [left-shoulder, south]}}"))
    bench.tap("knee", at=0, length=100)

    assert frames(bench, 1000) == [
        "0: press south, press left-shoulder",
        "100: release south, release left-shoulder",
    ]


def test_together_takes_triggers_and_directions() -> None:
    """Section 4: a target may be a trigger, a d-pad or a stick direction, together with others."""
    bench = Bench(
        board("play: {knee: {together: [right-trigger, left-stick.up, dpad-left, south]}}")
    )
    bench.tap("knee", at=0, length=100)

    assert frames(bench, 1000) == [
        "0: press south, press dpad-left, left-stick 0 -32767, right-trigger 255",
        "100: release south, release dpad-left, left-stick 0 0, right-trigger 0",
    ]


def test_two_controls_of_one_target_press_it_once() -> None:
    """Section 6: one person's buttons are joined "by or"."""
    bench = Bench(board("play: {knee: south, cheek: south}"))
    bench.press("knee", at=0)
    bench.press("cheek", at=50)
    bench.release("knee", at=100)
    bench.release("cheek", at=200)

    assert frames(bench, 1000) == ["0: press south", "200: release south"]


def test_together_shares_a_target_with_another_control() -> None:
    """Section 6: a target is released when the last that presses it lets go."""
    bench = Bench(board("play: {knee: {together: [south, east]}, cheek: south}"))
    bench.press("cheek", at=0)
    bench.press("knee", at=50)
    bench.release("cheek", at=100)
    bench.release("knee", at=200)

    assert frames(bench, 1000) == [
        "0: press south",
        "50: press east",
        "200: release south, release east",
    ]


@pytest.mark.parametrize(("first", "second"), [("up", "down"), ("left", "right")])
def test_opposites_of_the_dpad_give_neither(first: str, second: str) -> None:
    """Section 6: "`dpad` left with right, or up with down, gives neither"."""
    bench = Bench(board(f"play: {{knee: dpad-{first}, cheek: dpad-{second}}}"))
    bench.press("knee", at=0)
    bench.press("cheek", at=100)
    bench.release("knee", at=200)
    bench.release("cheek", at=300)

    assert frames(bench, 1000) == [
        f"0: press dpad-{first}",
        f"100: release dpad-{first}",
        f"200: press dpad-{second}",
        f"300: release dpad-{second}",
    ]


def test_dpad_directions_of_different_pairs_go_together() -> None:
    """Section 2: the d-pad's two hat axes are independent."""
    bench = Bench(board("play: {knee: dpad-up, cheek: dpad-left}"))
    bench.press("knee", at=0)
    bench.press("cheek", at=100)
    bench.release("knee", at=200)
    bench.release("cheek", at=300)

    assert frames(bench, 1000) == [
        "0: press dpad-up",
        "100: press dpad-left",
        "200: release dpad-up",
        "300: release dpad-left",
    ]


def test_verbs_stand_for_pad_controls() -> None:
    """Section 2: verbs are "usable below wherever a pad control is"."""
    bench = Bench(
        board(
            "play: {knee: hoist, cheek: {together: [hoist, cast-net]}, wand: steer}",
            top="verbs: {hoist: south, cast-net: right-trigger, steer: left-stick}",
        )
    )
    bench.tap("knee", at=0, length=100)
    bench.tap("cheek", at=200, length=100)
    bench.move("wand", 1, 0, at=400)

    assert frames(bench, 1000) == [
        "0: press south",
        "100: release south",
        "200: press south, right-trigger 255",
        "300: release south, right-trigger 0",
        "400: left-stick 32767 0",
    ]


def test_verb_for_a_stick_direction() -> None:
    """Section 4: a target is also "a verb for one"."""
    bench = Bench(board("play: {knee: ahead}", top="verbs: {ahead: left-stick.up}"))
    bench.tap("knee", at=0, length=100)

    assert frames(bench, 1000) == ["0: left-stick 0 -32767", "100: left-stick 0 0"]


def test_unbound_control_does_nothing() -> None:
    """Section 5: a layer that does not name the control is passed through, the base too."""
    bench = Bench(board("play: {knee: south}"))
    bench.tap("cheek", at=0, length=100)

    assert frames(bench, 1000) == []


def test_nothing_does_nothing() -> None:
    """Section 4, nothing: "blocks the control in this layer"."""
    bench = Bench(board("play: {knee: nothing, wand: nothing, cheek: south}"))
    bench.tap("knee", at=0, length=100)
    bench.move("wand", 1, 0, at=200)

    assert frames(bench, 1000) == []


def test_smallest_file_of_the_language() -> None:
    """Section 2: the smallest useful file, with one layer and no base named."""
    text = """
remapd: 1
title: Two knee switches
devices:
  knees:
    find: {name: "Switch box"}
    controls:
      left-knee: {button: BTN_0}
      right-knee: {button: BTN_1}
layers:
  play:
    left-knee: south
    right-knee: left-stick.up
"""
    bench = Bench(text)
    bench.press("left-knee", at=0)
    bench.press("right-knee", at=50)
    bench.release("left-knee", at=100)
    bench.release("right-knee", at=150)

    assert frames(bench, 1000) == [
        "0: press south",
        "50: left-stick 0 -32767",
        "100: release south",
        "150: left-stick 0 0",
    ]
