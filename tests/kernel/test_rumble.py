"""Rumble from a game to the hand: the real daemon, its pad, and devices that can shake.

Sources: the games' side is python-evdev's and SDL2's own; the devices' side is python-evdev's.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack

import pytest
from evdev import InputDevice, UInput, ecodes, ff

from remapd.daemon.client import Refused
from remapd.kernel.hotplug import describe_node
from tests.support.daemon import BOX, Daemon, press, release, until
from tests.support.sdl_view import SdlGame
from tests.support.shaking_device import STILL, Felt, ShakingDevice
from tests.support.source_devices import WAIT_S

Start = Callable[..., Daemon]
Plug = Callable[..., UInput]
PlugShaking = Callable[[str], ShakingDevice]

HARBOUR = """
remapd: 1
title: Harbour, with a helper who feels the waves
devices:
  box:
    find: {name: "Still box"}
    controls: {chin: {button: BTN_0}}
  helper-box:
    person: helper
    find: {name: "Shaking box"}
    rumble: 50%
    controls: {wheel: {button: BTN_1}}
layers:
  play: {chin: south, wheel: east}
"""
FELT_BY_NOBODY = HARBOUR.replace("    rumble: 50%\n", "")
CUED = FELT_BY_NOBODY + "cues: {latch-on: {rumble: helper-box, strength: 40%}}\n"


@pytest.fixture
def plug_shaking() -> Iterator[PlugShaking]:
    with ExitStack() as at_end:

        def plug(name: str) -> ShakingDevice:
            device = ShakingDevice(BOX, name)
            at_end.callback(device.close)
            return device

        yield plug


@pytest.fixture
def shaking(plug_shaking: PlugShaking) -> ShakingDevice:
    return plug_shaking("Shaking box")


class RumblingGame:
    """A game that knows the pad's node."""

    def __init__(self, daemon: Daemon) -> None:
        self.device: InputDevice[str] = InputDevice(daemon.game.device.path)

    def upload(self, strong: int, weak: int, length_ms: int, number: int = -1) -> int:
        """Fails after 30 s where nobody answers."""
        effect = ff.Effect(
            ecodes.FF_RUMBLE,
            number,
            0,
            ff.Trigger(0, 0),
            ff.Replay(length_ms, 0),
            ff.EffectType(ff_rumble_effect=ff.Rumble(strong, weak)),
        )
        return self.device.upload_effect(effect)

    def play(self, number: int, times: int = 1) -> None:
        self.device.write(ecodes.EV_FF, number, times)

    def close(self) -> None:
        self.device.close()


@pytest.fixture
def begin(start: Start) -> Iterator[Callable[..., tuple[Daemon, RumblingGame]]]:
    games: list[RumblingGame] = []

    def begin_game(layout: str, *devices: str) -> tuple[Daemon, RumblingGame]:
        daemon = start(layout)
        daemon.until_taken(*devices)
        games.append(RumblingGame(daemon))
        return daemon, games[-1]

    yield begin_game
    for game in games:
        game.close()


Begin = Callable[..., tuple[Daemon, RumblingGame]]


def test_a_rumble_is_felt_at_the_layouts_share_and_ends_when_it_should(
    begin: Begin, shaking: ShakingDevice
) -> None:
    daemon, game = begin(HARBOUR, "helper-box")
    device = daemon.device("helper-box")
    assert (device["rumble"], device["rumble_problem"]) == (0.5, "")
    node = describe_node(device["node"])
    assert node is not None
    assert node.can_rumble
    number = game.upload(0x8000, 0x2000, 200)
    assert shaking.felt == []  # an upload alone plays nothing
    game.play(number)
    felt = shaking.until_felt(lambda felt: felt.strong)
    assert (felt.strong, felt.weak) == (0x4000, 0x1000)
    assert 0 < felt.length_ms <= 700  # it would end there without the daemon
    shaking.until_still()
    game.upload(0xFFFF, 0xFFFF, 0, number)
    game.play(number)  # for ever
    shaking.until_felt(lambda felt: felt.strong == 0x8000)
    press(shaking.device, ecodes.BTN_1)  # as ever, though it shakes
    daemon.game.until_pressed("east")
    release(shaking.device, ecodes.BTN_1)
    daemon.game.until_neutral()
    game.device.erase_effect(number)
    shaking.until_still()


def test_how_soon_a_play_is_at_the_device_is_told(
    begin: Begin, shaking: ShakingDevice, capsys: pytest.CaptureFixture[str]
) -> None:
    """A figure to read, and no limit: in an emulated machine everything takes ten times as long."""
    _, game = begin(HARBOUR, "helper-box")
    first = game.upload(0x8000, 0, 0)
    second = game.upload(0xFFFF, 0, 0)
    asked_us: list[int] = []
    felt_us: list[int] = []

    def play(number: int, strong: int) -> None:
        asked, felt = len(shaking.asked_us), len(shaking.felt_us)
        played_us = time.monotonic_ns() // 1000
        game.play(number)
        shaking.until_felt(lambda felt: felt.strong == strong)
        asked_us.append(shaking.asked_us[asked] - played_us)
        felt_us.append(shaking.felt_us[felt] - played_us)
        game.play(number, 0)
        shaking.until_still()

    for _ in range(20):
        play(first, 0x4000)
        play(second, 0x8000)
    with capsys.disabled():
        for what, times_us in (("is asked", asked_us), ("shakes", felt_us)):
            middle_ms, longest_ms = statistics.median(times_us) / 1000, max(times_us) / 1000
            print(f"\nfrom a game's play until the device {what}:", end=" ")
            print(f"median {middle_ms:.2f} ms, longest {longest_ms:.2f} ms of {len(times_us)}")
    assert min(asked_us) > 0  # one clock, and nothing before it was played


