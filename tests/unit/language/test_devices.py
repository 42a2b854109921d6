"""Devices, their controls and settings, and the names by which layers speak of them."""

import pytest

from remapd import codes
from remapd.engine.layout import (
    ButtonControl,
    Find,
    Layout,
    LeverControl,
    PointerControl,
    StickControl,
)
from remapd.engine.pad_controls import HELPER, PLAYER
from remapd.engine.settings import PLAIN, ButtonSettings, LeverSettings, Rest, Steady, StickSettings
from remapd.language import load_text
from tests.unit.language.built import layout_of


def with_controls(*controls: str, device: str = "") -> Layout:
    lines = "".join(f"      {each}\n" for each in controls)
    return layout_of(
        f"remapd: 1\ndevices:\n  desk:\n    find: {{name: Desk}}\n{device}    controls:\n{lines}"
        "layers: {play: {}}\n"
    )


def test_a_button() -> None:
    layout = with_controls(
        "plain: {button: BTN_TRIGGER}",
        "tuned: {button: KEY_SPACE, inverted: true, debounce: 0ms, release-delay: 40ms, "
        "acceptance-delay: 80ms, repeat-guard: 0.5s, longest: 3s}",
    )

    assert layout.controls == (
        ButtonControl("plain", 0, codes.KEYS["BTN_TRIGGER"], 0),
        ButtonControl(
            "tuned",
            0,
            codes.KEYS["KEY_SPACE"],
            1,
            True,
            ButtonSettings(0, 40_000, 80_000, 500_000, 3_000_000),
        ),
    )


def test_a_stick() -> None:
    layout = with_controls(
        "plain: {stick: [ABS_X, ABS_Y]}",
        "tuned: {stick: [ABS_HAT0X, ABS_HAT0Y], centre: [-5%, 10%], turn: 30deg, "
        "reach: {left: 55%, up: 70%}, flip: [y], steady: medium, dead-zone: 0%, curve: 1.5, "
        "press-at: 60%, release-at: 30%, ways: 4, acceptance-delay: 50ms}",
        "even: {stick: [ABS_RX, ABS_RY], reach: 70%, steady: {cutoff: 1.2Hz, beta: 0.5}}",
    )

    assert layout.controls == (
        StickControl("plain", 0, ((0, 1),), (0, 1, 2, 3), None, StickSettings()),
        StickControl(
            "tuned",
            0,
            ((codes.AXES["ABS_HAT0X"], codes.AXES["ABS_HAT0Y"]),),
            (4, 5, 6, 7),
            None,
            StickSettings(
                centre_x=-0.05,
                centre_y=0.1,
                turn_degrees=30.0,
                reach_left=0.55,
                reach_up=0.7,
                flip_y=True,
                steady=Steady(1.5, 0.02),
                dead_zone=0.0,
                curve=1.5,
                press_at=0.6,
                release_at=0.3,
                ways=4,
                buttons=ButtonSettings(debounce_us=0, acceptance_delay_us=50_000),
            ),
        ),
        StickControl(
            "even",
            0,
            ((codes.AXES["ABS_RX"], codes.AXES["ABS_RY"]),),
            (8, 9, 10, 11),
            None,
            StickSettings(
                reach_left=0.7,
                reach_right=0.7,
                reach_up=0.7,
                reach_down=0.7,
                steady=Steady(1.2, 0.5),
            ),
        ),
    )


@pytest.mark.parametrize(("word", "cutoff"), [("light", 3.0), ("medium", 1.5), ("strong", 0.8)])
def test_the_words_for_steady(word: str, cutoff: float) -> None:
    control = with_controls(f"roll: {{stick: [ABS_X, ABS_Y], steady: {word}}}").controls[0]

    assert isinstance(control, StickControl)
    assert control.settings.steady == Steady(cutoff, 0.02)


def test_a_pointer_has_no_dead_zone_unless_given() -> None:
    layout = with_controls(
        "plain: {pointer: [REL_X, REL_Y]}",
        "tuned: {pointer: [REL_HWHEEL, REL_WHEEL], full-speed: 600/s, window: 80ms, dead-zone: 5%}",
    )

    assert layout.controls == (
        PointerControl("plain", 0, 0, 1, (0, 1, 2, 3), StickSettings(dead_zone=0.0)),
        PointerControl(
            "tuned",
            0,
            codes.RELS["REL_HWHEEL"],
            codes.RELS["REL_WHEEL"],
            (4, 5, 6, 7),
            StickSettings(dead_zone=0.05, full_speed=600.0, window_us=80_000),
        ),
    )


def test_a_lever() -> None:
    layout = with_controls(
        "plain: {lever: ABS_Z}",
        "tuned: {lever: ABS_RZ, rests-at: middle, ends: [puff, sip], reach: 60%, steady: light, "
        "dead-zone: 20%, curve: 2, press-at: 40%, release-at: 20%, debounce: 5ms}",
    )

    assert layout.controls == (
        LeverControl("plain", 0, (2,), (0, 1), settings=LeverSettings(buttons=PLAIN)),
        LeverControl(
            "tuned",
            0,
            (5,),
            (2, 3),
            ("puff", "sip"),
            settings=LeverSettings(
                Rest.MIDDLE, 0.6, Steady(3.0), 0.2, 2.0, 0.4, 0.2, ButtonSettings(5_000)
            ),
        ),
    )
    assert [each.name for each in layout.buttons] == [
        "plain.low",
        "plain.high",
        "tuned.puff",
        "tuned.sip",
    ]


