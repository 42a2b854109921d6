"""Numbers with units as layouts write them, to the engine's units, exactly.

Decimal text becomes a fraction first, so that no binary rounding comes in; what must be whole is
rounded with halves away from zero.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from typing import Final

US_PER_S: Final = 1_000_000

_DECIMAL = r"(?:0|[1-9][0-9]{0,8})(?:\.[0-9]{1,9})?"
_NUMBER = re.compile(rf"-?{_DECIMAL}")
_WHOLE = re.compile(r"-?(?:0|[1-9][0-9]{0,8})")
_WITH_UNIT = re.compile(rf"(-?{_DECIMAL})(ms|s|min|%|/s|deg|Hz)")
_LOOKS_NUMERIC = re.compile(r"[-+]?[0-9][0-9_:.,]*")


class Family(Enum):
    """Kinds of quantities: what each is called, its units, and two examples."""

    DURATION = ("a duration", ("ms", "s"), ("40ms", "1.5s"))
    STRETCH = ("a length of time", ("s", "min"), ("30s", "45min"))
    SHARE = ("a share", ("%",), ("12%", "50%"))
    RATE = ("a rate", ("/s",), ("8/s", "2.5/s"))
    ANGLE = ("an angle", ("deg",), ("30deg", "90deg"))
    FREQUENCY = ("a frequency", ("Hz",), ("1.2Hz", "3Hz"))

    def __init__(self, called: str, units: tuple[str, ...], examples: tuple[str, str]) -> None:
        self.called = called
        self.units = units
        self.examples = examples


@dataclass(frozen=True, slots=True)
class Unreadable:
    """Why a text is not the quantity that was wanted: `no-unit` or `other`."""

    has_no_unit: bool


def round_half_away(value: Fraction) -> int:
    """The nearest whole number, halves away from zero."""
    whole = (2 * abs(value.numerator) + value.denominator) // (2 * value.denominator)
    return whole if value >= 0 else -whole


def read_quantity(text: str, family: Family) -> Fraction | Unreadable:
    """A number with its unit: seconds, a share of 1, 1/s, degrees or Hz."""
    found = _WITH_UNIT.fullmatch(text)
    if found is None or found[2] not in family.units:
        return Unreadable(has_no_unit=_NUMBER.fullmatch(text) is not None)
    value = Fraction(found[1])
    if found[2] == "ms":
        return value / 1000
    if found[2] == "min":
        return value * 60
    if found[2] == "%":
        return value / 100
    return value


def in_engine_units(value: Fraction, family: Family) -> int | float:
    """Durations in whole microseconds, all else as the nearest float."""
    if family in {Family.DURATION, Family.STRETCH}:
        return round_half_away(value * US_PER_S)
    return float(value)


def period_us(rate_per_s: Fraction) -> int:
    """The period of a rate, in microseconds."""
    return round_half_away(US_PER_S / rate_per_s)


def read_number(text: str) -> Fraction | None:
    """A plain decimal number, or None."""
    return Fraction(text) if _NUMBER.fullmatch(text) else None


def read_whole(text: str) -> int | None:
    """A plain whole number, or None."""
    return int(text) if _WHOLE.fullmatch(text) else None


def looks_numeric(text: str) -> bool:
    """Whether someone may have meant a number: `010`, `1:30`, `1_000`, `+5`."""
    return _LOOKS_NUMERIC.fullmatch(text) is not None
