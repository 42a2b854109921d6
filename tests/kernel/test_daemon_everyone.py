"""Play without a layout file: every gamepad together, and who is who."""

from __future__ import annotations

from collections.abc import Callable

from evdev import UInput, ecodes

from tests.support.daemon import GAMEPAD, Daemon, move, press, release

Start = Callable[..., Daemon]
Plug = Callable[..., UInput]


def test_two_people_share_a_game_within_a_minute(  # noqa: PLR0915 - one story, in its order
    start_own: Start, plug: Plug
) -> None:
    red = plug(GAMEPAD, "Red pad")
    daemon = start_own()
    game = daemon.game
    daemon.until_taken("pad-1")
    daemon.until_said("whoever holds a button for 1 second first is the player")
    press(red, ecodes.BTN_SOUTH)
    game.until_pressed("south")
    release(red, ecodes.BTN_SOUTH)
    game.until_neutral()

    # one that comes later joins, and until somebody is the player all count alike
    blue = plug(GAMEPAD, "Blue pad")
    daemon.until_taken("pad-2")
    move(blue, ecodes.ABS_X, 32767)
    game.until(lambda view: view.axes["left-stick.x"] == 32767)
    move(red, ecodes.ABS_X, -32768)
    game.until(lambda view: view.axes["left-stick.x"] == 0)
    for pad in (red, blue):
        move(pad, ecodes.ABS_X, 0)
    assert daemon.status()["player"] is None

    press(blue, ecodes.BTN_EAST)
    game.until_pressed("east")
    daemon.until_said("the player is on “Blue pad”, the helper is on “Red pad”")
    assert game.view.pressed == {"east"}, "nothing is cut short"
    release(blue, ecodes.BTN_EAST)
    daemon.until_status(lambda status: status["player"] == "Blue pad")
    daemon.until_status(lambda status: status["devices"][0]["person"] == "helper")

    # the player's stick goes first
    move(red, ecodes.ABS_X, 32767)
    game.until(lambda view: view.axes["left-stick.x"] == 32767)
    move(blue, ecodes.ABS_X, -32768)
    game.until(lambda view: view.axes["left-stick.x"] < -32000)
    move(blue, ecodes.ABS_X, 0)
    move(red, ecodes.ABS_X, 0)
    game.until_neutral()

    # select and start for two seconds change places
    press(red, ecodes.BTN_SELECT)
    press(red, ecodes.BTN_START)
    daemon.until_said("the player is on “Red pad”, the helper is on “Blue pad”")
    release(red, ecodes.BTN_SELECT)
    release(red, ecodes.BTN_START)
    daemon.until_status(lambda status: status["player"] == "Red pad")
    done = daemon.command("swap")
    assert done.stdout == "The player is on “Blue pad” now.\n"
    daemon.until_status(lambda status: status["devices"][1]["person"] == "player")
    assert "The player is on “Blue pad”." in daemon.command("status").stdout

    # and from a layout file on, that alone counts
    file = daemon.folder / "boat.yaml"
    file.write_text("""
remapd: 1
title: A boat
devices:
  red: {find: {name: "Red pad"}, controls: {one: {button: BTN_SELECT}, two: {button: BTN_START}}}
layers:
  sail: {one: south, two: east}
""")
    daemon.ask("use", path=str(file))
    daemon.until_taken("red")
    press(red, ecodes.BTN_SELECT)
    press(red, ecodes.BTN_START)
    game.until_pressed("south", "east")
    game.quiet_for(2.5)
    assert daemon.status()["layout"]["title"] == "A boat"
    assert "written in the layout" in daemon.command("swap").stderr


def test_the_pad_of_another_daemon_is_no_gamepad_to_share(start_own: Start, plug: Plug) -> None:
    first = start_own(name="first")
    second = start_own(name="second")
    red = plug(GAMEPAD, "Red pad")
    owner, other = first, second
    owners = {d.name: d.until_status(_settled)["devices"][0]["state"] for d in (first, second)}
    assert sorted(owners.values()) == ["busy", "taken"]
    if owners["second"] == "taken":
        owner, other = second, first
    press(red, ecodes.BTN_SOUTH)
    owner.game.until_pressed("south")
    other.game.quiet_for(0.3)
    assert [d["state"] for d in owner.status()["devices"]].count("taken") == 1


def _settled(status: dict[str, object]) -> bool:
    devices = status["devices"]
    assert isinstance(devices, list)
    return devices[0]["state"] in {"busy", "taken"}
