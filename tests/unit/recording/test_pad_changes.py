"""Output frames read back: every pad control by its name, and the pad's state kept."""

from __future__ import annotations

import pytest

from remapd.codes import code_number
from remapd.recording.pad_changes import Change, PadView


def frame(*events: tuple[str, int]) -> list[int]:
    flat: list[int] = []
    for name, value in events:
        flat += [*code_number(name), value]
    return [*flat, 0, 0, 0]


@pytest.mark.parametrize(
    ("code", "name"),
    [
        # W3C standard layout's order; codes of the Linux gamepad specification, west and north as
        # most drivers send them
        ("BTN_SOUTH", "south"),
        ("BTN_EAST", "east"),
        ("BTN_NORTH", "west"),
        ("BTN_WEST", "north"),
        ("BTN_TL", "left-shoulder"),
        ("BTN_TR", "right-shoulder"),
        ("BTN_SELECT", "select"),
        ("BTN_START", "start"),
        ("BTN_MODE", "mode"),
        ("BTN_THUMBL", "left-stick-press"),
        ("BTN_THUMBR", "right-stick-press"),
    ],
)
def test_buttons(code: str, name: str) -> None:
    view = PadView()

    assert view.apply(5, frame((code, 1))) == [Change(5, "press", name)]
    assert (view.pressed, view.neutral) == ({name}, False)
    assert view.apply(9, frame((code, 0))) == [Change(9, "release", name)]
    assert (view.pressed, view.neutral) == (set(), True)


def test_faces_as_specified() -> None:
    view = PadView(faces_as_specified=True)

    assert view.apply(0, frame(("BTN_NORTH", 1), ("BTN_WEST", 1))) == [
        Change(0, "press", "north"),
        Change(0, "press", "west"),
    ]


def test_a_hat_that_turns_over_releases_and_presses() -> None:
    view = PadView()

    assert view.apply(0, frame(("ABS_HAT0Y", -1), ("ABS_HAT0X", 1))) == [
        Change(0, "press", "dpad-up"),
        Change(0, "press", "dpad-right"),
    ]
    assert view.apply(1, frame(("ABS_HAT0Y", 1), ("ABS_HAT0X", -1))) == [
        Change(1, "release", "dpad-up"),
        Change(1, "press", "dpad-down"),
        Change(1, "release", "dpad-right"),
        Change(1, "press", "dpad-left"),
    ]
    assert view.pressed == {"dpad-down", "dpad-left"}
    view.apply(2, frame(("ABS_HAT0Y", 0), ("ABS_HAT0X", 0)))
    assert view.neutral


def test_a_stick_that_moves_on_both_axes_is_one_change() -> None:
    view = PadView()

    assert view.apply(0, frame(("ABS_X", 5), ("ABS_Y", -6), ("ABS_RY", 7))) == [
        Change(0, "move", "left-stick", (5, -6)),
        Change(0, "move", "right-stick", (0, 7)),
    ]
    assert view.apply(1, frame(("ABS_Y", 0))) == [Change(1, "move", "left-stick", (5, 0))]
    assert view.sticks == {"left-stick": (5, 0), "right-stick": (0, 7)}


def test_triggers() -> None:
    view = PadView()

    assert view.apply(0, frame(("ABS_Z", 255), ("ABS_RZ", 7))) == [
        Change(0, "lever", "left-trigger", 255),
        Change(0, "lever", "right-trigger", 7),
    ]
    assert not view.neutral
