"""The layout language's own examples (sections 2 and 11): they load, and do what they say."""

from __future__ import annotations

from pathlib import Path

import pytest

from remapd.engine import Layout
from remapd.language import load
from tests.language.board import frames
from tests.support.bench import Bench

FOREARM = """\
remapd: 1                       # the language version; required, first
title: Forearm trackball and knee switches
notes: For a harbour-sailing game. The right forearm rests on the ball.
include: ward-devices.yaml      # optional: takes `devices` from that file
verbs: {hoist: south, cast-net: right-trigger, steer: left-stick}
needs: [hoist, cast-net, steer, start]
base: sail
devices:
  ball:
    find: {name: "Large trackball*", vendor: 0x1209, product: 0x2001}
    exclusive: true
    controls:
      roll: {pointer: [REL_X, REL_Y], full-speed: 600/s}
  knees:
    find: {name: "Switch box", serial: "B*"}
    controls:
      left-knee:  {button: BTN_0, acceptance-delay: 80ms}
      right-knee: {button: BTN_1}
  helper-pad:
    person: helper              # `player` unless said
    find: {shape: gamepad}
    controls: gamepad
layers:
  sail:
    roll: steer
    left-knee: {short: hoist, long: {layer: net, how: toggle}, after: 900ms}
    right-knee: {layer: chart, how: next}
    helper-pad: same
  net:
    right-knee: {turbo: cast-net, rate: 4/s, how: toggle}
  chart:
    roll: dpad
    left-knee: start
merge:
  hoist: player-only
  left-stick: {rule: player-first, after-player: 600ms}
tunings:
  tired: {left-knee: {acceptance-delay: 50ms}, roll: {full-speed: 400/s}}
"""

WARD = """\
remapd: 1
title: The ward's devices
devices:
  foot-bar: {find: {name: "Foot bar"}, controls: {heel: {button: BTN_3}}}
layers:
  bare: {}
"""


@pytest.fixture
def forearm(tmp_path: Path) -> Layout:
    """The larger example of section 2, with the file that it includes."""
    (tmp_path / "ward-devices.yaml").write_text(WARD, encoding="utf-8")
    path = tmp_path / "forearm.yaml"
    path.write_text(FOREARM, encoding="utf-8")
    loaded = load(path)
    assert loaded.layout is not None, [str(each) for each in loaded.diagnostics]
    return loaded.layout


def test_larger_example_has_its_own_and_the_included_devices(forearm: Layout) -> None:
    """Section 2, include: "takes `devices` from that file"."""
    names = {device.name for device in forearm.devices}

    assert names == {"ball", "knees", "helper-pad", "foot-bar"}
    assert forearm.layers[0].name == "sail"


def test_chart_layer_lasts_for_one_press(forearm: Layout) -> None:
    """Section 11: the example trial, its input and what it expects."""
    bench = Bench(forearm)
    bench.tap("right-knee", at=0, length=120)
    bench.tap("left-knee", at=500, length=200)
    for at in range(900, 1200, 20):  # the ball turns for 300 ms, at 600 counts/s
        bench.count("roll", 12 if at > 900 else 36, 0, at=at)
    bench.until(2000)

    assert frames(bench)[:3] == [
        "580: press start",
        "700: release start",
        "900: left-stick 32767 0",
    ]
    assert bench.neutral


def test_short_and_long_of_the_left_knee(forearm: Layout) -> None:
    """Section 2: hoist by a short press; the net layer by one of 900 ms, both after 80 ms."""
    bench = Bench(forearm)
    bench.tap("left-knee", at=0, length=300)
    bench.tap("left-knee", at=1000, length=1500)
    bench.tap("right-knee", at=3000, length=50)
    bench.tap("right-knee", at=3450, length=50)

    assert frames(bench, 5000) == [
        "300: press south",
        "360: release south",
        "3000: right-trigger 255",
        "3125: right-trigger 0",
        "3250: right-trigger 255",
        "3375: right-trigger 0",
    ]


def test_touch_of_the_left_knee_does_nothing(forearm: Layout) -> None:
    """Section 3, acceptance-delay of 80 ms."""
    bench = Bench(forearm)
    bench.tap("left-knee", at=0, length=79)

    assert frames(bench, 1000) == []


def test_ball_goes_to_the_dpad_in_the_chart_layer(forearm: Layout) -> None:
    """Section 2: a whole pointer to `dpad`, which uses the layer up."""
    bench = Bench(forearm)
    bench.tap("right-knee", at=0, length=50)
    bench.count("roll", 0, -36, at=200)
    bench.count("roll", 0, -36, at=400)

    assert frames(bench, 1000) == [
        "200: press dpad-up",
        "260: release dpad-up",
        "400: left-stick 0 -32767",
        "460: left-stick 0 0",
    ]


def test_helper_steers_when_the_player_has_rested_for_600_ms_and_never_hoists(
    forearm: Layout,
) -> None:
    """Section 2 and 6: the example's two rules."""
    bench = Bench(forearm)
    bench.count("roll", 36, 0, at=1000)
    bench.move("helper-pad.left-stick", 0, -1, at=1020)
    bench.press("helper-pad.south", at=1100)
    bench.release("helper-pad.south", at=1200)
    bench.tap("helper-pad.start", at=1300, length=100)

    assert frames(bench, 3000) == [
        "1000: left-stick 32767 0",
        "1060: left-stick 0 0",
        "1300: press start",
        "1400: release start",
        "1660: left-stick 0 -32767",
    ]
