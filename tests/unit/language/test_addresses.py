"""The names by which a person speaks of settings."""

from __future__ import annotations

import pytest

from remapd.language.addresses import Addresses, NoSuchSetting

LAYOUT = """\
remapd: 1
base: sail
devices:
  knees:
    find: {name: a}
    controls:
      left-knee: {button: BTN_0}
      right-knee: {button: BTN_1}
      both: {button: BTN_2}
  ball:
    find: {name: b}
    controls:
      roll: {pointer: [REL_X, REL_Y], reach: 70%}
      both: {button: BTN_3}
  pad:
    find: {shape: gamepad}
    controls: gamepad
layers:
  sail:
    left-knee: south
    roll.up: {turbo: east}
    right-knee: {short: east, long: {turbo: south}}
    left-knee + right-knee: {pulse: west}
merge: {left-stick: {rule: player-first}}
tunings:
  tired: {left-knee: {debounce: 20ms}}
"""
ADDRESSES = Addresses({"boat.yaml": LAYOUT})
KNEE = ("devices", "knees", "controls", "left-knee")


@pytest.mark.parametrize(
    ("written", "path"),
    [
        ("left-knee.debounce", (*KNEE, "debounce")),
        ("knees.left-knee.debounce", (*KNEE, "debounce")),
        ("devices.knees.controls.left-knee.debounce", (*KNEE, "debounce")),
        ("ball.both.debounce", ("devices", "ball", "controls", "both", "debounce")),
        ("knees.exclusive", ("devices", "knees", "exclusive")),
        ("tap", ("tap",)),
        ("pad.faces", ("pad", "faces")),
        ("sail.left-knee", ("layers", "sail", "left-knee")),
        ("sail.roll.up.rate", ("layers", "sail", "roll.up", "rate")),
        ("sail.roll.down", ("layers", "sail", "roll.down")),
        ("layers.sail.right-knee.long.rate", ("layers", "sail", "right-knee", "long", "rate")),
        ("sail.left-knee + right-knee.length",
         ("layers", "sail", "left-knee + right-knee", "length")),
        ("merge.left-stick.after-player", ("merge", "left-stick", "after-player")),
        ("merge.right-stick", ("merge", "right-stick")),
        ("tired.left-knee.debounce", ("tunings", "tired", "left-knee", "debounce")),
        ("tired.right-knee.debounce", ("tunings", "tired", "right-knee", "debounce")),
    ],
)  # fmt: skip
def test_found(written: str, path: tuple[str, ...]) -> None:
    assert ADDRESSES.find(written).path == path


@pytest.mark.parametrize(
    ("written", "why"),
    [
        ("left-kne.debounce", "did you mean `left-knee`"),
        ("left-knee.debonce", "did you mean `debounce`"),
        ("left-knee", "name one of its settings"),
        ("both.debounce", "write `knees.both.debounce` or `ball.both.debounce`"),
        ("sail.left-knee.rate", "is just `south`"),
        ("sail.left-kne.rate", "no control `left-kne`.*did you mean `left-knee`"),
        ("sail.both.rate", "no action in `sail` yet"),
        ("roll.reach.left", "is just `70%`"),
        ("sail.roll.up.rat", "did you mean `rate`"),
        ("tap.x", "one value"),
        ("pad.controls.south.debounce", "did you mean|standard pad|no setting"),
        ("devices.pad.controls.south.debounce", "standard pad"),
        ("left-shoulder.debounce", "standard pad"),
        ("merge", "name one thing"),
        ("tird.left-knee.debounce", "nothing here"),
        ("", "nothing here"),
    ],
)
def test_not_found_says_why(written: str, why: str) -> None:
    with pytest.raises(NoSuchSetting, match=why):
        ADDRESSES.find(written)
