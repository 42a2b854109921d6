"""More or less of a value, in the units that people write: `80ms` and `+20ms` make `100ms`."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from remapd.language import kinds
from remapd.language.describe import describe
from remapd.language.kinds import Either, Kind
from remapd.language.scalars import Family, Unreadable, read_number, read_quantity
from remapd.language.schema import resolve

_UNIT: Final = re.compile(r"(?:ms|s|min|%|/s|deg|Hz)$")
#: How much of its family's measure one of the unit is.
_SIZES: Final = {"ms": Fraction(1, 1000), "min": Fraction(60), "%": Fraction(1, 100)}


class NoAmount(Exception):
    """The value cannot be made more or less by this; why, in words."""


def is_step(value: str) -> bool:
    """Whether a value is said as more or less of what there is: `+20ms`, `-10ms`."""
    return re.match(r"[+-]\s*[0-9]", value) is not None


def amount(kind: Kind, text: str) -> Fraction | None:
    """A written value as a number of its family's measure; None where it is no amount."""
    kind = single(kind)
    if isinstance(kind, kinds.Quantity | kinds.FlagOrShare):
        found = read_quantity(text, _family(kind))
        return None if isinstance(found, Unreadable) else found
    if isinstance(kind, kinds.Number | kinds.WholeNumber):
        return read_number(text)
    return None


def stepped(kind: Kind, name: str, start: str, step: str) -> str:
    """The value `step` more (or less) than `start`, in the unit of `start` where it is exact there.

    Raises:
        NoAmount: the setting is none that can be counted, has no number to start from, or the step
            is in another kind of unit.
    """
    kind = single(kind)
    if not isinstance(kind, kinds.Quantity | kinds.FlagOrShare | kinds.Number | kinds.WholeNumber):
        raise NoAmount(f"`{name}` cannot be more or less; write {describe(kind)}")
    difference = amount(kind, step.lstrip("+-").strip())
    if difference is None:
        raise NoAmount(f"`{step}` is not what `{name}` counts in; it is {describe(kind)}")
    before = amount(kind, start)
    if before is None:
        known = f"`{start}`" if start else "nothing written"
        raise NoAmount(f"there is no number to start from ({known}); write the whole value")
    after = before - difference if step.startswith("-") else before + difference
    # nothing yet, such as `0ms`, has no unit of its own worth keeping
    units = [_unit(start), _unit(step)] if before else [_unit(step), _unit(start)]
    return next((w for w in (_written(after, unit) for unit in units) if w), _written(after, ""))


def times(kind: Kind, before: str, after: str) -> Fraction | None:
    """How many times the larger of two values is the smaller; None where one is no such number."""
    first, second = amount(kind, before), amount(kind, after)
    if not first or not second:
        return None
    share = abs(second / first)
    return share if share >= 1 else 1 / share


def single(kind: Kind) -> Kind:
    """The kind of a value that is one word."""
    kind = resolve(kind)
    return single(kind.single) if isinstance(kind, Either) else kind


def _family(kind: kinds.Quantity | kinds.FlagOrShare) -> Family:
    return kind.family if isinstance(kind, kinds.Quantity) else Family.SHARE


def _unit(text: str) -> str:
    found = _UNIT.search(text)
    return found.group() if found else ""


def _written(value: Fraction, unit: str) -> str:
    """A decimal number with its unit; empty where it would need more than three places."""
    number = value / _SIZES.get(unit, Fraction(1))
    if (number * 1000).denominator != 1:
        return "" if unit else f"{float(number):.6f}".rstrip("0").rstrip(".")
    return f"{float(number):.3f}".rstrip("0").rstrip(".") + unit
