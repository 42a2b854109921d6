"""The last two minutes: what goes in comes out, bounded in time and in bytes."""

from __future__ import annotations

import random
import struct
from typing import Any

import pytest

from remapd.daemon import memory as memory_module
from remapd.daemon.memory import KEPT_US, Chunk, Memory


def frame(us: int, device: int = 3) -> tuple[int, int, Any]:
    return us, device, [(3, 0, us % 1000), (1, 288, us % 2)]


def filled(memory: Memory, times: range) -> None:
    for us in times:
        memory.pending.append(frame(us))
        if len(memory.pending) >= 128:
            memory.turn_over()
    memory.turn_over()


def test_what_goes_in_comes_out() -> None:
    memory = Memory(dict)
    filled(memory, range(0, 1_000_000, 1000))
    items = [item for chunk in memory.chunks for item in chunk.items()]
    assert items == [frame(us) for us in range(0, 1_000_000, 1000)]


def test_what_is_too_old_is_forgotten_chunk_by_chunk() -> None:
    memory = Memory(dict)
    end_us = 2 * KEPT_US
    filled(memory, range(0, end_us, 100_000))
    assert memory.chunks[0].to_us >= end_us - 100_000 - KEPT_US
    assert memory.chunks[0].from_us < end_us - KEPT_US + 128 * 100_000


def test_what_is_too_much_is_forgotten(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(memory_module, "KEPT_BYTES", 50_000)
    source = random.Random(1)
    memory = Memory(dict)
    for us in range(100_000):
        memory.pending.append((us, 1, [(3, 0, source.randrange(1 << 31))]))
        if len(memory.pending) >= 128:
            memory.turn_over()
    assert sum(len(chunk.packed) for chunk in memory.chunks) <= 50_000
    assert memory.chunks[-1].to_us > 99_000


def test_a_chunk_bears_the_state_of_things_before_it() -> None:
    states = iter([{"n": 0}, {"n": 1}, {"n": 2}])
    memory = Memory(lambda: next(states))
    memory.begin()
    filled(memory, range(3))
    filled(memory, range(3, 6))
    assert [chunk.state for chunk in memory.chunks] == [{"n": 0}, {"n": 1}]


def test_since_gives_the_chunks_that_reach_so_far() -> None:
    memory = Memory(dict)
    for first in (0, 1000, 2000):
        filled(memory, range(first, first + 10))
    assert [chunk.from_us for chunk in memory.since(1009)] == [1000, 2000]
    assert memory.since(3000) == []


def test_notes_stand_among_the_frames_and_listeners_are_told() -> None:
    heard: list[Chunk] = []
    memory = Memory(dict)
    memory.listeners.append(heard.append)
    memory.note(5, {"mark": "that did nothing"})
    memory.turn_over()
    memory.turn_over()  # nothing new: no chunk
    assert [chunk.items() for chunk in heard] == [[(5, -1, {"mark": "that did nothing"})]]


def plain(us: int) -> tuple[int, bytes]:
    time = (us // 1_000_000, us % 1_000_000)
    events = ((3, 0, us % 1000), (3, 1, -5), (0, 0, 0))
    return 3, b"".join(struct.pack("@llHHi", *time, *event) for event in events)


def test_a_frame_that_is_kept_as_its_bytes_comes_out_as_any_other() -> None:
    memory = Memory(dict)
    memory.pending += [plain(5_000_007), frame(5_000_100), plain(5_000_200)]
    memory.turn_over()
    [chunk] = memory.chunks
    assert (chunk.from_us, chunk.to_us) == (5_000_007, 5_000_200)
    assert chunk.items() == [
        (5_000_007, 3, [(3, 0, 7), (3, 1, -5)]),
        frame(5_000_100),
        (5_000_200, 3, [(3, 0, 200), (3, 1, -5)]),
    ]


def test_what_is_older_is_compressed_and_comes_out_all_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(memory_module, "LOOSE_BYTES", 20_000)
    memory = Memory(dict)
    filled(memory, range(0, 4_000_000, 1000))
    loose = [chunk for chunk in memory.chunks if not chunk.compressed]
    assert loose == list(memory.chunks)[-len(loose) :]
    assert 0 < sum(len(chunk.packed) for chunk in loose) <= 20_000
    items = [item for chunk in memory.chunks for item in chunk.items()]
    assert items == [frame(us) for us in range(0, 4_000_000, 1000)]
