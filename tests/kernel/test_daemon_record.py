"""Recordings from the running daemon, and that a replay of one gives what the pad gave."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from evdev import UInput, ecodes

from remapd.engine.layout import Layout
from remapd.language import load_text
from remapd.recording.lines import (
    EndLine,
    LayoutLine,
    MarkLine,
    PausedLine,
    PluggedLine,
    RecordedDevice,
)
from remapd.recording.player import Player
from remapd.recording.reader import RecordingReader
from tests.support.daemon import (
    BOX,
    KEYBOARD,
    STICK,
    Daemon,
    move,
    plugged,
    press,
    release,
    until,
)
from tests.support.game_view import GameView

Start = Callable[..., Daemon]
Plug = Callable[..., UInput]

BOAT = """
remapd: 1
title: A boat
devices:
  knees:
    find: {name: "Knee box"}
    controls:
      left-knee: {button: BTN_0}
      right-knee: {button: BTN_1}
      chin: {button: BTN_2}
  foot:
    find: {name: "Foot stick"}
    controls:
      tiller: {stick: [ABS_X, ABS_Y]}
layers:
  sail:
    left-knee: south
    right-knee: {turbo: east, rate: 8/s}
    chin: {say: "That did nothing"}
    tiller: left-stick
"""


@pytest.fixture
def boat(start: Start, plug: Plug) -> tuple[Daemon, UInput, UInput]:
    knees, foot = plug(BOX, "Knee box"), plug(STICK, "Foot stick")
    daemon = start(BOAT)
    daemon.until_taken("knees", "foot")
    return daemon, knees, foot


def play(daemon: Daemon, knees: UInput, foot: UInput) -> None:
    """Some of everything, ending with the pad at rest."""
    for value in range(0, 100, 5):
        move(foot, ecodes.ABS_X, value)
    press(knees, ecodes.BTN_0)
    press(knees, ecodes.BTN_1)
    daemon.game.until(lambda view: len(view.of("east")) >= 5)
    release(knees, ecodes.BTN_1)
    release(knees, ecodes.BTN_0)
    move(foot, ecodes.ABS_X, 0)
    daemon.game.until_neutral()
    daemon.game.quiet_for(0.3)


def replayed(path: Path) -> list[tuple[str, int]]:
    """What the engine alone makes of a recording: every change of the pad, in its order."""

    def own_layout(name: str, text: str) -> Layout:
        loaded = load_text(text, name)
        assert loaded.layout is not None
        return loaded.layout

    view = GameView()
    with path.open("rb") as stream:
        view.read_all(Player(RecordingReader(stream, path.name), load_layout=own_layout))
    return [(seen.name, seen.value) for seen in view.changes]


def test_what_was_just_played_can_be_saved_and_replays_as_it_was(
    boat: tuple[Daemon, UInput, UInput], tmp_path: Path
) -> None:
    daemon, knees, foot = boat
    play(daemon, knees, foot)
    assert daemon.command("mark", "look here").returncode == 0
    press(knees, ecodes.BTN_2)
    release(knees, ecodes.BTN_2)
    until(lambda: "That did nothing" in daemon.journal())
    file = tmp_path / "last.jsonl"

    done = daemon.command("record", "--last", "2m", "-o", str(file))

    assert done.returncode == 0, done.stderr
    assert file.stat().st_mode & 0o777 == 0o600
    lines = [json.loads(line) for line in file.read_text().splitlines()]
    marks = [line["mark"] for line in lines if "mark" in line]
    assert marks[-2:] == ["look here", "That did nothing"]
    assert lines[-1]["end"] is True
    # earlier tests are in it too: what this one did is at the end
    played = [(seen.name, seen.value) for seen in daemon.game.view.changes]
    assert replayed(file)[-len(played) :] == played


def start_recording(daemon: Daemon, file: Path) -> subprocess.Popen[str]:
    process = subprocess.Popen(
        [sys.executable, "-m", "remapd", "record", "-o", str(file)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    daemon.until_status(lambda status: status["recordings"] == 1)
    return process


def test_a_recording_of_what_comes_replays_as_it_was(
    boat: tuple[Daemon, UInput, UInput], tmp_path: Path
) -> None:
    daemon, knees, foot = boat
    file = tmp_path / "play.jsonl"
    process = start_recording(daemon, file)
    play(daemon, knees, foot)
    process.send_signal(signal.SIGINT)
    said, complaints = process.communicate(timeout=30)
    assert (process.returncode, complaints) == (0, "")
    assert "frames of input" in said
    played = [(seen.name, seen.value) for seen in daemon.game.view.changes]
    assert replayed(file) == played
    assert daemon.status()["recordings"] == 0


def test_plugs_pauses_and_layouts_stand_in_it(
    boat: tuple[Daemon, UInput, UInput], tmp_path: Path
) -> None:
    daemon, _, _ = boat
    file = tmp_path / "events.jsonl"
    process = start_recording(daemon, file)
    daemon.save(BOAT.replace("A boat", "Another boat"))
    daemon.until_status(lambda status: status["layout"]["title"] == "Another boat")
    daemon.ask("pause")
    daemon.ask("resume")
    daemon.until_taken("knees", "foot")
    with plugged(BOX, "Knee box"):
        until(lambda: len(daemon.status()["devices"]) == 2)
    daemon.ask("mark", text="so far")
    process.send_signal(signal.SIGINT)
    process.communicate(timeout=30)
    with file.open("rb") as stream:
        reader = RecordingReader(stream, file.name)
        lines = list(reader)
        assert reader.warnings == []
    kinds: list[Any] = [type(line) for line in lines]
    assert [line.text for line in lines if isinstance(line, MarkLine)] == ["so far"]
    assert "Another boat" in [line.text for line in lines if isinstance(line, LayoutLine)][-1]
    pauses = [line.paused for line in lines if isinstance(line, PausedLine)]
    assert pauses == [True, False]
    after = kinds[kinds.index(PausedLine) + 1 :]
    assert after.count(PluggedLine) >= 2
    assert kinds[-1] is EndLine


def test_a_file_that_is_there_is_left_alone(
    boat: tuple[Daemon, UInput, UInput], tmp_path: Path
) -> None:
    daemon, _, _ = boat
    file = tmp_path / "there.jsonl"
    file.write_text("precious")
    done = daemon.command("record", "--last", "30s", "-o", str(file))
    assert done.returncode == 1
    assert "exists already" in done.stderr
    assert file.read_text() == "precious"
    done = daemon.command("record", "--last", "soon", "-o", str(tmp_path / "new"))
    assert done.returncode == 2
    assert "write it as 30s or 2m" in done.stderr


def test_what_is_typed_stays_private_unless_asked_for(
    start: Start, plug: Plug, tmp_path: Path
) -> None:
    keys = plug(KEYBOARD, "Test keys")
    daemon = start("""
