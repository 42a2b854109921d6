"""Lengths of time on the command line."""

from __future__ import annotations

import argparse
import re
from typing import Final

_DURATION: Final = re.compile(r"(\d+(?:\.\d+)?)(ms|s|m)")
_UNIT_US: Final = {"ms": 1_000, "s": 1_000_000, "m": 60_000_000}


def duration_us(text: str) -> int:
    """`500ms`, `30s` or `2m` in microseconds; for argparse."""
    found = _DURATION.fullmatch(text)
    if found is None:
        raise argparse.ArgumentTypeError(f"`{text}` is no time; write it as 30s or 2m")
    return round(float(found[1]) * _UNIT_US[found[2]])
