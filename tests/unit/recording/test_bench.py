"""The bench itself: what other tests stand on is tested too."""

from __future__ import annotations

import pytest

from remapd.recording.pad_changes import Change
from tests.support.bench import Bench
from tests.support.layouts import HARBOUR, TWO_KNEES


def times(bench: Bench) -> list[tuple[int, str, str]]:
    return [(change.us, change.what, change.control) for change in bench.changes]


def test_presses_moves_and_frames() -> None:
    bench = Bench(TWO_KNEES)
    bench.frame(("press", "left-knee"), ("press", "right-knee"), at=0.5)
    bench.frame([("release", "left-knee"), ("release", "right-knee")], at=200)

    assert bench.frames == [
        (500, [Change(500, "press", "south"), Change(500, "move", "left-stick", (0, -32767))]),
        (
            200_000,
            [Change(200_000, "release", "south"), Change(200_000, "move", "left-stick", (0, 0))],
        ),
    ]
    assert bench.neutral
    assert bench.only("south") == [bench.changes[0], bench.changes[2]]


def test_state_now() -> None:
    bench = Bench(HARBOUR)
    bench.count("roll", 36, 0, at=0)
    bench.press("helper-pad.right-trigger.high", at=1)

    assert bench.stick("left-stick") == (32767, 0)
    assert bench.trigger("right-trigger") == 255
    assert bench.pressed == {"right-trigger"}
    bench.until(61)
    assert bench.stick("left-stick") == (0, 0)


def test_time_has_to_go_forward() -> None:
    bench = Bench(TWO_KNEES)
    bench.until(10)

    with pytest.raises(AssertionError, match="comes before"):
        bench.press("left-knee", at=9)


def test_unplugged_and_plugged_in_while_held() -> None:
    bench = Bench(TWO_KNEES)
    bench.press("left-knee", at=0)
    bench.unplug("knees", at=50)
    bench.plug("knees", at=100, held=["left-knee"])
    bench.release("left-knee", at=150)
    bench.tap("left-knee", at=200, length=50)

    assert times(bench) == [
        (0, "press", "south"),
        (50_000, "release", "south"),
        (200_000, "press", "south"),
        (250_000, "release", "south"),
    ]


def test_paused_and_resumed_while_held() -> None:
    bench = Bench(TWO_KNEES)
    bench.press("left-knee", at=0)
    bench.pause(at=50)
    bench.resume(at=100, held=["left-knee"])
    bench.release("left-knee", at=150)
    bench.tap("left-knee", at=200, length=50)

    assert [us for us, _, _ in times(bench)] == [0, 50_000, 200_000, 250_000]


def test_another_layout_with_another_device() -> None:
    bench = Bench(TWO_KNEES)
    bench.swap(HARBOUR.replace("  knees:\n", "  boxes:\n").replace(', serial: "B*"', ""), at=10)
    bench.tap("left-knee", at=100, length=100)
    bench.press("helper-pad.east", at=300)

    assert times(bench) == [
        (200_000, "press", "south"),
        (260_000, "release", "south"),
        (300_000, "press", "east"),
    ]


def test_a_layout_with_errors_fails_the_test_with_its_errors() -> None:
    with pytest.raises(pytest.fail.Exception, match="unknown-setting"):
        Bench(TWO_KNEES + "extra: 1\n")
