"""`remapd demo` on a real kernel: the session is played into a pad that a game can read."""

from __future__ import annotations

import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager

from remapd.kernel.frames import Event
from remapd.kernel.source import SourceDevice
from tests.support.demo_session import new_session
from tests.support.source_devices import WAIT_S, open_source, readable


@contextmanager
def demo(*words: str) -> Iterator[tuple[subprocess.Popen[str], SourceDevice]]:
    """The command in a pipe, and its pad as a game reads it."""
    process = subprocess.Popen(
        [sys.executable, "-m", "remapd", "demo", *words], stdout=subprocess.PIPE, text=True
    )
    try:
        assert process.stdout is not None
        process.stdout.readline()
        said = process.stdout.readline()
        assert said.startswith('It is real: games see it as "remapd demo pad" (/dev/input/event')
        reader = open_source(said.partition("(")[2].rstrip(").\n"))
        yield process, reader
        reader.close()
    finally:
        process.kill()
        process.communicate()


def until_gone(reader: SourceDevice) -> list[list[Event]]:
    """All that comes until the pad is taken away."""
    frames: list[list[Event]] = []
    while True:
        assert readable(reader, 4 * WAIT_S)
        got = reader.read_frames()
        if got is None:
            return frames
        frames += [events for _, events in got]


def test_a_game_reads_what_the_picture_shows() -> None:
    wanted = [frame.events for moment in new_session() for frame in moment.frames]
    with demo("--speed", "3") as (process, reader):
        frames = until_gone(reader)
        process.communicate(timeout=WAIT_S)

    assert process.returncode == 0
    # A reader on a slow machine may come late for the first of it.
    assert len(frames) > len(wanted) * 2 // 3
    flat = [[part for event in events for part in event] + [0, 0, 0] for events in frames]
    assert flat == wanted[-len(flat) :]


def test_interrupted_it_lets_go_before_the_pad_is_gone() -> None:
    with demo("--speed", "0.5") as (process, reader):
        assert readable(reader, 4 * WAIT_S)
        before = [events for _, events in reader.read_frames() or []]
        process.send_signal(signal.SIGINT)
        frames = [*before, *until_gone(reader)]
        process.communicate(timeout=WAIT_S)

    assert process.returncode == 130
    assert any(value for events in before for _, _, value in events)
    at_last = {(kind, code): value for events in frames for kind, code, value in events}
    assert not any(at_last.values())
