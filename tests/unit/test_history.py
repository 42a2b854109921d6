"""Versions are kept once, in their order, and outlive a file cut short."""

from __future__ import annotations

import json
import os
import stat
from pathlib import Path

import pytest

from remapd import history

LAYOUT = Path("/boats/harbour.yaml")
A = {"/boats/harbour.yaml": b"remapd: 1\n", "/boats/ward.yaml": b"w"}
B = {**A, "/boats/harbour.yaml": b"remapd: 2\n"}


@pytest.fixture(autouse=True)
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.delenv("STATE_DIRECTORY", raising=False)
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "own"))
    monkeypatch.setattr(history, "SYSTEM_FOLDER", tmp_path / "var" / "history")
    return tmp_path / "own" / "remapd" / "history"


def words() -> list[tuple[str, str]]:
    return [(each.because, each.what) for each in history.versions(LAYOUT)]


def test_the_same_again_is_no_new_version(own: Path) -> None:
    assert history.remember(LAYOUT, A, history.FOUND)
    assert not history.remember(LAYOUT, A, history.IN_FORCE)
    assert history.remember(LAYOUT, B, history.SET, "tap")
    assert history.remember(LAYOUT, A, history.UNDO)
    assert [each.because for each in history.versions(LAYOUT)] == ["found", "set", "undo"]
    assert history.versions(LAYOUT)[1].content("/boats/harbour.yaml") == b"remapd: 2\n"
    assert len(list((own / "contents").iterdir())) == 3
    assert history.layouts() == [LAYOUT]
    assert stat.S_IMODE(own.stat().st_mode) == 0o700


def test_who_knows_why_is_heard_though_the_daemon_was_quicker() -> None:
    history.remember(LAYOUT, A, history.FOUND)
    history.remember(LAYOUT, B, history.IN_FORCE)
    history.remember(LAYOUT, B, history.SET, "tap: 60ms -> 80ms")
    assert words() == [("found", ""), ("set", "tap: 60ms -> 80ms")]


def test_the_services_versions_are_read_beside_ones_own(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("STATE_DIRECTORY", str(history.SYSTEM_FOLDER.parent))
    history.remember(LAYOUT, A, history.IN_FORCE, at_us=1_000_000)
    history.remember(LAYOUT, B, history.IN_FORCE, at_us=3_000_000)
    assert history.own_folder() == history.SYSTEM_FOLDER
    assert stat.S_IMODE(history.SYSTEM_FOLDER.stat().st_mode) == 0o750
    monkeypatch.delenv("STATE_DIRECTORY")
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    history.remember(LAYOUT, B, history.SET, "tap", at_us=2_000_000)
    assert words() == [("in force", ""), ("set", "tap")]


def test_a_line_cut_short_is_left_out_and_the_next_is_whole(own: Path) -> None:
    history.remember(LAYOUT, A, history.FOUND)
    (path,) = (own / "layouts").iterdir()
    path.write_bytes(path.read_bytes() + b'{"at": "20')
    history.remember(LAYOUT, B, history.SET, "tap")
    assert [each.because for each in history.versions(LAYOUT)] == ["found", "set"]
    path.write_bytes(path.read_bytes() + b'{"at": "never"}\n[]\n')
    assert len(history.versions(LAYOUT)) == 2
    assert json.loads(path.read_bytes().splitlines()[0])["layout"] == str(LAYOUT)


def test_a_folder_that_cannot_be_written_is_an_os_error(own: Path) -> None:
    own.parent.mkdir(parents=True)
    own.write_text("in the way")
    with pytest.raises(OSError, match="history"):
        history.remember(LAYOUT, A, history.FOUND)


def test_a_layout_whose_name_is_no_utf_8_is_kept_and_found() -> None:
    odd = Path(os.fsdecode(b"/boats/harb\xffour.yaml"))
    contents = {str(odd): b"remapd: 1\n"}

    assert history.remember(odd, contents, history.IN_FORCE)
    assert not history.remember(odd, contents, history.IN_FORCE)
    assert [version.content(str(odd)) for version in history.versions(odd)] == [b"remapd: 1\n"]
    assert history.layouts() == [odd]
