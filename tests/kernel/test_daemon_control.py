"""The control socket of the running daemon: what it answers, whom, and what it streams."""

from __future__ import annotations

import contextlib
import json
import os
import socket
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from evdev import UInput, ecodes

from tests.support.daemon import (
    BOX,
    STICK,
    Daemon,
    grabbed_by_someone,
    move,
    press,
    release,
    until,
)
from tests.support.source_devices import send

Start = Callable[..., Daemon]
Plug = Callable[..., UInput]

BOAT = """
remapd: 1
title: A boat
base: sail
devices:
  knees:
    find: {name: "Knee box"}
    controls:
      left-knee: {button: BTN_0}
      right-knee: {button: BTN_1}
      chin: {button: BTN_2}
      elbow: {button: BTN_3}
  foot:
    find: {name: "Foot stick"}
    optional: true
    controls:
      tiller: {stick: [ABS_X, ABS_Y]}
layers:
  sail:
    left-knee: {latch: south}
    right-knee: {layer: net, how: toggle}
    chin: {say: "I need a break"}
    elbow: {latch: {together: [dpad-down, right-trigger]}}
    tiller: left-stick
  net:
    left-knee: east
"""


@pytest.fixture
def boat(start: Start, plug: Plug) -> tuple[Daemon, UInput]:
    knees = plug(BOX, "Knee box")
    daemon = start(BOAT)
    daemon.until_taken("knees")
    return daemon, knees


