"""Numbers read out of a frame's bytes are those that `struct` of the standard library reads."""

from __future__ import annotations

import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.engine.values import has_bytes, unsigned_at, value_at


@given(data=st.binary(min_size=4, max_size=40), at=st.integers(0, 36))
def test_numbers_are_those_that_struct_reads(data: bytes, at: int) -> None:
    at = min(at, len(data) - 4)
    assert value_at(data, at) == struct.unpack_from("<i", data, at)[0]
    assert unsigned_at(data, at) == struct.unpack_from("<I", data, at)[0]


@pytest.mark.parametrize("value", [0, 1, -1, 2**31 - 1, -(2**31), 255, 256, -32767])
def test_numbers_at_the_ends_of_their_range(value: int) -> None:
    assert value_at(struct.pack("<xi", value), 1) == value


@given(
    records=st.lists(st.binary(min_size=3, max_size=3), min_size=1, max_size=6),
    first=st.integers(0, 2),
    change=st.none() | st.tuples(st.integers(0, 5), st.integers(0, 255)),
)
def test_bytes_that_stand_apart_are_compared(
    records: list[bytes], first: int, change: tuple[int, int] | None
) -> None:
    there = bytes(record[first] for record in records)
    wanted = bytearray(there)
    if change is not None and change[0] < len(wanted):
        wanted[change[0]] = change[1]
    assert has_bytes(b"".join(records), first, 3, bytes(wanted)) == (wanted == there)
