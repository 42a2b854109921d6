"""From devices to the pad: the real daemon, sources made by uinput, the pad read as a game does."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from evdev import UInput, ecodes

from tests.support.daemon import BALL, BOX, GAMEPAD, STICK, Daemon, move, press, release
from tests.support.source_devices import send

Start = Callable[..., Daemon]
Plug = Callable[..., UInput]

SWAP = """
remapd: 1
title: One stick for both, by the knee
base: sail
devices:
  foot:
    find: {name: "Foot stick"}
    controls:
      tiller: {stick: [ABS_X, ABS_Y]}
  knees:
    find: {name: "Knee box"}
    controls:
      left-knee: {button: BTN_0}
      right-knee: {button: BTN_1}
      chin: {button: BTN_2}
layers:
  sail:
    tiller: left-stick
    left-knee: {layer: look}
    right-knee: {layer: look, how: toggle}
    chin: south
  look:
    tiller: right-stick
    chin: east
"""


def start_swap(start: Start, plug: Plug) -> tuple[Daemon, UInput, UInput]:
    foot, knees = plug(STICK, "Foot stick"), plug(BOX, "Knee box")
    daemon = start(SWAP)
    daemon.until_taken("foot", "knees")
    return daemon, foot, knees


def test_a_held_layer_swaps_the_stick_in_one_frame(start: Start, plug: Plug) -> None:
    daemon, foot, knees = start_swap(start, plug)
    game = daemon.game
    move(foot, ecodes.ABS_X, 100)
    game.until(lambda view: view.axes["left-stick.x"] == 32767)

    press(knees, ecodes.BTN_0)
    game.until(lambda view: view.axes["right-stick.x"] == 32767)
    last = game.view.changes[-2:]
    assert {seen.name: seen.value for seen in last} == {
        "left-stick.x": 0,
        "right-stick.x": 32767,
    }
    assert last[0].us == last[1].us, "both in one frame"

    release(knees, ecodes.BTN_0)
    game.until(lambda view: view.axes["left-stick.x"] == 32767)
    assert game.view.axes["right-stick.x"] == 0


def test_a_toggled_layer_stays_until_it_is_toggled_again(start: Start, plug: Plug) -> None:
    daemon, _, knees = start_swap(start, plug)
    press(knees, ecodes.BTN_1)
    release(knees, ecodes.BTN_1)
    assert daemon.until_status(lambda status: len(status["layers"]) == 2)["layers"][1] == "look"
    press(knees, ecodes.BTN_2)
    daemon.game.until_pressed("east")
    release(knees, ecodes.BTN_2)
    daemon.game.until_neutral()
    press(knees, ecodes.BTN_1)
    release(knees, ecodes.BTN_1)
    daemon.until_status(lambda status: status["layers"] == ["sail"])
    press(knees, ecodes.BTN_2)
    daemon.game.until_pressed("south")


KNEES = """
remapd: 1
title: Two knees
devices:
  knees:
    find: {name: "Knee box"}
    controls:
      left-knee: {button: BTN_0}
      right-knee: {button: BTN_1}
layers:
  sail:
    left-knee: LEFT
    right-knee: RIGHT