def test_pause_gives_the_devices_back_and_resume_takes_them(boat: tuple[Daemon, UInput]) -> None:
    daemon, knees = boat
    press(knees, ecodes.BTN_0)
    release(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")

    done = daemon.command("pause")

    assert (done.returncode, done.stderr) == (0, "")
    daemon.game.until_neutral()
    assert not grabbed_by_someone(knees)
    assert daemon.command("status").stdout.startswith("Remapping is paused")
    press(knees, ecodes.BTN_1)
    release(knees, ecodes.BTN_1)
    daemon.game.quiet_for(0.3)

    assert daemon.command("resume").returncode == 0

    daemon.until_taken("knees")
    assert grabbed_by_someone(knees)
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")
    daemon.command("release")
    daemon.game.until_neutral()


def test_the_status_is_plain_sentences(boat: tuple[Daemon, UInput]) -> None:
    daemon, knees = boat
    press(knees, ecodes.BTN_1)
    release(knees, ecodes.BTN_1)
    daemon.until_status(lambda status: len(status["layers"]) == 2)
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("east")
    done = daemon.command("status")
    assert (done.returncode, done.stderr) == (0, "")
    lines = done.stdout.splitlines()
    assert any(line.startswith("The pad “remapd pad” (/dev/input/event") for line in lines)
    assert any(line.startswith("Layout “A boat”") for line in lines)
    assert "Layers on, the newest last: sail, net." in lines
    assert any("`knees` (player) is “Knee box”" in line for line in lines)
    assert any(
        line.startswith("From the kernel's time stamp to our write: median") for line in lines
    )
    figures = json.loads(daemon.command("status", "--json").stdout)["figures"]
    assert 0 < figures["median_us"] <= figures["p99_us"] <= figures["longest_us"]


def test_it_runs_compiled_as_it_is_installed(boat: tuple[Daemon, UInput]) -> None:
    daemon, _ = boat
    form = daemon.status()["form"]
    assert form["name"] == "compiled", f"{form['why']}; outside the VM: {form['mend']}"
    assert daemon.command("status").stdout.endswith("It runs compiled.\n")


def test_use_changes_the_layout_and_refuses_a_broken_one(
    boat: tuple[Daemon, UInput], tmp_path: Path
) -> None:
    daemon, knees = boat
    other = tmp_path / "other.yaml"
    other.write_text(BOAT.replace("A boat", "Another").replace("{latch: south}", "north"))
    done = daemon.command("use", str(other))
    assert done.stdout == "“Another” is in force, and will be after a restart.\n"
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("north")
    release(knees, ecodes.BTN_0)

    broken = tmp_path / "broken.yaml"
    broken.write_text(BOAT.replace("south", "soth"))
    done = daemon.command("use", str(broken))
    assert done.returncode == 1
    assert "did you mean" in done.stderr
    assert daemon.status()["layout"]["title"] == "Another"
    # and it is still the other one that is followed
    other.write_text(BOAT.replace("A boat", "Saved"))
    daemon.until_status(lambda status: status["layout"]["title"] == "Saved")


def test_a_switch_can_change_the_layout(start: Start, plug: Plug, tmp_path: Path) -> None:
    knees = plug(BOX, "Knee box")
    (tmp_path / "net.yaml").write_text(BOAT.replace("A boat", "Nets"))
    daemon = start(BOAT.replace("{latch: south}", "{layout: net.yaml}"))
    daemon.until_taken("knees")
    press(knees, ecodes.BTN_0)
    daemon.until_status(lambda status: status["layout"]["title"] == "Nets")


@pytest.mark.parametrize(
    ("request_line", "words"),
    [
        (b"nonsense\n", "a request is one line"),
        (b"[1]\n", "a request is one line"),
        (b'{"do": "dance"}\n', "unknown request; there are status, "),
        (b'{"do": "mark"}\n', "`text` must be a text"),
        (b'{"do": "use", "path": "x.yaml"}\n', "must begin with /"),
        (b'{"do": "record", "what": "last", "last_us": true}\n', "whole number of microseconds"),
        (b'{"do": "record", "what": "stop"}\n', "records nothing"),
        (b'{"do": "subscribe", "to": "pad"}\n', "must be a list"),
        (b'{"do": "swap"}\n', "written in the layout"),
        (b"[" * 100_000, "too long"),
        (b'{"do": ' + b"[" * 50_000 + b"\n", "a request is one line"),
    ],
)
def test_a_wrong_request_is_answered_and_harms_nothing(
    boat: tuple[Daemon, UInput], request_line: bytes, words: str
) -> None:
    daemon, _ = boat
    with raw_connection(daemon) as link:
        with contextlib.suppress(BrokenPipeError):  # it was too long before all of it was sent
            link.sendall(request_line)
        answer = json.loads(link.makefile().readline())
    assert answer["ok"] is False
    assert words in answer["error"]
    assert daemon.status()["name"] == "main"


def raw_connection(daemon: Daemon) -> socket.socket:
    link = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
    link.settimeout(10)
    link.connect(str(daemon.folder / "main.sock"))
    return link


def test_only_the_same_user_and_root_may_ask(boat: tuple[Daemon, UInput]) -> None:
    daemon, _ = boat
    path = daemon.folder / "main.sock"
    assert path.stat().st_mode & 0o777 == 0o600

    def as_nobody() -> bytes:
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:  # from here on nothing of the test's own may run
            try:
                os.setgid(65534)
                os.setuid(65534)
                with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as link:
                    link.connect(str(path))
                    os.write(writing, link.recv(4096))
            except BaseException as error:  # noqa: BLE001 - whatever it is, the parent is told
                os.write(writing, type(error).__name__.encode())
            os._exit(0)
        os.close(writing)
        os.waitpid(child, 0)
        answer = os.read(reading, 4096)
        os.close(reading)
        return answer

    assert as_nobody() == b"PermissionError"
    # were the file open to all, the daemon itself would still refuse
    opened = [folder for folder in path.parents if folder.stat().st_mode & 0o005 != 0o005]
    modes = [folder.stat().st_mode & 0o777 for folder in opened]
    try:
        path.chmod(0o666)
        for folder in opened:
            folder.chmod(folder.stat().st_mode & 0o777 | 0o005)
        answer = as_nobody()
    finally:
        path.chmod(0o600)
        for folder, mode in zip(opened, modes, strict=True):
            folder.chmod(mode)
    assert b"only the daemon's own user and root may ask" in answer


# ---------------------------------------------------------------- the stream
def test_a_subscriber_sees_presses_layers_and_the_pad(
    boat: tuple[Daemon, UInput], plug: Plug
) -> None:
    daemon, knees = boat
    foot = plug(STICK, "Foot stick")
    daemon.until_taken("knees", "foot")
    for code in (ecodes.BTN_0, ecodes.BTN_3):
        press(knees, code)
        release(knees, code)
    daemon.game.until(lambda view: view.pressed == {"south", "dpad-down"})
    with daemon.client() as client:
        first = client.ask("subscribe", to=["controls", "pad", "layers", "notices", "state"])
        assert first["status"]["layout"]["title"] == "A boat"
        assert first["pad"]["pressed"] == ["dpad-down", "south"]
        assert first["pad"]["triggers"] == {"left-trigger": 0, "right-trigger": 255}
        press(knees, ecodes.BTN_1)
        release(knees, ecodes.BTN_1)
        press(knees, ecodes.BTN_0)
        move(foot, ecodes.ABS_X, 50)
        press(knees, ecodes.BTN_2)
        seen: list[dict[str, Any]] = []
        wanted = {"left-stick", "tiller", "I need a break", "net"}
        while wanted - {m.get("control") for m in seen} - {m.get("text") for m in seen}:
            seen.append(client.receive())
    told = [{k: v for k, v in m.items() if k != "us"} for m in seen]
    assert {"event": "control", "control": "right-knee", "pressed": True} in told
    assert {"event": "control", "control": "right-knee", "pressed": False} in told
    assert {"event": "pad", "control": "east", "change": "press"} in told
    assert {"event": "control", "control": "tiller", "x": 0.5} in told
    layer = next(m for m in told if m["event"] == "layer")
    assert (layer["kind"], layer["text"], layer["layers"]) == ("layer-on", "net", ["sail", "net"])
    until(lambda: daemon.status()["layers"] == ["sail", "net"])


def test_a_slow_reader_is_dropped_and_play_goes_on(boat: tuple[Daemon, UInput]) -> None:
    daemon, knees = boat
    with raw_connection(daemon) as link:
        link.sendall(b'{"do": "subscribe", "to": ["controls", "pad"]}\n')
        daemon.until_status(lambda status: status["clients"] == 2)
        deadline = time.monotonic() + 60
        while daemon.status()["clients"] == 2:
            assert time.monotonic() < deadline, "it was never dropped"
            for value in (1, 0) * 200:
                codes = (ecodes.BTN_0, ecodes.BTN_1, ecodes.BTN_2)
                send(knees, *((ecodes.EV_KEY, code, value) for code in codes))
            daemon.game.read()
    daemon.ask("release")
    daemon.game.until_neutral()
    press(knees, ecodes.BTN_0)
    daemon.game.until(lambda view: view.pressed)
