"""From the player's switches to a game: the real daemon, and its pad read through SDL2.

Source: SDL2's game controller interface itself, which knows nothing of the layout. In its words `a`
is the south face button, `b` the east one, `x` the west one and `y` the north one.
"""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator

import pytest
from evdev import UInput, ecodes

from tests.support.daemon import BOX, GAMEPAD, STICK, Daemon, move, plugged, press, release
from tests.support.sdl_view import SdlGame

Start = Callable[..., Daemon]
Plug = Callable[..., UInput]
Play = Callable[..., tuple[Daemon, SdlGame]]

#: What SDL reads of a stick that is pushed all the way to the left or up.
FULL = -32768

BOAT = """
remapd: 1
title: Harbour, with one stick and knee switches
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
      elbow: {button: BTN_3}
      heel: {button: BTN_4}
layers:
  sail:
    tiller: left-stick
    left-knee: {layer: look}
    right-knee: {layer: look, how: toggle}
    chin: south
    elbow: {turbo: west, rate: 5/s}
    heel: {latch: right-trigger}
  look:
    tiller: right-stick
    chin: east
"""
LEFT_KNEE, RIGHT_KNEE, CHIN, ELBOW, HEEL = range(ecodes.BTN_0, ecodes.BTN_0 + 5)

TWO_PEOPLE = """
remapd: 1
title: Harbour, with a helper
devices:
  foot:
    find: {name: "Foot stick"}
    controls:
      tiller: {stick: [ABS_X, ABS_Y]}
  knees:
    find: {name: "Knee box"}
    controls:
      left-knee: {button: BTN_0}
  helper-pad:
    person: helper
    find: {name: "Helper pad"}
    controls: gamepad
layers:
  sail:
    tiller: left-stick
    left-knee: south
    helper-pad: same
"""


@pytest.fixture(scope="module")
def games() -> Iterator[list[SdlGame]]:
    """One game for all tests here, which keeps the pad open as the layouts change."""
    started: list[SdlGame] = []
    yield started
    for game in started:
        game.close()


@pytest.fixture
def play(start: Start, games: list[SdlGame]) -> Iterator[Play]:
    """Gives the daemon a layout, waits for its devices, and gives daemon and game."""
    seen_elsewhere: list[tuple[SdlGame, int]] = []

    def begin(layout: str, *devices: str) -> tuple[Daemon, SdlGame]:
        daemon = start(layout)
        daemon.until_taken(*devices)
        if not games or not games[-1].look()["attached"]:
            games.append(SdlGame(daemon.status()["pad"]["name"]))
        games[-1].comes_to_read({})
        seen_elsewhere.append((games[-1], games[-1].look()["elsewhere"]))
        return daemon, games[-1]

    yield begin
    for game, before in seen_elsewhere:
        assert game.look()["elsewhere"] == before, "the game saw a source beside the pad"


def tap(device: UInput, code: int) -> None:
    press(device, code)
    release(device, code)


def test_a_held_layer_moves_the_other_stick_in_the_game(play: Play, plug: Plug) -> None:
    foot, knees = plug(STICK, "Foot stick"), plug(BOX, "Knee box")
    _, game = play(BOAT, "foot", "knees")
    move(foot, ecodes.ABS_X, -100)
    game.comes_to_read({"leftx": FULL})
    press(knees, LEFT_KNEE)
    game.comes_to_read({"rightx": FULL})
    move(foot, ecodes.ABS_X, 0)
    move(foot, ecodes.ABS_Y, -100)
    game.comes_to_read({"righty": FULL})
    release(knees, LEFT_KNEE)
    game.comes_to_read({"lefty": FULL})


def test_a_toggled_layer_changes_both_devices_until_it_is_toggled_again(
    play: Play, plug: Plug
) -> None:
    foot, knees = plug(STICK, "Foot stick"), plug(BOX, "Knee box")
    daemon, game = play(BOAT, "foot", "knees")
    press(knees, CHIN)
    move(foot, ecodes.ABS_Y, -100)
    game.comes_to_read({"a": 1, "lefty": FULL})
    release(knees, CHIN)
    tap(knees, RIGHT_KNEE)
    game.comes_to_read({"righty": FULL})
    press(knees, CHIN)
    game.comes_to_read({"b": 1, "righty": FULL})
    release(knees, CHIN)
    daemon.until_status(lambda status: status["layers"] == ["sail", "look"])
    tap(knees, RIGHT_KNEE)
    game.comes_to_read({"lefty": FULL})
    press(knees, CHIN)
    game.comes_to_read({"a": 1, "lefty": FULL})


