"""`remapd replay` as a user meets it."""

from __future__ import annotations

import errno
import gzip
import io
import os
from pathlib import Path

import pytest

from remapd.cli import progress
from remapd.cli.main import main
from remapd.recording.reader import RecordingReader
from tests.support.layouts import HARBOUR
from tests.support.recordings import Take

GENTLER = HARBOUR.replace("acceptance-delay: 80ms", "acceptance-delay: 40ms")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a layout, another one, and a recording that holds the first."""
    (tmp_path / "harbour.yaml").write_text(HARBOUR)
    (tmp_path / "gentler.yaml").write_text(GENTLER)
    take = Take(HARBOUR, text=HARBOUR)
    take.tap("left-knee", 0, 60)
    take.tap("left-knee", 500, 200)
    take.writer.mark(800_000, "that press did nothing")
    take.count("roll", 12, -12, 900)
    take.end(1000)
    (tmp_path / "knee.jsonl").write_bytes(take.data)
    return tmp_path


def replay(*words: str | Path) -> int:
    return main(["replay", *map(str, words)])


def test_the_pads_recording_is_printed_and_the_same_every_time(
    folder: Path, capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    assert replay(folder / "harbour.yaml", folder / "knee.jsonl") == 0
    first = capfdbinary.readouterr()
    assert replay(folder / "harbour.yaml", folder / "knee.jsonl") == 0
    second = capfdbinary.readouterr()
    assert replay(folder / "knee.jsonl") == 0
    own = capfdbinary.readouterr()

    assert first.out == second.out == own.out
    assert (first.err, own.err) == (b"", b"")
    lines = first.out.decode().splitlines()
    assert '"name": "remapd pad"' in lines[0]
    assert lines[1:3] == [
        '{"us": 700000, "device": 0, "events": [["EV_KEY", "BTN_SOUTH", 1]]}',
        '{"us": 760000, "device": 0, "events": [["EV_KEY", "BTN_SOUTH", 0]]}',
    ]
    assert '"end"' not in first.out.decode()
    assert len(list(RecordingReader(io.BytesIO(first.out), "pad"))) == len(lines) - 1


def test_explained(folder: Path, capfd: pytest.CaptureFixture[str]) -> None:
    assert replay(folder / "harbour.yaml", folder / "knee.jsonl", "--explain") == 0
    lines = capfd.readouterr().out.splitlines()

    assert lines[0].startswith("    0.060000 s left-knee: ")
    assert "80 ms" in lines[0]
    assert "    0.800000 s --- that press did nothing ---" in lines
    assert [line.split()[0] for line in lines] == sorted(line.split()[0] for line in lines)
    assert not any(line.startswith("{") for line in lines)


def test_explained_beside_the_pads_recording(
    folder: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    pad = folder / "pad.jsonl"
    assert replay(folder / "harbour.yaml", folder / "knee.jsonl", "--explain", "-o", pad) == 0
    explained = capfd.readouterr().out
    assert replay(folder / "harbour.yaml", folder / "knee.jsonl") == 0

    assert pad.read_text() == capfd.readouterr().out
    assert "left-knee" in explained


def test_compared(folder: Path, capfd: pytest.CaptureFixture[str]) -> None:
    gentler, harbour = folder / "gentler.yaml", folder / "harbour.yaml"
    assert replay(harbour, folder / "knee.jsonl", "--compare", gentler) == 0
    table = capfd.readouterr().out

    assert "0.060000 s  0.120000 s  south        -      pressed" in table
    assert table.endswith("\n1 difference\n")
    assert replay(harbour, folder / "knee.jsonl", "--compare", harbour) == 0
    assert "do the same" in capfd.readouterr().out


@pytest.mark.parametrize(
    ("words", "what"),
    [
        (["harbour.yaml", "none.jsonl"], "none.jsonl: there is no such file"),
        (["none.yaml", "knee.jsonl"], "file-missing"),
        (["broken.yaml", "knee.jsonl"], "broken.yaml:1:1"),
        (["harbour.yaml", "foreign.jsonl"], "foreign.jsonl:1: not a recording"),
        (["harbour.yaml", "packed.jsonl"], "packed.jsonl:1: not a recording: the file is packed"),
        (["harbour.yaml", "packed.jsonl"], "unpack it first, with gunzip"),
        (["harbour.yaml", "broken.jsonl"], "broken.jsonl:2: this line is not JSON"),
        (["stranger.yaml", "knee.jsonl"], "its name is `Switch box` and not `Button box`"),
        (["harbour.yaml", "knee.jsonl", "-o", "none/x.jsonl"], "cannot be written"),
        (["."], "this is a folder"),
    ],
)
def test_what_cannot_be_done_is_told_without_a_traceback(
    folder: Path, capfd: pytest.CaptureFixture[str], words: list[str], what: str
) -> None:
    (folder / "broken.yaml").write_text("tile: x\n")
    (folder / "foreign.jsonl").write_text('{"events": []}\n')
    (folder / "packed.jsonl").write_bytes(gzip.compress((folder / "knee.jsonl").read_bytes()))
    (folder / "stranger.yaml").write_text(
        HARBOUR.replace("Switch box", "Button box")
        .replace("Large trackball", "Ball")
        .replace("shape: gamepad", "name: Pad")
    )
    whole = (folder / "knee.jsonl").read_bytes().splitlines(keepends=True)
    (folder / "broken.jsonl").write_bytes(whole[0] + b"{]\n" + whole[1])
    paths = [word if word.startswith("-") else folder / word for word in words]

    assert replay(*paths) == 1
    error = capfd.readouterr().err
    assert what in error
    assert "Traceback" not in error
    assert "a mistake in remapd" not in error


@pytest.mark.parametrize(
    ("words", "what"),
    [
        (["--speed", "2"], "--speed and --delay go with --pad"),
        (["--delay", "1s"], "--speed and --delay go with --pad"),
        (["--pad", "--speed", "fast"], "`fast` is no speed"),
        (["--pad", "--speed", "nan"], "`nan` is no speed"),
        (["--pad", "--speed", "0"], "`0` is no speed"),
        (["--pad", "--delay", "5"], "`5` is no time"),
        (["--pad", "-o", "pad.jsonl"], "--output goes without --pad"),
        (["--pad", "--explain"], "not allowed with"),
    ],
)
def test_wrong_usage_of_the_real_time_options(
    folder: Path, capfd: pytest.CaptureFixture[str], words: list[str], what: str
) -> None:
    assert replay(folder / "harbour.yaml", folder / "knee.jsonl", *words) == 2
    error = capfd.readouterr().err
    assert what in error
    assert "did you mean" not in error


def test_a_layout_in_the_place_of_the_recording(
    folder: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    assert replay(folder / "knee.jsonl", folder / "harbour.yaml") == 2
    assert "the layout comes first, then the recording" in capfd.readouterr().err
    assert replay(folder / "harbour.yaml") == 2
    assert "name a recording after it" in capfd.readouterr().err


@pytest.mark.parametrize(
    ("error_number", "what"),
    [(errno.ENOENT, "sudo modprobe uinput"), (errno.EACCES, "no permission to open /dev/uinput")],
)
def test_no_pad_can_be_made(
    folder: Path,
    capfd: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    error_number: int,
    what: str,
) -> None:
    really_open = os.open

    def refuse(path: str, *details: int, **more: int) -> int:
        if path == "/dev/uinput":
            raise OSError(error_number, os.strerror(error_number))
        return really_open(path, *details, **more)

    monkeypatch.setattr(os, "open", refuse)
    assert replay(folder / "harbour.yaml", folder / "knee.jsonl", "--pad") == 1
    error = capfd.readouterr().err
    assert what in error
    assert error.count("\n") == 1


def test_notes_go_to_standard_error(folder: Path, capfd: pytest.CaptureFixture[str]) -> None:
    (folder / "knee.jsonl").write_bytes((folder / "knee.jsonl").read_bytes()[:-10])

    assert replay(folder / "harbour.yaml", folder / "knee.jsonl") == 0
    assert "the last line is cut off" in capfd.readouterr().err


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_the_progress_bar_shows_on_a_terminal_and_clears_itself(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    terminal = Terminal()
    monkeypatch.setattr("sys.stderr", terminal)
    monkeypatch.setattr(progress, "_FIRST_S", 0.0)
    monkeypatch.setattr(progress, "_ITEMS_A_LOOK", 1)
    items = list(progress.with_progress(range(3), "replaying", lambda: 50, 100))
    last = terminal.getvalue().split("\r")[-2]

    assert items == [0, 1, 2]
    assert "replaying [###############...............]  50%" in terminal.getvalue()
    assert last.strip() == ""


def test_no_progress_bar_goes_into_a_file(monkeypatch: pytest.MonkeyPatch) -> None:
    file = io.StringIO()
    monkeypatch.setattr("sys.stderr", file)
    monkeypatch.setattr(progress, "_FIRST_S", 0.0)
    monkeypatch.setattr(progress, "_ITEMS_A_LOOK", 1)

    assert list(progress.with_progress(range(3), "replaying", lambda: 50, 100)) == [0, 1, 2]
    assert file.getvalue() == ""
