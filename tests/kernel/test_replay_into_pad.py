"""`remapd replay --pad` on a real kernel: a game reads the replay, in its order and its times."""

from __future__ import annotations

import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from remapd.kernel.frames import Event, Frame
from remapd.kernel.hotplug import list_nodes
from remapd.kernel.source import SourceDevice
from remapd.recording.player import Player
from remapd.recording.reader import open_recording
from tests.support.layouts import HARBOUR, load_or_fail
from tests.support.recordings import Take
from tests.support.source_devices import WAIT_S, open_source, readable

#: A machine under load may stall a process for a while; the order is exact all the same.
LATE_US = 1_500_000


@pytest.fixture
def session(tmp_path: Path) -> Path:
    """A folder with a layout and a recording of two and a half seconds; first the stick moves."""
    (tmp_path / "harbour.yaml").write_text(HARBOUR)
    take = Take(HARBOUR)
    take.count("roll", 9, -6, 0)
    for start in range(0, 2000, 250):
        take.tap("left-knee", start, 150)
        take.count("roll", 9, -6, start + 170)
        take.tap("right-knee", start + 190, 40)
    take.writer.mark(2_400_000, "the end of the song")
    take.end(2500)
    (tmp_path / "session.jsonl").write_bytes(take.data)
    return tmp_path


@contextmanager
def playing(session: Path, *words: str) -> Iterator[tuple[subprocess.Popen[str], SourceDevice]]:
    """The command, and its pad as a game reads it."""
    process = subprocess.Popen(
        [
            *(sys.executable, "-m", "remapd", "replay", "--pad", *words),
            *(str(session / "harbour.yaml"), str(session / "session.jsonl")),
        ],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        assert process.stderr is not None
        said = process.stderr.readline()
        assert "the pad is /dev/input/event" in said, said + process.stderr.read()
        reader = open_source(said.split()[-1])
        yield process, reader
        reader.close()
    finally:
        process.kill()
        process.communicate()


def until_gone(reader: SourceDevice) -> list[Frame]:
    """All that comes until the pad is taken away."""
    frames: list[Frame] = []
    while True:
        assert readable(reader, 2 * WAIT_S)
        got = reader.read_frames()
        if got is None:
            return frames
        frames += got


def expected(session: Path) -> list[Frame]:
    """What the replay on virtual time gives."""
    with open_recording(session / "session.jsonl") as recording:
        player = Player(recording, load_or_fail(HARBOUR))
        return [(frame.us, triples(frame.events)) for frame in player]


def triples(events: list[int]) -> list[Event]:
    """The events of a flat frame, without the report at its end."""
    return list(zip(events[0:-3:3], events[1:-3:3], events[2:-3:3], strict=True))


@pytest.mark.parametrize(("words", "factor"), [((), 1.0), (("--speed", "2"), 2.0)])
def test_a_game_reads_every_change_in_order_and_at_its_time(
    session: Path, words: tuple[str, ...], factor: float
) -> None:
    wanted = expected(session)
    assert len(wanted) > 20
    with playing(session, "--delay", "3s", *words) as (process, reader):
        frames = until_gone(reader)
        out, err = process.communicate(timeout=WAIT_S)

    assert process.returncode == 0, err
    assert [events for _, events in frames] == [events for _, events in wanted]
    first_us, wanted_first_us = frames[0][0], wanted[0][0]
    for (us, _), (wanted_us, _) in zip(frames, wanted, strict=True):
        late_us = (us - first_us) - (wanted_us - wanted_first_us) / factor
        assert late_us > -LATE_US
    assert f"played 2.5 s: {len(wanted)} changes of the pad" in out
    assert "2.4 s --- the end of the song ---" in err
    assert reader.path not in [node.path for node in list_nodes()]


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_lets_go_of_everything_and_takes_the_pad_away(
    session: Path, number: signal.Signals
) -> None:
    with playing(session, "--delay", "3s", "--speed", "0.02") as (process, reader):
        assert readable(reader, 4 * WAIT_S)
        assert reader.read_frames()
        assert any(reader.axes().values())
        process.send_signal(number)
        frames = until_gone(reader)
        out, err = process.communicate(timeout=WAIT_S)

    assert process.returncode == 130
    assert (out, err) == ("", "")
    # the kernel releases the keys of a device that goes, and leaves its axes where they are
    assert not reader.held()
    assert not any(reader.axes().values())
    assert all(value == 0 for _, events in frames for _, _, value in events)