def test_a_turbo_is_many_presses_for_the_game_and_ends_released(play: Play, plug: Plug) -> None:
    plug(STICK, "Foot stick")
    knees = plug(BOX, "Knee box")
    _, game = play(BOAT, "foot", "knees")
    before = game.look()["presses"]
    press(knees, ELBOW)
    seen = game.until(lambda seen: seen["presses"].get("x", 0) - before.get("x", 0) >= 4)
    release(knees, ELBOW)
    game.comes_to_read({})
    assert {name for name in seen["presses"] if seen["presses"][name] != before.get(name)} == {"x"}


def test_a_latch_stays_pressed_for_the_game(play: Play, plug: Plug) -> None:
    foot, knees = plug(STICK, "Foot stick"), plug(BOX, "Knee box")
    _, game = play(BOAT, "foot", "knees")
    tap(knees, HEEL)
    game.comes_to_read({"righttrigger": 32767})
    press(knees, CHIN)
    move(foot, ecodes.ABS_X, -100)
    game.comes_to_read({"righttrigger": 32767, "a": 1, "leftx": FULL})
    release(knees, CHIN)
    move(foot, ecodes.ABS_X, 0)
    game.comes_to_read({"righttrigger": 32767})
    tap(knees, HEEL)
    game.comes_to_read({})


def test_two_people_are_one_controller(play: Play, plug: Plug) -> None:
    foot, knees = plug(STICK, "Foot stick"), plug(BOX, "Knee box")
    helper = plug(GAMEPAD, "Helper pad")
    _, game = play(TWO_PEOPLE, "foot", "knees", "helper-pad")
    press(knees, LEFT_KNEE)
    press(helper, ecodes.BTN_EAST)
    move(helper, ecodes.ABS_X, -32768)
    game.comes_to_read({"a": 1, "b": 1, "leftx": FULL})
    move(foot, ecodes.ABS_Y, -100)  # sticks: the player goes first
    game.comes_to_read({"a": 1, "b": 1, "lefty": FULL})
    move(foot, ecodes.ABS_Y, 0)
    release(knees, LEFT_KNEE)
    game.comes_to_read({"b": 1, "leftx": FULL})


def test_a_button_held_through_a_reload_is_released_for_the_game(play: Play, plug: Plug) -> None:
    foot, knees = plug(STICK, "Foot stick"), plug(BOX, "Knee box")
    daemon, game = play(BOAT, "foot", "knees")
    move(foot, ecodes.ABS_X, -100)
    press(knees, CHIN)
    game.comes_to_read({"a": 1, "leftx": FULL})
    daemon.save(BOAT.replace("chin: south", "chin: north"))
    game.comes_to_read({"leftx": FULL})
    release(knees, CHIN)
    press(knees, CHIN)
    game.comes_to_read({"y": 1, "leftx": FULL})


def test_unplugging_releases_and_plugging_in_again_plays_on(play: Play, plug: Plug) -> None:
    foot = plug(STICK, "Foot stick")
    with plugged(BOX, "Knee box") as knees:
        daemon, game = play(BOAT, "foot", "knees")
        move(foot, ecodes.ABS_X, -100)
        tap(knees, HEEL)
        press(knees, CHIN)
        game.comes_to_read({"a": 1, "righttrigger": 32767, "leftx": FULL})
    game.comes_to_read({"leftx": FULL})
    daemon.until_status(
        lambda status: [d["state"] for d in status["devices"]] == ["taken", "missing"]
    )
    with plugged(BOX, "Knee box") as knees:
        daemon.until_taken("knees")
        press(knees, CHIN)
        game.comes_to_read({"a": 1, "leftx": FULL})
        assert game.look()["attached"], "the game kept its controller all the while"
        release(knees, CHIN)
        game.comes_to_read({"leftx": FULL})


def test_a_killed_daemon_is_a_controller_that_goes(start_own: Start, plug: Plug) -> None:
    foot, knees = plug(STICK, "Foot stick"), plug(BOX, "Knee box")
    daemon = start_own(BOAT, name="second")
    daemon.until_taken("foot", "knees")
    game = SdlGame(daemon.status()["pad"]["name"])
    move(foot, ecodes.ABS_X, -100)
    press(knees, CHIN)
    game.comes_to_read({"a": 1, "leftx": FULL})

    daemon.end(signal.SIGKILL)

    game.until(lambda seen: not seen["attached"])
    game.comes_to_read({})
    game.close()
