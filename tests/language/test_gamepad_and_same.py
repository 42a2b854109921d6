"""The layout language, sections 2 and 4: `controls: gamepad`, and `same`."""

from __future__ import annotations

from types import MappingProxyType

import pytest

from remapd.codes import AXES, EV_ABS, EV_KEY, KEYS
from remapd.engine import AxisRange, Engine, Source
from remapd.recording.pad_changes import PadView
from tests.language.board import frames, line
from tests.support.bench import Bench
from tests.support.layouts import load_or_fail

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


# ------------------------------------------------------------------ whichever codes the device has


def pad_with(
    keys: tuple[str, ...],
    axes: dict[str, AxisRange],
    *,
    held: tuple[str, ...] = (),
    standing: dict[str, int] | None = None,
) -> Engine:
    """An engine with a pad that has these codes and BTN_SOUTH, plugged in at 0."""
    engine = Engine(load_or_fail(SAME))
    source = Source(
        0,
        "A pad of its own kind",
        keys=frozenset(KEYS[name] for name in ("BTN_SOUTH", *keys)),
        axes=MappingProxyType({AXES[name]: span for name, span in axes.items()}),
    )
    values = {AXES[name]: (standing or {}).get(name, 0) for name in axes}
    engine.plug(0, source, tuple(KEYS[name] for name in held), values)
    return engine


def came_out(engine: Engine) -> list[str]:
    """The changes of the pad since the last look, in words."""
    view = PadView()
    return [
        line(change) for frame in engine.drain() for change in view.apply(frame.us, frame.events)
    ]


@pytest.mark.parametrize(
    ("key", "control"),
    [
        ("BTN_DPAD_UP", "dpad-up"),
        ("BTN_DPAD_DOWN", "dpad-down"),
        ("BTN_DPAD_LEFT", "dpad-left"),
        ("BTN_DPAD_RIGHT", "dpad-right"),
    ],
)
def test_dpad_of_keys_is_read_where_there_is_no_hat(key: str, control: str) -> None:
    """Section 2: "triggers and d-pad are read from whichever of the specification's codes"."""
    keys = ("BTN_DPAD_UP", "BTN_DPAD_DOWN", "BTN_DPAD_LEFT", "BTN_DPAD_RIGHT")
    engine = pad_with(keys, {})
    engine.feed(1_000_000, 0, [(EV_KEY, KEYS[key], 1)])
    engine.feed(1_100_000, 0, [(EV_KEY, KEYS[key], 0)])
    engine.advance(2_000_000)

    assert came_out(engine) == [f"press {control}", f"release {control}"]


def test_dpad_of_keys_takes_diagonals_and_opposites() -> None:
    """Section 2 and 6: four keys are a stick of the d-pad: left and right are neither."""
    engine = pad_with(("BTN_DPAD_UP", "BTN_DPAD_DOWN", "BTN_DPAD_LEFT", "BTN_DPAD_RIGHT"), {})
    engine.feed(1_000_000, 0, [(EV_KEY, KEYS["BTN_DPAD_LEFT"], 1)])
    engine.feed(1_100_000, 0, [(EV_KEY, KEYS["BTN_DPAD_UP"], 1)])
    engine.feed(1_200_000, 0, [(EV_KEY, KEYS["BTN_DPAD_RIGHT"], 1)])
    engine.feed(1_300_000, 0, [(EV_KEY, KEYS["BTN_DPAD_LEFT"], 0)])

    assert came_out(engine) == [
        "press dpad-left",
        "press dpad-up",
        "release dpad-left",
        "press dpad-right",
    ]


def test_autorepeat_of_a_dpad_key_is_nothing() -> None:
    """Section 3, button: "autorepeat is nothing", on a pad's keys too."""
    engine = pad_with(("BTN_DPAD_UP", "BTN_DPAD_DOWN", "BTN_DPAD_LEFT", "BTN_DPAD_RIGHT"), {})
    engine.feed(1_000_000, 0, [(EV_KEY, KEYS["BTN_DPAD_UP"], 2)])
    engine.feed(1_100_000, 0, [(EV_KEY, KEYS["BTN_DPAD_LEFT"], 1)])
    engine.feed(1_200_000, 0, [(EV_KEY, KEYS["BTN_DPAD_LEFT"], 2)])

    assert came_out(engine) == ["press dpad-left"]


