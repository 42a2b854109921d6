"""More and less of a value, in the unit in which it is written."""

from __future__ import annotations

from fractions import Fraction

import pytest

from remapd.language.amounts import NoAmount, is_step, stepped, times
from remapd.language.schema_actions import ACTIONS
from remapd.language.schema_settings import CURVE, DEAD_ZONE, DEBOUNCE, STEADY, STICK_REACH

RATE = ACTIONS["turbo"].fields[1]


@pytest.mark.parametrize(
    ("field", "start", "step", "wanted"),
    [
        (DEBOUNCE, "80ms", "+20ms", "100ms"),
        (DEBOUNCE, "80ms", "-10ms", "70ms"),
        (DEBOUNCE, "80ms", "+1s", "1080ms"),
        (DEBOUNCE, "1.5s", "+20ms", "1.52s"),
        (DEBOUNCE, "1s", "+0.25ms", "1000.25ms"),
        (DEBOUNCE, "0ms", "+1s", "1s"),
        (DEBOUNCE, "10ms", "-20ms", "-10ms"),
        (DEAD_ZONE, "10%", "+2.5%", "12.5%"),
        (RATE, "8/s", "-4/s", "4/s"),
        (CURVE, "1", "+0.5", "1.5"),
        (STICK_REACH, "100%", "-30%", "70%"),
    ],
)
def test_steps(field: object, start: str, step: str, wanted: str) -> None:
    assert stepped(getattr(field, "kind"), "it", start, step) == wanted  # noqa: B009


@pytest.mark.parametrize(
    ("field", "start", "step"),
    [
        (DEBOUNCE, "80ms", "+20%"),
        (DEBOUNCE, "80ms", "+20"),
        (DEBOUNCE, "no end", "+20ms"),
        (STEADY, "light", "+1"),
    ],
)
def test_no_step(field: object, start: str, step: str) -> None:
    with pytest.raises(NoAmount):
        stepped(getattr(field, "kind"), "it", start, step)  # noqa: B009


def test_what_a_step_is() -> None:
    assert is_step("+20ms")
    assert is_step("-10ms")
    assert not is_step("80ms")
    assert not is_step("=-30deg")


def test_how_many_times() -> None:
    assert times(DEBOUNCE.kind, "10ms", "50ms") == 5
    assert times(DEBOUNCE.kind, "1s", "100ms") == 10
    assert times(DEBOUNCE.kind, "20ms", "50ms") == Fraction(5, 2)
    assert times(DEBOUNCE.kind, "0ms", "50ms") is None
    assert times(STEADY.kind, "light", "strong") is None
