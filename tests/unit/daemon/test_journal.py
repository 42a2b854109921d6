"""Lines for people: prefixed for the journal, held back when they repeat, never waited for."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import TextIO

import pytest

from remapd.daemon.journal import ERROR, NOTICE, Journal

Pipe = tuple[int, TextIO]


@pytest.fixture
def pipe() -> Iterator[Pipe]:
    reading, writing = os.pipe()
    os.set_blocking(reading, False)
    with os.fdopen(writing, "w") as stream:
        yield reading, stream
    os.close(reading)


def test_each_line_of_a_text_has_its_side(pipe: Pipe) -> None:
    Journal(pipe[1]).say(ERROR, "layout", "refused:\nline 3")
    assert os.read(pipe[0], 999) == b"layout: refused:\nlayout: line 3\n"


def test_under_systemd_a_priority_stands_before_it(
    pipe: Pipe, monkeypatch: pytest.MonkeyPatch
) -> None:
    status = os.fstat(pipe[1].fileno())
    monkeypatch.setenv("JOURNAL_STREAM", f"{status.st_dev}:{status.st_ino}")
    Journal(pipe[1]).say(NOTICE, "remapd", "paused")
    assert os.read(pipe[0], 999) == b"<5>remapd: paused\n"


def test_what_comes_again_and_again_is_held_back_and_counted(pipe: Pipe) -> None:
    journal = Journal(pipe[1])
    for number in range(8):
        journal.say(NOTICE, "device", f"unplugged {number}", now_us=number, topic="unplugged")
    journal.say(NOTICE, "device", "another matter", now_us=9, topic="other")
    journal.say(NOTICE, "device", "unplugged later", now_us=10_000_000, topic="unplugged")
    lines = os.read(pipe[0], 9999).decode().splitlines()
    assert lines[:5] == [f"device: unplugged {number}" for number in range(5)]
    assert lines[5:] == ["device: another matter", "device: unplugged later (and 3 more like it)"]


def test_a_reader_who_has_stopped_reading_stops_nobody(pipe: Pipe) -> None:
    journal = Journal(pipe[1])
    for number in range(3000):
        journal.say(NOTICE, "remapd", f"{number} " + "x" * 100)
    assert journal.lost > 0
    os.read(pipe[0], 1 << 20)
    journal.say(NOTICE, "remapd", "read again")
    assert b"read again" in os.read(pipe[0], 1 << 20)


def test_a_line_is_never_longer_than_a_pipe_takes_at_once(pipe: Pipe) -> None:
    Journal(pipe[1]).say(NOTICE, "remapd", "é" * 9000)
    data = os.read(pipe[0], 1 << 20)
    assert len(data) == 4096
    assert data.endswith(b"\n")


def test_a_reader_who_is_gone_is_no_error() -> None:
    reading, writing = os.pipe()
    with os.fdopen(writing, "w") as stream:
        os.close(reading)
        journal = Journal(stream)
        journal.say(NOTICE, "remapd", "anybody?")
    assert journal.lost == 1