def test_a_device_knows_the_codes_that_its_node_must_have() -> None:
    (device,) = with_controls(
        "left: {button: BTN_0}",
        "roll: {pointer: [REL_X, REL_Y]}",
        "tip: {stick: [ABS_X, ABS_Y]}",
        "breath: {lever: ABS_Z}",
    ).devices

    assert device.keys == {codes.KEYS["BTN_0"]}
    assert device.rels == {0, 1}
    assert device.axes == {0, 1, 2}
    assert device.controls == (0, 1, 2, 3)
    assert not device.gamepad


def test_what_is_said_of_a_device() -> None:
    text = """\
remapd: 1
devices:
  plain: {find: {name: Box}, controls: {one: {button: BTN_0}}}
  said:
    person: helper
    find: {name: "Box *", port: "usb-1/*", serial: B7, vendor: 0x1209, product: 0xAB,
           shape: keyboard, nth: 2}
    exclusive: true
    optional: true
    rumble: 40%
    controls: {two: {button: BTN_0}}
  shared: {find: {shape: pointer}, exclusive: false, rumble: true, controls: {c: {button: BTN_0}}}
layers: {play: {}}
"""
    plain, said, shared = layout_of(text).devices

    assert plain.find == Find(name="Box")
    assert (plain.person, plain.exclusive, plain.exclusive_in_words) == (PLAYER, True, False)
    assert said.find == Find("Box *", "usb-1/*", "B7", 0x1209, 0xAB, "keyboard", 2)
    assert (said.person, said.exclusive, said.exclusive_in_words) == (HELPER, True, True)
    assert (plain.optional, said.optional) == (False, True)
    assert (shared.exclusive, shared.exclusive_in_words) == (False, False)
    assert (plain.rumble, said.rumble, shared.rumble) == (0.0, 0.4, 1.0)


def gamepad() -> Layout:
    return layout_of(
        "remapd: 1\ndevices: {pad: {find: {shape: gamepad}, controls: gamepad}}\n"
        "layers: {play: {}}\n"
    )


def test_a_gamepad_has_every_control_of_the_specification() -> None:
    """Codes: Linux, Documentation/input/gamepad.rst; west and north as most drivers send them."""
    layout = gamepad()
    buttons = [each for each in layout.controls if isinstance(each, ButtonControl)]

    assert {each.name: each.code for each in buttons} == {
        "south": 0x130,
        "east": 0x131,
        "west": 0x133,
        "north": 0x134,
        "left-shoulder": 0x136,
        "right-shoulder": 0x137,
        "select": 0x13A,
        "start": 0x13B,
        "mode": 0x13C,
        "left-stick-press": 0x13D,
        "right-stick-press": 0x13E,
    }
    assert {each.settings for each in buttons} == {ButtonSettings()}
    sticks = {e.name: e for e in layout.controls if isinstance(e, StickControl)}
    assert sticks["left-stick"].axes == ((0, 1),)
    assert sticks["right-stick"].axes == ((3, 4),)
    assert sticks["dpad"].axes == ((0x10, 0x11),)
    assert sticks["dpad"].keys == (0x220, 0x221, 0x222, 0x223)
    assert sticks["dpad"].settings.buttons.debounce_us == 15_000
    levers = {e.name: e for e in layout.controls if isinstance(e, LeverControl)}
    assert (levers["left-trigger"].axes, levers["left-trigger"].key) == ((0x15, 2, 10), 0x138)
    assert (levers["right-trigger"].axes, levers["right-trigger"].key) == ((0x14, 5, 9), 0x139)
    assert layout.devices[0].gamepad
    assert layout.devices[0].keys == {0x130}
    assert layout.devices[0].axes == frozenset()


TWO_DESKS = """\
remapd: 1
devices:
  desk: {find: {name: Desk}, controls: {knee: {button: BTN_0}, roll: {stick: [ABS_X, ABS_Y]}}}
  bed: {find: {name: Bed}, controls: {knee: {button: BTN_0}, elbow: {button: BTN_1}}}
layers: {play: {desk.knee: south, bed.knee: east, elbow: west, desk.roll.up: start}}
"""


def test_a_control_is_named_with_its_device_where_its_name_is_not_unique() -> None:
    layout = layout_of(TWO_DESKS)

    assert [each.name for each in layout.controls] == ["desk.knee", "roll", "bed.knee", "elbow"]
    assert [each.name for each in layout.buttons] == [
        "desk.knee",
        "roll.up",
        "roll.down",
        "roll.left",
        "roll.right",
        "bed.knee",
        "elbow",
    ]
    assert set(layout.layers[0].bindings) == {0, 1, 5, 6}


def test_everything_has_its_place() -> None:
    loaded = load_text(TWO_DESKS, "desks.yaml")

    assert str(loaded.places["device", "bed"]) == "desks.yaml:4:3"
    assert str(loaded.places["control", "desk.knee"]) == "desks.yaml:3:41"
    assert str(loaded.places["control", "elbow"]) == "desks.yaml:4:62"
    assert str(loaded.places["layer", "play"]) == "desks.yaml:5:10"
    assert str(loaded.places["binding", "play", "bed.knee"]) == "desks.yaml:5:35"
    assert str(loaded.places["binding", "play", "roll.up"]) == "desks.yaml:5:64"
