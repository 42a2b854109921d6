"""`remapd watch` beside a daemon: in a terminal, in a pipe, as JSON, and with no daemon at all."""

from __future__ import annotations

import json
import os
import re
import socket
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from remapd.cli.main import main
from tests.support.stand_in_daemon import WAIT_S, StandInDaemon, until
from tests.support.watching import Watching

BOAT = """\
remapd: 1
title: A boat
base: sail
verbs: {hoist: south, steer: left-stick}
devices:
  knees:
    find: {name: "Knee box"}
    controls:
      left-knee: {button: BTN_0, acceptance-delay: 80ms}
      right-knee: {button: BTN_1}
  foot:
    find: {name: "Foot stick"}
    controls:
      tiller: {stick: [ABS_X, ABS_Y]}
layers:
  sail:
    left-knee: hoist
    right-knee: {layer: net, how: toggle}
    tiller: steer
  net:
    left-knee: east
"""


@pytest.fixture
def daemon(tmp_path: Path) -> Iterator[StandInDaemon]:
    layout = tmp_path / "boat.yaml"
    layout.write_text(BOAT)
    with StandInDaemon(tmp_path, layout) as started:
        yield started


@pytest.fixture
def watch(daemon: StandInDaemon) -> Iterator[Any]:
    started: list[Watching] = []

    def start(*words: str, **how: Any) -> Watching:
        started.append(Watching(daemon, *words, **how))
        return started[-1]

    yield start
    for each in started:
        each.close()


def test_in_a_pipe_it_tells_sentences(daemon: StandInDaemon, watch: Any) -> None:
    watching = watch()
    watching.read_until("`foot` (player)")

    daemon.touch("left-knee")
    watching.read_until("left-knee ignored: released after ")
    daemon.press("right-knee")
    watching.read_until("layer net is on.")
    daemon.move("tiller", 1.0)
    watching.read_until("steer (left-stick) goes right.")

    assert "\x1b" not in watching.text
    assert watching.interrupt() == 0


def test_in_a_terminal_it_is_a_picture_and_leaves_the_terminal_as_it_was(
    daemon: StandInDaemon, watch: Any
) -> None:
    watching = watch(size=(80, 24))
    watching.read_until("what the hands do")
    watching.read_until("left-knee")

    daemon.press("right-knee")
    watching.read_until("right-knee: pressed: layer net (toggle) (found in layer sail)")

    assert watching.text.startswith("\x1b[?1049h")
    assert "\x1b[?25l" in watching.text.partition("remapd watch")[0]
    assert watching.interrupt() == 0
    watching.read_until("\x1b[?25h")
    watching.read_until("\x1b[?1049l")


def test_what_is_held_and_pressed_already_is_shown(daemon: StandInDaemon, watch: Any) -> None:
    daemon.press("left-knee")
    daemon.move("tiller", 0.0, 0.5)
    until(lambda: daemon.ask("subscribe", to=["pad"])["pad"]["pressed"] == ["south"])
    watching = watch(size=(80, 24))

    watching.read_until("↓ 50 %")

    for name in ("left-knee", "tiller", "hoist", "steer"):
        assert re.search(rf"◆ (\x1b\[\d*m|\x1b\(B)*{name}", watching.text), name
    assert not re.search(r"◆ (\x1b\[\d*m|\x1b\(B)*right-knee", watching.text)


def test_a_save_that_is_refused_is_shown_with_its_line(daemon: StandInDaemon, watch: Any) -> None:
    watching = watch(size=(100, 30))
    watching.read_until("left-knee")

    daemon.save(BOAT.replace("left-knee: hoist", "left-knee: hoits"))

    watching.read_until("boat.yaml, saved at ")
    watching.read_until("boat.yaml:17:16: error:")
    watching.read_until("did you mean `hoist`?")


