"""A layout whose name is bytes that are no UTF-8 is played like any other, to the last message."""

from __future__ import annotations

import os
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

from remapd.cli.main import main
from remapd.recording.reader import open_recording
from tests.support.layouts import HARBOUR
from tests.support.stand_in_daemon import StandInDaemon, until


@pytest.fixture
def daemon(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[StandInDaemon]:
    """It tells a service manager how it is, as the service does."""
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager:
        manager.bind(str(tmp_path / "notify"))
        monkeypatch.setenv("NOTIFY_SOCKET", str(tmp_path / "notify"))
        monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
        layout = tmp_path / os.fsdecode(b"harb\xffour.yaml")
        layout.write_text(HARBOUR)
        with StandInDaemon(tmp_path, layout) as started:
            monkeypatch.setenv("RUNTIME_DIRECTORY", str(tmp_path))
            yield started


def test_it_is_refused_taken_told_and_recorded(
    daemon: StandInDaemon, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    daemon.tap("left-knee")
    daemon.save(HARBOUR.replace("south", "sooth"))
    until(lambda: daemon.ask("status")["status"]["refused"])
    assert main(["status"]) == 0
    daemon.save(HARBOUR + "# mended\n")
    until(lambda: not daemon.ask("status")["status"]["refused"])
    recording = tmp_path / "last.jsonl"

    assert main(["record", "--last", "1m", "-o", str(recording)]) == 0
    assert main(["replay", str(recording)]) == 0
    assert main(["history", str(daemon.layout)]) == 0
    assert "harb" in capsys.readouterr().out
    with open_recording(recording) as reader:
        assert list(reader)
    assert daemon.process.poll() is None
