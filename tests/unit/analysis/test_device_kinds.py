"""What a device is called, from nothing but the codes that it can send."""

from __future__ import annotations

import pytest

from remapd.analysis.device_kinds import Kind, in_words, kind_of
from remapd.codes import AXES, KEYS, RELS
from remapd.engine.matching import LETTER_KEYS
from remapd.engine.source import AxisRange, Source


def device(*, keys: str = "", rels: str = "", axes: str = "", letters: bool = False) -> Source:
    numbers = {KEYS[name] for name in keys.split()}
    return Source(
        0,
        "thing",
        keys=frozenset(numbers | (LETTER_KEYS if letters else set())),
        rels=frozenset(RELS[name] for name in rels.split()),
        axes={AXES[name]: AxisRange(0, 255) for name in axes.split()},
    )


PAD_KEYS = "BTN_SOUTH BTN_EAST BTN_TL BTN_TR"
CASES = [
    (
        device(keys="BTN_TRIGGER", axes="ABS_X ABS_Y"),
        Kind.JOYSTICK,
        "a joystick with 2 axes and 1 button",
    ),
    (
        device(keys="BTN_TRIGGER BTN_THUMB", axes="ABS_X ABS_Y ABS_Z ABS_HAT0X ABS_HAT0Y"),
        Kind.JOYSTICK,
        "a joystick with 3 axes, 1 hat and 2 buttons",
    ),
    (
        device(keys="BTN_0", axes="ABS_X ABS_Y"),
        Kind.JOYSTICK,
        "a joystick with 2 axes and 1 button",
    ),
    (
        device(keys=PAD_KEYS, axes="ABS_X ABS_Y ABS_RX ABS_RY ABS_Z ABS_RZ ABS_HAT0X ABS_HAT0Y"),
        Kind.GAMEPAD,
        "a gamepad with 2 sticks, 2 trigger axes, a d-pad and 4 buttons",
    ),
    (
        device(keys=f"{PAD_KEYS} BTN_DPAD_UP BTN_DPAD_DOWN BTN_DPAD_LEFT BTN_DPAD_RIGHT"),
        Kind.GAMEPAD,
        "a gamepad with a d-pad and 4 buttons",
    ),
    (device(keys="BTN_0"), Kind.SWITCHES, "a switch box with 1 switch"),
    (
        device(keys="BTN_0 BTN_1", axes="ABS_Z"),
        Kind.SWITCHES,
        "a switch box with 2 switches and 1 axis",
    ),
    (device(letters=True), Kind.KEYBOARD, "a keyboard that somebody can type on"),
    (device(keys="KEY_SPACE KEY_ENTER"), Kind.SMALL_KEYBOARD, "a small keyboard with 2 keys"),
    (
        device(keys="BTN_LEFT BTN_RIGHT BTN_MIDDLE", rels="REL_X REL_Y REL_WHEEL"),
        Kind.POINTER,
        "a mouse or trackball with 3 buttons and a wheel",
    ),
    (
        device(keys="BTN_TOUCH BTN_TOOL_FINGER", axes="ABS_X ABS_Y ABS_MT_SLOT"),
        Kind.TOUCHPAD,
        "a touchpad",
    ),
    (device(keys="BTN_TOUCH", axes="ABS_X ABS_Y"), Kind.TOUCHSCREEN, "a touchscreen"),
    (device(keys="BTN_TOUCH BTN_TOOL_PEN", axes="ABS_X ABS_Y"), Kind.TABLET, "a drawing tablet"),
    (device(axes="ABS_X ABS_Y ABS_Z"), Kind.AXES, "a device with 3 axes"),
    (device(rels="REL_DIAL"), Kind.AXES, "a device with a knob or wheel"),
    (device(keys="KEY_POWER"), Kind.MACHINE, "a button of the computer itself"),
    (device(), Kind.SILENT, "a device with nothing to press or move"),
]


@pytest.mark.parametrize(("made", "kind", "words"), CASES, ids=[words for _, _, words in CASES])
def test_a_device_is_called_what_a_person_would_call_it(
    made: Source, kind: Kind, words: str
) -> None:
    assert (kind_of(made), in_words(made)) == (kind, words)


def test_every_kind_is_shown_by_a_case() -> None:
    assert {kind for _, kind, _ in CASES} == set(Kind)
