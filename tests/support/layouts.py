"""Layouts for tests: loaded from text, and the language's own examples."""

from __future__ import annotations

import pytest

from remapd.engine.layout import Layout
from remapd.language import load_text, render

#: The smallest useful layout of the language's description.
TWO_KNEES = """\
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

#: The large example of the language's description, without its `include`.
HARBOUR = """\
remapd: 1
title: Forearm trackball and knee switches
notes: For a harbour-sailing game. The right forearm rests on the ball.
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
    person: helper
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


def load_or_fail(text: str) -> Layout:
    """The built layout of a text; the test fails with the errors where it has any."""
    loaded = load_text(text)
    if loaded.layout is None:
        pytest.fail("\n".join(map(render, loaded.diagnostics)), pytrace=False)
    return loaded.layout
