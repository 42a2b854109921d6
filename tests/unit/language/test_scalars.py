"""Numbers with units, after section 1 of the language."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.language.scalars import (
    Family,
    Unreadable,
    in_engine_units,
    looks_numeric,
    period_us,
    read_number,
    read_quantity,
    read_whole,
    round_half_away,
)


def us(text: str) -> int | float:
    value = read_quantity(text, Family.DURATION)
    assert isinstance(value, Fraction)
    return in_engine_units(value, Family.DURATION)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("40ms", 40_000),
        ("1.5s", 1_500_000),
        ("0ms", 0),
        ("0.0005ms", 1),  # half a microsecond: away from zero
        ("0.0004ms", 0),
        ("0.0015ms", 2),
        ("2.000001s", 2_000_001),
    ],
)
def test_durations_are_whole_microseconds(text: str, expected: int) -> None:
    assert us(text) == expected


@pytest.mark.parametrize(
    "text",
    ["40", "40 ms", "40msec", "ms", "", "040ms", "1:30", "1_000ms", "1e3ms", "+40ms", ".5s", "5.s",
     "40MS", "40%", "٤٠ms", "4٠ms"],
)  # fmt: skip
def test_what_is_no_duration(text: str) -> None:
    assert isinstance(read_quantity(text, Family.DURATION), Unreadable)


@pytest.mark.parametrize(
    ("text", "family", "expected"),
    [
        ("12%", Family.SHARE, 0.12),
        ("12.5%", Family.SHARE, 0.125),
        ("8/s", Family.RATE, 8.0),
        ("-30deg", Family.ANGLE, -30.0),
        ("1.2Hz", Family.FREQUENCY, 1.2),
    ],
)
def test_other_quantities(text: str, family: Family, expected: float) -> None:
    value = read_quantity(text, family)

    assert isinstance(value, Fraction)
    assert in_engine_units(value, family) == expected


def test_only_a_bare_number_lacks_its_unit() -> None:
    assert read_quantity("40", Family.DURATION) == Unreadable(has_no_unit=True)
    assert read_quantity("0.12", Family.SHARE) == Unreadable(has_no_unit=True)
    assert read_quantity("off", Family.DURATION) == Unreadable(has_no_unit=False)


@pytest.mark.parametrize(
    ("rate", "period"), [(8, 125_000), (3, 333_333), (6, 166_667), (Fraction(1, 2), 2_000_000)]
)
def test_the_period_of_a_rate_is_rounded_to_the_microsecond(
    rate: int | Fraction, period: int
) -> None:
    assert period_us(Fraction(rate)) == period


@given(st.fractions())
def test_rounding_is_to_the_nearest_with_halves_away_from_zero(value: Fraction) -> None:
    rounded = round_half_away(value)

    assert abs(rounded - value) <= Fraction(1, 2)
    if abs(rounded - value) == Fraction(1, 2):
        assert abs(rounded) > abs(value)
    assert round_half_away(-value) == -rounded


def test_numbers_without_units() -> None:
    assert read_whole("12") == 12
    assert read_whole("012") is None
    assert read_whole("1.0") is None
    assert read_number("1.5") == Fraction(3, 2)
    assert read_number("1e3") is None


@pytest.mark.parametrize("text", ["010", "1:30", "1_000", "+5", "1,5"])
def test_what_someone_may_have_meant_as_a_number(text: str) -> None:
    assert looks_numeric(text)
    assert read_number(text) is None