"""


def knees_layout(left: str, right: str = "east") -> str:
    return KNEES.replace("LEFT", left).replace("RIGHT", right)


def test_a_turbo_presses_again_and_again_until_it_is_let_go(start: Start, plug: Plug) -> None:
    knees = plug(BOX, "Knee box")
    daemon = start(knees_layout("{turbo: south, rate: 5/s}"))
    daemon.until_taken("knees")
    press(knees, ecodes.BTN_0)
    daemon.game.until(lambda view: len(view.of("south")) >= 8)
    release(knees, ecodes.BTN_0)
    daemon.game.until_neutral()
    daemon.game.quiet_for(0.5)
    presses = [us for us, value in daemon.game.view.of("south") if value]
    assert len(presses) >= 4
    gaps_ms = [(later - us) / 1000 for us, later in pairwise(presses)]
    assert all(120 < gap < 280 for gap in gaps_ms), gaps_ms


def test_a_latch_stays_until_the_next_press(start: Start, plug: Plug) -> None:
    knees = plug(BOX, "Knee box")
    daemon = start(knees_layout("{latch: south}"))
    daemon.until_taken("knees")
    press(knees, ecodes.BTN_0)
    release(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")
    press(knees, ecodes.BTN_1)
    daemon.game.until_pressed("south", "east")
    release(knees, ecodes.BTN_1)
    daemon.game.until_pressed("south")
    press(knees, ecodes.BTN_0)
    daemon.game.until_neutral()


def test_release_everything_from_outside_ends_a_latch(start: Start, plug: Plug) -> None:
    knees = plug(BOX, "Knee box")
    daemon = start(knees_layout("{latch: south}"))
    daemon.until_taken("knees")
    press(knees, ecodes.BTN_0)
    release(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")
    daemon.ask("release")
    daemon.game.until_neutral()


def test_a_trackball_steers_and_comes_to_rest(start: Start, plug: Plug) -> None:
    ball = plug(BALL, "Large trackball")
    daemon = start("""
remapd: 1
title: Ball
devices:
  ball:
    find: {name: "Large trackball"}
    exclusive: true
    controls:
      roll: {pointer: [REL_X, REL_Y], full-speed: 200/s}
layers:
  sail:
    roll: left-stick
""")
    daemon.until_taken("ball")
    send(ball, (ecodes.EV_REL, ecodes.REL_X, 12))
    daemon.game.until(
        lambda view: ("left-stick.x", 32767) in [(s.name, s.value) for s in view.changes]
    )
    daemon.game.until_neutral()


TWO_PEOPLE = """
remapd: 1
title: Player and helper
devices:
  foot:
    find: {name: "Foot stick"}
    controls:
      tiller: {stick: [ABS_X, ABS_Y]}
  helper-pad:
    person: helper
    find: {shape: gamepad, name: "Helper*"}
    controls: gamepad
layers:
  sail:
    tiller: left-stick
    helper-pad: same
"""


def test_the_helper_steers_only_while_the_player_does_not(start: Start, plug: Plug) -> None:
    foot, helper = plug(STICK, "Foot stick"), plug(GAMEPAD, "Helper pad")
    daemon = start(TWO_PEOPLE)
    daemon.until_taken("foot", "helper-pad")
    game = daemon.game
    press(helper, ecodes.BTN_SOUTH)
    game.until_pressed("south")  # buttons are anyone's
    move(helper, ecodes.ABS_X, -32768)
    game.until(lambda view: view.axes["left-stick.x"] < -32000)
    move(foot, ecodes.ABS_X, 100)
    game.until(lambda view: view.axes["left-stick.x"] == 32767)
    move(foot, ecodes.ABS_X, 0)
    game.until(lambda view: view.axes["left-stick.x"] == 0)
    at_rest_us = game.view.of("left-stick.x")[-1][0]
    game.until(lambda view: view.axes["left-stick.x"] < -32000)
    helped_us = game.view.of("left-stick.x")[-1][0]
    # 400 ms of the player at rest, by the language; the pad's stamps are those of the writes
    assert helped_us - at_rest_us > 380_000


def test_both_axes_of_one_frame_reach_the_game_in_one_frame(start: Start, plug: Plug) -> None:
    daemon, foot, _ = start_swap(start, plug)
    send(foot, (ecodes.EV_ABS, ecodes.ABS_X, 60), (ecodes.EV_ABS, ecodes.ABS_Y, -60))
    daemon.game.until(lambda view: view.axes["left-stick.x"] and view.axes["left-stick.y"])
    (x_us, _), (y_us, _) = (daemon.game.view.of(f"left-stick.{axis}")[-1] for axis in "xy")
    assert x_us == y_us