def test_dpad_key_held_at_plug_in_acts_after_a_fresh_press() -> None:
    """Section 8, unplug: "a button held at that moment acts only after a fresh press".

    The d-pad of keys is bound whole, as a stick is; its directions are what presses.
    """
    keys = ("BTN_DPAD_UP", "BTN_DPAD_DOWN", "BTN_DPAD_LEFT", "BTN_DPAD_RIGHT")
    engine = pad_with(keys, {}, held=("BTN_DPAD_UP",))
    engine.feed(1_000_000, 0, [(EV_KEY, KEYS["BTN_DPAD_UP"], 0)])
    engine.feed(1_100_000, 0, [(EV_KEY, KEYS["BTN_DPAD_UP"], 1)])

    assert came_out(engine) == ["press dpad-up"]


@pytest.mark.parametrize(
    ("axis", "control"),
    [
        ("ABS_Z", "left-trigger"),
        ("ABS_RZ", "right-trigger"),
        ("ABS_HAT2Y", "left-trigger"),
        ("ABS_HAT2X", "right-trigger"),
        ("ABS_BRAKE", "left-trigger"),
        ("ABS_GAS", "right-trigger"),
    ],
)
def test_trigger_is_read_from_the_axis_that_there_is(axis: str, control: str) -> None:
    """Section 2; Linux gamepad specification (read) for ABS_HAT2X and ABS_HAT2Y.

    ABS_BRAKE and ABS_GAS, ABS_Z and ABS_RZ are common practice of drivers, no source.
    """
    engine = pad_with((), {axis: AxisRange(0, 255)})
    engine.feed(1_000_000, 0, [(EV_ABS, AXES[axis], 255)])
    engine.feed(1_100_000, 0, [(EV_ABS, AXES[axis], 0)])

    assert came_out(engine) == [f"{control} 255", f"{control} 0"]


@pytest.mark.parametrize(
    ("key", "control"), [("BTN_TL2", "left-trigger"), ("BTN_TR2", "right-trigger")]
)
def test_trigger_is_read_from_its_key_where_there_is_no_axis(key: str, control: str) -> None:
    """Linux gamepad specification (read): lower triggers are digital, analogue or both."""
    engine = pad_with((key,), {})
    engine.feed(1_000_000, 0, [(EV_KEY, KEYS[key], 1)])
    engine.feed(1_100_000, 0, [(EV_KEY, KEYS[key], 0)])

    assert came_out(engine) == [f"{control} 255", f"{control} 0"]


def test_trigger_with_axis_and_key_is_read_from_the_axis() -> None:
    """Section 2: one control is read from one code; the analogue one says more."""
    engine = pad_with(("BTN_TL2",), {"ABS_Z": AxisRange(0, 255)})
    engine.feed(1_000_000, 0, [(EV_KEY, KEYS["BTN_TL2"], 1), (EV_ABS, AXES["ABS_Z"], 255)])
    engine.feed(1_100_000, 0, [(EV_ABS, AXES["ABS_Z"], 0)])

    assert came_out(engine) == ["left-trigger 255", "left-trigger 0"]


def test_pad_without_some_controls_is_taken_all_the_same() -> None:
    """Section 2: `controls: gamepad` reads what there is."""
    engine = pad_with((), {})
    engine.feed(1_000_000, 0, [(EV_KEY, KEYS["BTN_SOUTH"], 1)])

    assert came_out(engine) == ["press south"]


def test_stick_that_is_out_at_plug_in_is_out_on_the_pad() -> None:
    """Section 8: a stick has no press to wait for: it takes its target at once, at time 0."""
    span = AxisRange(-100, 100)
    engine = pad_with((), {"ABS_X": span, "ABS_Y": span}, standing={"ABS_X": 100})

    assert came_out(engine) == ["left-stick 32767 0"]