def test_a_game_is_answered_though_nobody_feels_it(begin: Begin, shaking: ShakingDevice) -> None:
    daemon, game = begin(FELT_BY_NOBODY, "helper-box")
    for _ in range(20):  # more than can be kept at once, so that taking away is answered too
        number = game.upload(0xFFFF, 0xFFFF, 0)
        game.play(number)
        game.device.erase_effect(number)
    number = game.upload(0xFFFF, 0xFFFF, 0)
    game.play(number)
    assert daemon.device("helper-box")["rumble_problem"] is None
    assert shaking.felt == []
    daemon.save(HARBOUR)  # from now on it is felt, in the midst of it
    shaking.until_felt(lambda felt: felt.strong == 0x8000)
    daemon.save(FELT_BY_NOBODY)
    shaking.until_still()
    until(lambda: not shaking.effects)  # it has let go of the motors


def test_a_device_that_goes_and_comes_back_is_felt_again(
    begin: Begin, plug_shaking: PlugShaking
) -> None:
    first = plug_shaking("Shaking box")
    daemon, game = begin(HARBOUR, "helper-box")
    number = game.upload(0xFFFF, 0, 0)
    game.play(number)
    first.until_felt(lambda felt: felt.strong)
    first.close()
    daemon.until_status(lambda status: status["devices"][1]["state"] == "missing")
    second = plug_shaking("Shaking box")
    second.until_felt(lambda felt: felt.strong)
    daemon.ask("pause")
    second.until_still()
    daemon.ask("resume")
    second.until_felt(lambda felt: felt.strong)
    daemon.ask("release")
    second.until_still()


def test_a_device_that_does_not_answer_holds_up_neither_game_nor_input(
    begin: Begin, plug: Plug, shaking: ShakingDevice
) -> None:
    box = plug(BOX, "Still box")
    daemon, game = begin(HARBOUR, "helper-box", "box")
    shaking.answers.clear()
    number = game.upload(0xFFFF, 0, 0)
    game.play(number)
    assert shaking.is_asked.wait(WAIT_S)  # from here on the motors' driver waits, for up to 30 s
    game.upload(0x8000, 0x8000, 0, number)
    press(box, ecodes.BTN_0)
    daemon.game.until_pressed("south")
    release(box, ecodes.BTN_0)
    daemon.game.until_neutral()
    shaking.answers.set()
    shaking.until_felt(lambda felt: (felt.strong, felt.weak) == (0x4000, 0x4000))


def test_a_game_that_dies_leaves_nobody_shaking(begin: Begin, shaking: ShakingDevice) -> None:
    daemon, _ = begin(HARBOUR, "helper-box")
    script = (
        "from evdev import InputDevice, ecodes, ff; import sys, time\n"
        "pad = InputDevice(sys.argv[1])\n"
        "kind = ff.EffectType(ff_rumble_effect=ff.Rumble(0xFFFF, 0))\n"
        "effect = ff.Effect(ecodes.FF_RUMBLE, -1, 0, ff.Trigger(0, 0), ff.Replay(0, 0), kind)\n"
        "pad.write(ecodes.EV_FF, pad.upload_effect(effect), 1)\n"
        "time.sleep(600)\n"
    )
    game = subprocess.Popen([sys.executable, "-c", script, str(daemon.game.device.path)])
    shaking.until_felt(lambda felt: felt.strong)
    game.kill()
    game.wait(WAIT_S)
    shaking.until_still()


def test_a_cue_is_felt_where_the_layout_says_and_nowhere_else(
    begin: Begin, shaking: ShakingDevice
) -> None:
    daemon, _ = begin(CUED, "helper-box")
    answer = daemon.ask("rumble", device="helper-box", strength=0.4)
    assert answer["felt"]
    until(lambda: Felt(0, 0, 0) in shaking.felt)
    strengths = [felt.strong for felt in shaking.felt]
    assert max(strengths) == round(0.4 * 0xFFFF)
    assert 0 < strengths[0] < max(strengths)  # it swells
    assert shaking.felt[-1] == STILL
    with pytest.raises(Refused, match="no cue of the layout is felt on `box`"):
        daemon.ask("rumble", device="box", strength=0.4)


def test_a_device_that_cannot_rumble_is_told_of_and_plays_on(begin: Begin, plug: Plug) -> None:
    box = plug(BOX, "Shaking box")
    daemon, game = begin(HARBOUR, "helper-box")
    game.play(game.upload(0xFFFF, 0, 100))
    assert daemon.device("helper-box")["rumble_problem"] == "it cannot rumble"
    assert daemon.journal().count("nothing is felt on `helper-box`") == 1
    press(box, ecodes.BTN_1)
    daemon.game.until_pressed("east")


def test_sdl_says_that_the_pad_rumbles_and_what_it_plays_is_felt(
    begin: Begin, shaking: ShakingDevice
) -> None:
    daemon, _ = begin(HARBOUR, "helper-box")
    game = SdlGame(daemon.status()["pad"]["name"])
    assert game.greeting["rumbles"]
    game.rumble(0x6000, 0xFFFF, 10_000)
    felt = shaking.until_felt(lambda felt: felt.weak)
    assert (felt.strong, felt.weak) == (0x3000, 0x8000)
    game.rumble(0, 0, 0)
    shaking.until_still()
    game.close()