remapd: 1
title: Keys
devices:
  keys:
    find: {name: "Test keys"}
    controls:
      hoist: {button: KEY_SPACE}
layers:
  sail: {hoist: south}
""")
    daemon.until_taken("keys")
    for code in (ecodes.KEY_S, ecodes.KEY_E, ecodes.KEY_A, ecodes.KEY_SPACE):
        press(keys, code)
        release(keys, code)
    daemon.game.until(lambda view: len(view.of("south")) == 2)
    masked, plain = tmp_path / "masked.jsonl", tmp_path / "plain.jsonl"
    assert daemon.command("record", "--last", "30s", "-o", str(masked)).returncode == 0
    assert daemon.command("record", "--last", "30s", "--keys", "-o", str(plain)).returncode == 0

    def typed(file: Path) -> list[str]:
        lines = [json.loads(line) for line in file.read_text().splitlines()]
        frames = [line for line in lines if "events" in line]
        return [name for line in frames[-8:] for _, name, value in line["events"] if value]

    assert typed(masked) == ["KEY_UNKNOWN"] * 3 + ["KEY_SPACE"]
    assert typed(plain) == ["KEY_S", "KEY_E", "KEY_A", "KEY_SPACE"]


def test_recorded_devices_are_whole(boat: tuple[Daemon, UInput, UInput], tmp_path: Path) -> None:
    daemon, _, _ = boat
    file = tmp_path / "devices.jsonl"
    done = daemon.command("record", "--for", "1s", "-o", str(file))
    assert (done.returncode, done.stderr) == (0, "")
    with file.open("rb") as stream:
        devices: tuple[RecordedDevice, ...] = RecordingReader(stream, file.name).devices
    by_name = {device.source.name: device for device in devices}
    assert by_name["Foot stick"].source.axes[ecodes.ABS_X].maximum == 100
    assert by_name["Foot stick"].axes[ecodes.ABS_X] == 0
    assert ecodes.BTN_7 in by_name["Knee box"].source.keys


# ---------------------------------------------------------------- without a daemon
def record_for(seconds: str, file: Path, *words: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "remapd", "record", "-o", str(file), "--for", seconds, *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def test_devices_are_recorded_with_no_daemon(plug: Plug, tmp_path: Path) -> None:
    knees, keys = plug(BOX, "Lone box"), plug(KEYBOARD, "Lone keys")
    file = tmp_path / "box.jsonl"
    process = record_for("6s", file, "--devices", "Lone*")
    until(lambda: file.exists() and file.stat().st_size > 0)
    press(keys, ecodes.KEY_A)
    press(knees, ecodes.BTN_0)
    with plugged(BOX, "Lone second box") as second:
        until(lambda: '"Lone second box"' in file.read_text())
        press(second, ecodes.BTN_1)
        release(second, ecodes.BTN_1)
        until(lambda: '"BTN_1", 0]' in file.read_text())
    said, complaints = process.communicate(timeout=60)
    assert (process.returncode, complaints) == (0, "")
    assert "3 frames of input" in said, "a typing keyboard is recorded only by its whole name"
    assert file.stat().st_mode & 0o777 == 0o600
    with file.open("rb") as stream:
        reader = RecordingReader(stream, file.name)
        kinds = [type(line).__name__ for line in reader]
    assert [device.source.name for device in reader.devices] == ["Lone box"]
    assert kinds == [
        "FrameLine",
        "PluggedLine",
        "FrameLine",
        "FrameLine",
        "UnpluggedLine",
        "EndLine",
    ]


def test_the_devices_of_a_layout_are_recorded_with_its_text(plug: Plug, tmp_path: Path) -> None:
    plug(KEYBOARD, "Lone keys")
    layout = tmp_path / "boat.yaml"
    layout.write_text(BOAT.replace("Knee box", "Lone box").replace("Foot stick", "Lone stick"))
    file = tmp_path / "boat.jsonl"
    process = record_for("1s", file, "--layout", str(layout))
    _, complaints = process.communicate(timeout=60)
    assert process.returncode == 1
    assert "no such device is plugged in; there is" in complaints
    assert "“Lone keys”" in complaints
    assert not file.exists()
    plug(BOX, "Lone box")
    process = record_for("1s", file, "--layout", str(layout))
    _, complaints = process.communicate(timeout=60)
    assert (process.returncode, complaints) == (0, "")
    lines = [json.loads(line) for line in file.read_text().splitlines()]
    assert [device["name"] for device in lines[0]["devices"]] == ["Lone box"]
    assert lines[1]["text"] == layout.read_text()


def test_a_device_that_is_taken_is_told(
    boat: tuple[Daemon, UInput, UInput], tmp_path: Path
) -> None:
    del boat
    process = record_for("1s", tmp_path / "x.jsonl", "--devices", "Knee box")
    _, complaints = process.communicate(timeout=60)
    assert process.returncode == 1
    assert "another program has taken" in complaints
    assert not (tmp_path / "x.jsonl").exists()
