"""A layout far larger than any a person writes takes no more work for each line than a small one.

Counted are calls of functions, which are the same on every machine; `tests/bench` has the times.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from types import FrameType
from typing import Any

import pytest

from remapd.language import load_text, render

#: Twice the lines take twice the work, and this much more at the most. Were each line compared with
#: each other one, it would be four times.
GROWTH_LIMIT = 2.2


def big_layout(devices: int) -> str:
    """A layout of 50 bindings for each device."""
    controls = "".join(
        f"  d{d}:\n    find: {{name: Box {d}}}\n    controls:\n"
        + "".join(f"      c{d}-{i}: {{button: BTN_{i}}}\n" for i in range(10))
        for d in range(devices)
    )
    layers = "".join(
        f"  l{layer}:\n"
        + "".join(
            f"    c{d}-{i}: {{short: south, long: {{turbo: east, rate: 4/s}}}}\n"
            for d in range(devices)
            for i in range(10)
        )
        for layer in range(5)
    )
    return f"remapd: 1\nbase: l0\ndevices:\n{controls}layers:\n{layers}"


def faulty_layout(devices: int) -> str:
    """The same with a fault in each binding."""
    return big_layout(devices).replace("short: south", "short: suoth")


def stray_tabs(count: int) -> str:
    """A file full of stray characters."""
    return "remapd: 1\n" + "a:\tb\n" * (250 * count)


def faults_on_one_line(count: int) -> str:
    """One line as long as the file, full of faults."""
    listed = ", ".join(["suoth"] * (40 * count))
    return big_layout(1).replace("{short: south", f"{{short: {{steps: [{listed}]}}", 1)


def calls_to_read(text: str) -> int:
    """How many functions are called to read it and tell its faults, Python's own and others."""
    count = 0

    def note(_frame: FrameType, event: str, _argument: Any) -> None:
        nonlocal count
        count += event in {"call", "c_call"}

    load_text(text)  # what is made once and kept is not counted
    sys.setprofile(note)
    try:
        for each in load_text(text).errors[:1000]:
            render(each)
    finally:
        sys.setprofile(None)
    return count


@pytest.mark.parametrize("made", [big_layout, faulty_layout, stray_tabs, faults_on_one_line])
def test_the_work_grows_with_the_lines_and_no_faster(made: Callable[[int], str]) -> None:
    assert calls_to_read(made(20)) <= GROWTH_LIMIT * calls_to_read(made(10))


def test_a_thousand_faults_are_all_told() -> None:
    assert load_text(big_layout(20)).layout is not None
    assert len(load_text(faulty_layout(20)).errors) == 1000
