"""Builds layouts for tests: a desk with one control of each kind, and a helper's pad."""

from __future__ import annotations

from remapd.engine.actions import Action
from remapd.engine.layout import Layer, Layout
from remapd.language import load_text, render

HEAD = """\
remapd: 1
base: sail
verbs: {hoist: south, steer: left-stick, veer: left-stick.right, pace: right-trigger, walk: dpad}
devices:
  desk:
    find: {name: Desk}
    controls:
      left: {button: BTN_0}
      right: {button: BTN_1}
      roll: {stick: [ABS_X, ABS_Y]}
      breath: {lever: ABS_Z, ends: [still, sip]}
      tilt: {lever: ABS_RZ, rests-at: high}
      rock: {lever: ABS_RX, rests-at: middle, ends: [back, front]}
  helper-pad: {person: helper, find: {shape: gamepad}, controls: gamepad}
"""
#: Button numbers of the desk, in the order of the file.
LEFT, RIGHT, ROLL_UP, ROLL_DOWN, ROLL_LEFT, ROLL_RIGHT = range(6)
STILL, SIP, TILT_LOW, TILT_HIGH, BACK, FRONT = range(6, 12)
#: Control numbers of the desk's levers and stick.
ROLL, BREATH, TILT, ROCK = 2, 3, 4, 5


def layout_of(text: str) -> Layout:
    """The layout of a whole file, which must have no fault at all."""
    loaded = load_text(text)
    assert loaded.layout is not None, "\n".join(map(render, loaded.diagnostics))
    assert loaded.diagnostics == []
    return loaded.layout


def layer_of(*lines: str, rest: str = "") -> Layer:
    """The base layer with these lines; beside it are the layers `net` and `chart`, and a tuning."""
    body = "".join(f"    {line}\n" for line in lines)
    layers = f"layers:\n  net: {{}}\n  sail:\n{body}  chart: {{}}\n"
    tunings = "tunings: {tired: {left: {debounce: 5ms}}}\n"
    return layout_of(HEAD + layers + tunings + rest).layers[0]


def action_of(written: str) -> Action:
    """The action of the left button in the base layer."""
    return layer_of(f"left: {written}").bindings[LEFT]
