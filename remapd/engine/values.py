"""Numbers in the bytes of a frame, read where they stand: for the short way of axes.

Compiled, a byte costs some ten instructions, and an `unpack` several hundred before it begins. In
pure Python it is the other way round, so each function has both ways.
"""

from __future__ import annotations

import struct
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:  # a number as the processor has it; of use where this is compiled
    from mypy_extensions import i64

#: Whether this module runs as its source.
IS_SOURCE: Final = __file__.endswith(".py")
_SIGNED: Final = struct.Struct("<i")


def value_at(data: bytes, at: i64) -> i64:
    """The signed number of 32 bits, its low byte first, that begins at `at`."""
    if IS_SOURCE:
        value: int = _SIGNED.unpack_from(data, at)[0]
        return value
    number = unsigned_at(data, at)
    if number >= 0x8000_0000:
        return number - 0x1_0000_0000
    return number


def unsigned_at(data: bytes, at: i64) -> i64:
    """The same without a sign: 0 to 2 to the power of 32, less one."""
    low: i64 = data[at]
    second: i64 = data[at + 1]
    third: i64 = data[at + 2]
    high: i64 = data[at + 3]
    return low | second << 8 | third << 16 | high << 24


def has_bytes(data: bytes, first: i64, step: i64, wanted: bytes) -> bool:
    """Whether the bytes at `first` and every `step` after it are these; so many are in `data`."""
    if IS_SOURCE:
        return data[first::step] == wanted
    at = first
    count: i64 = len(wanted)
    number: i64 = 0
    while number < count:
        if data[at] != wanted[number]:
            return False
        at += step
        number += 1
    return True
