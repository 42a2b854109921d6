"""Inputs of a trial as frames: their order, and how a pointer is kept deflected."""

from __future__ import annotations

import pytest

from remapd.codes import EV_KEY, EV_REL
from remapd.recording.driver import ControlDriver
from remapd.recording.hands import HandFrame, Hands
from remapd.recording.trials import run_trial
from remapd.trial import Input, InputKind, Trial
from tests.support.layouts import HARBOUR, load_or_fail

LAYOUT = load_or_fail(HARBOUR)
MS = 1000


def hands(*inputs: Input, until_ms: int = 0) -> Hands:
    return Hands(ControlDriver(LAYOUT), inputs, until_us=until_ms * MS)


def press(at_ms: int, name: str, for_ms: int | None = None) -> Input:
    return Input(at_ms * MS, InputKind.PRESS, name, for_us=for_ms and for_ms * MS)


def move(at_ms: int, name: str, x: float, y: float, for_ms: int | None = None) -> Input:
    return Input(at_ms * MS, InputKind.MOVE, name, (x, y), for_ms and for_ms * MS)


def test_events_of_one_device_at_one_time_are_one_frame_and_releases_come_first() -> None:
    planned = hands(
        press(100, "right-knee"), press(0, "left-knee", 100), press(100, "helper-pad.south")
    )

    assert planned.frames == [
        HandFrame(0, 1, [(EV_KEY, 0x100, 1)]),
        HandFrame(100 * MS, 1, [(EV_KEY, 0x100, 0), (EV_KEY, 0x101, 1)]),
        HandFrame(100 * MS, 2, [(EV_KEY, 0x130, 1)]),
    ]
    assert planned.end_us == 100 * MS


def test_a_press_of_no_length_stays_until_it_is_released() -> None:
    planned = hands(press(0, "left-knee"), Input(70 * MS, InputKind.RELEASE, "left-knee"))

    assert [frame.events[0][2] for frame in planned.frames] == [1, 0]


def test_devices_come_and_go() -> None:
    planned = hands(
        Input(5 * MS, InputKind.UNPLUG, "knees"), Input(9 * MS, InputKind.PLUG, "knees")
    )

    assert [(frame.us, frame.plug) for frame in planned.frames] == [(5 * MS, False), (9 * MS, True)]


def test_a_turned_pointer_sends_all_its_counts_evenly() -> None:
    planned = hands(Input(0, InputKind.TURN, "roll", (-0.5, 0.0), 1_000 * MS))
    counts = [event[2] for frame in planned.frames for event in frame.events]

    # 600 counts a second at full speed, 125 frames a second: 2.4 counts a frame at half of it
    assert sum(counts) == -300
    assert set(counts) == {-2, -3}
    assert planned.frames[-1].us == 992 * MS


@pytest.mark.parametrize("for_ms", [60, 100, 300, 301, 1_000, 7_000])
def test_a_full_deflection_lasts_exactly_as_long_as_it_is_written(for_ms: int) -> None:
    result = run_trial(LAYOUT, Trial("x", (move(50, "roll", 0.0, -1.0, for_ms),), ()))

    assert [(change.us, change.value) for change in result.actual] == [
        (50 * MS, (0, -32767)),
        ((50 + for_ms) * MS, (0, 0)),
    ]


@pytest.mark.parametrize("share", [0.1, 0.25, 0.3, 0.5, 0.75])
@pytest.mark.parametrize("windows", [1, 2, 10, 50])
def test_a_part_of_it_lasts_whole_windows_and_does_not_waver(share: float, windows: int) -> None:
    for_ms = windows * 60 - 1
    result = run_trial(LAYOUT, Trial("x", (move(50, "roll", share, 0.0, for_ms),), ()))
    start, end = result.actual
    counts = round(36 * share)

    assert (start.us, start.value) == (50 * MS, (round(counts / 36 * 32767), 0))
    assert 0 <= (50 + windows * 60) * MS - end.us < windows
    assert end.value == (0, 0)


def test_a_deflection_that_is_not_ended_lasts_until_the_next_or_beyond_the_end() -> None:
    inputs = (move(0, "roll", 1.0, 0.0), move(500, "roll", 0.0, 1.0, 100))
    planned = hands(*inputs, until_ms=1_000)
    sideways = [frame.us for frame in planned.frames if frame.events[0][:2] == (EV_REL, 0)]
    assert sideways[-1] == 440 * MS

    forever = hands(move(0, "roll", 1.0, 0.0), until_ms=1_000)
    assert forever.frames[-1].us > 1_000 * MS


def test_no_direction_is_pressed_by_keeping_a_pointer_where_it_is() -> None:
    text = HARBOUR.replace("    roll: steer\n", "    roll.right: east\n")
    trial = Trial("x", (move(0, "roll", 0.3, 0.0, 600),), ())

    assert run_trial(load_or_fail(text), trial).actual == ()


def test_a_direction_that_a_pointer_presses_stays_pressed() -> None:
    text = HARBOUR.replace("    roll: steer\n", "    roll.right: east\n")
    trial = Trial("x", (move(0, "roll", 0.6, 0.0, 600),), ())
    result = run_trial(load_or_fail(text), trial)

    assert [(change.what, change.control) for change in result.actual] == [
        ("press", "east"),
        ("release", "east"),
    ]
