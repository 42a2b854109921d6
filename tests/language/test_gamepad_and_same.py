"""The layout language, sections 2 and 4: `controls: gamepad`, and `same`."""

from __future__ import annotations

import pytest

from remapd.codes import AXES, EV_ABS, EV_KEY, KEYS
from tests.language.board import frames
from tests.support.bench import Bench

SAME = """
remapd: 1
title: A helper's pad
devices:
  aide-pad:
    person: helper
    find: {shape: gamepad}
    controls: gamepad
layers:
  sail:
    aide-pad: same
"""


@pytest.fixture
def bench() -> Bench:
    """A helper's pad whose controls go to the pad controls of the same name."""
    return Bench(SAME)


@pytest.mark.parametrize(
    ("code", "control"),
    [
        ("BTN_SOUTH", "south"),
        ("BTN_EAST", "east"),
        ("BTN_TL", "left-shoulder"),
        ("BTN_TR", "right-shoulder"),
        ("BTN_SELECT", "select"),
        ("BTN_START", "start"),
        ("BTN_MODE", "mode"),
        ("BTN_THUMBL", "left-stick-press"),
        ("BTN_THUMBR", "right-stick-press"),
    ],
)
def test_button_of_a_standard_pad_goes_to_its_own_name(
    bench: Bench, code: str, control: str
) -> None:
    """Section 2, `same`: "each of its controls to the pad control of the same name"."""
    bench.raw("aide-pad", [(EV_KEY, KEYS[code], 1)], at=10)
    bench.raw("aide-pad", [(EV_KEY, KEYS[code], 0)], at=110)

    assert frames(bench, 1000) == [f"10: press {control}", f"110: release {control}"]


@pytest.mark.parametrize(("code", "control"), [(0x133, "west"), (0x134, "north")])
@pytest.mark.parametrize("faces", ["", "pad: {faces: as-specified}\n"])
def test_west_is_read_from_0x133_whatever_faces_says(code: int, control: str, faces: str) -> None:
    """Section 12, 18: "reads west from 0x133 and north from 0x134, whatever `pad: faces` says"."""
    bench = Bench(SAME.replace("devices:", f"{faces}devices:"))
    bench.raw("aide-pad", [(EV_KEY, code, 1)], at=10)

    assert frames(bench, 100) == [f"10: press {control}"]


@pytest.mark.parametrize(
    ("axis", "value", "out"),
    [
        ("ABS_X", 1_000_000, "left-stick 32767 0"),
        ("ABS_Y", -1_000_000, "left-stick 0 -32767"),
        ("ABS_RX", -1_000_000, "right-stick -32767 0"),
        ("ABS_RY", 1_000_000, "right-stick 0 32767"),
        ("ABS_Z", 1_000_000, "left-trigger 255"),
        ("ABS_RZ", 1_000_000, "right-trigger 255"),
        ("ABS_HAT0X", -1, "press dpad-left"),
        ("ABS_HAT0X", 1, "press dpad-right"),
        ("ABS_HAT0Y", -1, "press dpad-up"),
        ("ABS_HAT0Y", 1, "press dpad-down"),
    ],
)
def test_axis_of_a_standard_pad_goes_to_its_own_name(
    bench: Bench, axis: str, value: int, out: str
) -> None:
    """Section 2, `same`: sticks, triggers and the d-pad too."""
    bench.raw("aide-pad", [(EV_ABS, AXES[axis], value)], at=1000)

    assert frames(bench, 1100) == [f"1000: {out}"]


def test_default_debounce_applies_to_a_gamepad(bench: Bench) -> None:
    """Section 12, 18: "the default debounce applies to it"."""
    bench.raw("aide-pad", [(EV_KEY, KEYS["BTN_SOUTH"], 1)], at=0)
    bench.raw("aide-pad", [(EV_KEY, KEYS["BTN_SOUTH"], 0)], at=5)
    bench.raw("aide-pad", [(EV_KEY, KEYS["BTN_SOUTH"], 1)], at=10)
    bench.raw("aide-pad", [(EV_KEY, KEYS["BTN_SOUTH"], 0)], at=200)

    assert frames(bench, 1000) == ["0: press south", "200: release south"]


def test_control_of_a_gamepad_is_bound_alone() -> None:
    """Section 2: "every control of a standard pad, under its standard name"."""
    bench = Bench(
        SAME.replace("aide-pad: same", "aide-pad.south: start\n    aide-pad.left-stick: dpad")
    )
    bench.raw("aide-pad", [(EV_KEY, KEYS["BTN_SOUTH"], 1)], at=0)
    bench.raw("aide-pad", [(EV_KEY, KEYS["BTN_EAST"], 1)], at=50)
    bench.raw("aide-pad", [(EV_ABS, AXES["ABS_X"], 1_000_000)], at=100)

    assert frames(bench, 1000) == ["0: press start", "100: press dpad-right"]


def test_same_is_the_helpers_part() -> None:
    """Section 2 and 6: `person: helper` goes through the merge rules."""
    bench = Bench(SAME.replace("layers:", "merge: {south: player-only}\nlayers:"))
    bench.raw("aide-pad", [(EV_KEY, KEYS["BTN_SOUTH"], 1)], at=0)
    bench.raw("aide-pad", [(EV_KEY, KEYS["BTN_EAST"], 1)], at=1000)

    assert frames(bench, 2000) == ["1000: press east"]


def test_dpad_directions_of_a_gamepad_press_and_release(bench: Bench) -> None:
    """Section 2: a hat read as the d-pad, diagonals and crossings included."""
    for at, (x, y) in enumerate([(-1, -1), (1, -1), (1, 0), (0, 0)]):
        bench.raw(
            "aide-pad",
            [(EV_ABS, AXES["ABS_HAT0X"], x), (EV_ABS, AXES["ABS_HAT0Y"], y)],
            at=1000 + 100 * at,
        )

    assert frames(bench, 2000) == [
        "1000: press dpad-up, press dpad-left",
        "1100: release dpad-left, press dpad-right",
        "1200: release dpad-up",
        "1300: release dpad-right",
    ]
