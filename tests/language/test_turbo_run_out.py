"""The layout language, section 4, turbo: presses during the run-out of the last."""

from __future__ import annotations

from tests.language.board import board, frames
from tests.support.bench import Bench


def test_toggled_on_again_in_the_run_out_it_runs_on() -> None:
    """Section 4: "A turbo press during the run-out of the last starts when it is over"."""
    bench = Bench(board("sail: {knee: {turbo: left-stick.up, rate: 5/s, how: toggle}}"))
    for at in (0, 30, 60):
        bench.tap("knee", at=at, length=20)

    assert [line for line in frames(bench, 550) if "-32767" in line][-2:] == [
        "300: left-stick 0 -32767",
        "500: left-stick 0 -32767",
    ]


def test_toggled_on_and_off_again_in_the_run_out_it_ends() -> None:
    """Section 4, turbo: it "runs until the next press", though it has not begun; section 12, 10.

    At most one press is given when the run-out is over, and then it is off.
    """
    bench = Bench(board("sail: {knee: {turbo: south, rate: 5/s, how: toggle}}"))
    for at in (0, 30, 60, 90):
        bench.tap("knee", at=at, length=20)
    bench.until(5000)

    assert bench.neutral
    assert bench.changes[-1].us <= 300_000
    assert bench.engine.next_deadline_us is None
