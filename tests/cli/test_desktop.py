"""The menu of the desktop: what a family sees when they click, with a daemon and without."""

from __future__ import annotations

import json
import re
import socket
import threading
from argparse import Namespace
from collections.abc import Iterator
from pathlib import Path

import pytest

from remapd.cli import desktop
from remapd.cli.failure import CommandFailed

PROGRAMS = ("xdg-open", "notify-send", "systemctl", "journalctl")


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A place without a daemon, where a desktop's programs write down what they were told."""
    folder = tmp_path / "bin"
    folder.mkdir()
    for name in PROGRAMS:
        code = 3 if name == "systemctl" else 0
        program = folder / name
        program.write_text(f'#!/bin/sh\nprintf "%s\\n" "$*" >> {tmp_path}/{name}\nexit {code}\n')
        program.chmod(0o755)
    monkeypatch.setenv("PATH", f"{folder}:/usr/bin:/bin")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(tmp_path / "run"))
    monkeypatch.setattr(desktop, "_START_LIMIT_S", 0.2)
    (tmp_path / "run").mkdir()
    return tmp_path


@pytest.fixture
def asked(here: Path) -> Iterator[list[str]]:
    """A daemon that does whatever it is asked, and what it was asked."""
    listener = socket.socket(socket.AF_UNIX)
    listener.bind(str(here / "run/menu.sock"))
    listener.listen()
    requests: list[str] = []

    def serve() -> None:
        while True:
            try:
                link, _ = listener.accept()
            except OSError:
                return
            with link, link.makefile("rw") as stream:
                for line in stream:
                    requests.append(json.loads(line)["do"])
                    layout = {"title": "Two knees", "path": str(here / "knees.yaml")}
                    answer = {"ok": True, "status": {"layout": layout}}
                    stream.write(json.dumps(answer) + "\n")
                    stream.flush()

    thread = threading.Thread(target=serve)
    thread.start()
    yield requests
    listener.shutdown(socket.SHUT_RDWR)
    listener.close()
    thread.join()


def click(what: str) -> int:
    return desktop.run(Namespace(what=what, name="menu"))


def told(here: Path, program: str) -> str:
    file = here / program
    return file.read_text() if file.exists() else ""


def test_start_goes_on_after_a_pause_and_says_what_is_played(here: Path, asked: list[str]) -> None:
    assert click("start") == 0
    assert asked == ["resume", "status"]
    assert "Playing: Two knees" in told(here, "notify-send")
    assert told(here, "xdg-open") == ""


def test_pause_says_how_to_go_on(here: Path, asked: list[str]) -> None:
    assert click("pause") == 0
    assert asked == ["pause", "status"]
    assert "Start goes on" in told(here, "notify-send")


def test_where_nothing_can_be_started_a_page_says_what_is_wrong(here: Path) -> None:
    assert click("start") == 1
    assert told(here, "systemctl").startswith("start remapd\n--user start remapd\n")
    page = Path(told(here, "xdg-open").strip())
    assert page.is_relative_to(here)
    assert "<h1>remapd could not be started</h1>" in page.read_text()
    assert "is not running" in page.read_text()


def test_what_is_wrong_is_always_a_page(here: Path) -> None:
    assert click("health") == 0
    assert "to mend" in Path(told(here, "xdg-open").strip()).read_text()


def test_a_home_that_cannot_be_written_keeps_no_page_back(
    here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (here / "file").touch()
    monkeypatch.setenv("XDG_CACHE_HOME", str(here / "file"))

    assert click("health") == 0
    assert "to mend" in Path(told(here, "xdg-open").strip()).read_text()


def test_without_a_browser_the_page_is_told_in_words(here: Path) -> None:
    (here / "bin/xdg-open").write_text("#!/bin/sh\nexit 3\n")

    with pytest.raises(CommandFailed, match="remapd could not be paused"):
        click("pause")


def test_without_notifications_the_sentence_is_printed(
    here: Path, asked: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    (here / "bin/notify-send").write_text("#!/bin/sh\nexit 1\n")

    assert click("pause") == 0
    assert "Paused." in capsys.readouterr().out


KNEES = """
remapd: 1
title: Two <knees>
devices:
  knees:
    find: {name: "Knee box"}
    controls: {left-knee: {button: BTN_0}}
layers:
  sail:
    left-knee: south
"""


def test_how_to_play_is_a_page_with_the_card_that_is_in_use(here: Path, asked: list[str]) -> None:
    (here / "knees.yaml").write_text(KNEES)

    assert click("guide") == 0
    page = (here / "cache/remapd/how-to-play.html").read_text()
    assert told(here, "xdg-open") == f"{here}/cache/remapd/how-to-play.html\n"
    assert "Two &lt;knees&gt;" in page
    assert "trackball" not in page.partition("<figure>")[2]
    assert "Let go of everything" in page
    assert asked == ["status", "status"]
    assert not set(re.findall(r"(?:src|href)=", page))


@pytest.mark.parametrize("layout", [None, "remapd: 1\ntitle: {", ""])
def test_without_a_layout_that_can_be_read_it_shows_an_example(
    here: Path, asked: list[str], layout: str | None
) -> None:
    if layout is not None:
        (here / "knees.yaml").write_text(layout)

    assert click("guide") == 0
    assert asked == ["status", "status"]
    assert "Forearm trackball" in (here / "cache/remapd/how-to-play.html").read_text()


def test_how_to_play_needs_no_daemon(here: Path) -> None:
    assert click("guide") == 0
    page = (here / "cache/remapd/how-to-play.html").read_text()
    assert page.count("<figure>") == 1