@pytest.mark.parametrize(
    "how", [{"size": (60, 24)}, {"size": (80, 12)}], ids=["too narrow", "too low"]
)
def test_a_terminal_that_is_too_small_gets_sentences_and_is_told_why(
    daemon: StandInDaemon, watch: Any, how: dict[str, Any]
) -> None:
    watching = watch(**how)

    columns, rows = how["size"]
    watching.read_until(f"This terminal has {columns} columns and {rows} rows, the picture needs")
    daemon.press("right-knee")
    watching.read_until("layer net is on.")


def test_a_terminal_that_gets_too_small_gets_sentences_from_then_on(
    daemon: StandInDaemon, watch: Any
) -> None:
    watching = watch(size=(80, 24))
    watching.read_until("what the hands do")

    watching.resize(40, 10)

    watching.read_until("This terminal has 40 columns and 10 rows")
    daemon.press("right-knee")
    watching.read_until("layer net is on.")


@pytest.mark.parametrize("changes", [{"NO_COLOR": "1"}, {"TERM": "dumb"}], ids=str)
def test_who_asks_for_plain_text_gets_it(
    daemon: StandInDaemon, watch: Any, changes: dict[str, str]
) -> None:
    watching = watch(size=(80, 24), **changes)
    watching.read_until("`foot` (player)")

    assert "\x1b" not in watching.text


def test_as_json_every_message_is_a_line(daemon: StandInDaemon, watch: Any) -> None:
    watching = watch("--json")
    watching.read_until('"ok":true,"status"')

    daemon.press("right-knee")

    watching.read_until('"event":"layer"')
    watching.read_until('"event":"decision"')
    for each in watching.text.splitlines()[:-1]:
        assert isinstance(json.loads(each), dict)


def test_a_daemon_that_ends_is_waited_for(daemon: StandInDaemon, watch: Any) -> None:
    watching = watch("--plain")
    watching.read_until("`foot` (player)")
    before = len(watching.text)

    daemon.kill()
    watching.read_until("The daemon ended; waiting for it.")
    daemon.restart()

    watching.read_until("The daemon ended")
    deadline = time.monotonic() + WAIT_S
    while "`foot` (player)" not in watching.text[before:]:
        assert time.monotonic() < deadline
        watching.text += watching._decode(os.read(watching._ours, 1 << 16))


def test_a_reader_that_stops_reading_is_let_go_and_comes_back(
    daemon: StandInDaemon, watch: Any
) -> None:
    watching = watch("--json")
    watching.read_until('"ok":true,"status"')

    deadline = time.monotonic() + WAIT_S
    while daemon.ask("status")["status"]["clients"] > 1:
        assert time.monotonic() < deadline, "it was never dropped"
        for _ in range(300):
            daemon.press("right-knee")
            daemon.release("right-knee")

    watching.read_until('"event":"ended"')


def test_the_layouts_own_words_follow_a_reload(daemon: StandInDaemon, watch: Any) -> None:
    watching = watch("--plain")
    watching.read_until("`foot` (player)")
    daemon.save(BOAT.replace("verbs: {hoist: south", "verbs: {raise: south, hoist: south"))
    watching.read_until("Layout “A boat” is in force.")
    time.sleep(0.2)

    daemon.press("left-knee")

    watching.read_until("raise (south) is pressed")


def test_a_daemon_of_somebody_else_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What its control socket answers to whoever may not ask."""
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(tmp_path))
    error = "only the daemon's own user and root may ask"
    with socket.socket(socket.AF_UNIX) as server:
        server.bind(str(tmp_path / "main.sock"))
        server.listen()

        def refuse() -> None:
            link, _ = server.accept()
            link.sendall(json.dumps({"ok": False, "error": error}).encode() + b"\n")
            link.close()

        refusing = threading.Thread(target=refuse)
        refusing.start()
        code = main(["watch", "--plain"])
        refusing.join()

    assert code == 1
    assert capsys.readouterr().err == f"remapd: {error}; watch as that user, or with sudo\n"


def test_without_a_daemon_it_says_how_to_start_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(tmp_path))

    assert main(["watch"]) == 1

    said = capsys.readouterr()
    assert said.out == ""
    assert said.err == "remapd: no daemon `main` is running; start one with: remapd run LAYOUT\n"
