"""`remapd health` on a real kernel: what stops play is found, with the line that mends it."""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from evdev import UInput, ecodes

from tests.support.daemon import BOX, GAMEPAD, Daemon, Game, until
from tests.support.source_devices import WAIT_S, path_of
from tests.support.uhid_pad import UhidJoystick

Start = Callable[..., Daemon]
Plug = Callable[..., UInput]

KNEES = """
remapd: 1
title: Two knees
devices:
  knees:
    find: {name: "Knee box"}
    controls:
      left-knee: {button: BTN_0}
layers:
  sail:
    left-knee: south
"""
STICK = """
remapd: 1
title: One stick
devices:
  chin:
    find: {name: "Chin stick"}
    controls:
      lean: {stick: [ABS_X, ABS_Y]}
layers:
  sail:
    lean: left-stick
"""


@pytest.fixture
def at_end(start: Start) -> Iterator[contextlib.ExitStack]:
    """What is to be put back after a test, also after one that fails; the daemon is still there."""
    del start
    with contextlib.ExitStack() as stack:
        yield stack


def findings(daemon: Daemon, *words: str) -> dict[str, list[dict[str, str]]]:
    """What health says beside a running daemon, by subject; its exit code agrees with it."""
    done = daemon.command("health", "--json", "--name", daemon.name, *words)
    assert done.stderr == ""
    told = json.loads(done.stdout)
    assert done.returncode == (0 if told["well"] else 1)
    by_subject: dict[str, list[dict[str, str]]] = {}
    for each in told["findings"]:
        if "input was lost" in each["sentence"]:
            continue  # by a test before: the daemon is every test's
        by_subject.setdefault(each["subject"], []).append(each)
    print(done.stdout)
    return by_subject


@contextlib.contextmanager
def no_game(daemon: Daemon) -> Iterator[None]:
    """Meanwhile this process, which makes devices, does not read the pad as a game."""
    daemon.game.close()
    try:
        yield
    finally:
        daemon.game = Game(daemon.status()["pad"]["node"])


@contextlib.contextmanager
def another_program(code: str, *words: str) -> Iterator[subprocess.Popen[bytes]]:
    """A Python program that prints a line when it is ready, and then runs until this is over."""
    text = f"import sys, os, evdev\n{code}\nprint('ready', flush=True)\nsys.stdin.read()"
    with subprocess.Popen(
        [sys.executable, "-c", text, *words], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"ready\n"
        yield process
        process.kill()


def test_with_everything_in_its_place_nothing_is_to_be_mended(start: Start, plug: Plug) -> None:
    plug(BOX, "Knee box")
    daemon = start(KNEES)
    daemon.until_taken("knees")
    with no_game(daemon):
        found = findings(daemon)

    assert [each["verdict"] for each in found["play"]] == ["well"]
    assert "Two knees" in found["play"][0]["sentence"]
    assert [each["verdict"] for each in found["layout"]] == ["well"]
    assert [each["verdict"] for each in found["device `knees`"]] == ["well"]
    assert found["virtual devices"][0]["verdict"] == "well"
    assert not [each for group in found.values() for each in group if each["verdict"] == "mend"]


def test_a_pause_a_missing_device_and_a_refused_save_are_each_to_be_mended(
    start: Start, plug: Plug
) -> None:
    daemon = start(KNEES)
    (missing,) = findings(daemon)["device `knees`"]
    assert missing["verdict"] == "mend"
    assert "name “Knee box”" in missing["sentence"]
    assert "plug it in" in missing["remedy"]

    plug(BOX, "Knee box")
    daemon.until_taken("knees")
    daemon.save(KNEES.replace("south", "sooth"))
    daemon.until_said("is refused")
    (layout,) = findings(daemon)["layout"]
    assert layout["verdict"] == "mend"
    assert "sooth" in layout["sentence"]
    assert layout["remedy"].endswith(f"remapd check {daemon.layout_path}")

    daemon.save(KNEES)
    daemon.until_status(lambda status: status["refused"] is None)
    daemon.ask("pause")
    (play,) = findings(daemon)["play"]
    daemon.ask("resume")
    assert play["verdict"] == "mend"
    assert play["remedy"].endswith("remapd resume")


def test_a_device_that_another_program_has_taken_is_told_with_the_program(
    start: Start, plug: Plug
) -> None:
    box = plug(BOX, "Ferry box")
    take = "d = evdev.InputDevice(sys.argv[1]); d.grab()"
    with another_program(take, path_of(box)) as other:
        daemon = start(KNEES.replace("Knee box", "Ferry box"))
        until(lambda: daemon.device("knees")["state"] == "busy")
        (busy,) = findings(daemon)["device `knees`"]

    assert busy["verdict"] == "mend"
    assert f"({other.pid})" in busy["sentence"]


def test_another_program_that_takes_the_pad_or_makes_one_of_it_is_found(
    start: Start, plug: Plug, at_end: contextlib.ExitStack
) -> None:
    plug(BOX, "Knee box")
    daemon = start(KNEES)
    daemon.until_taken("knees")
    node = daemon.status()["pad"]["node"]
    subject = "the pad's way to the game"
    at_end.enter_context(no_game(daemon))

    with another_program("d = evdev.InputDevice(sys.argv[1]); d.grab()", node) as other:
        (found,) = findings(daemon)[subject]
        assert found["verdict"] == "mend"
        assert "taken" in found["sentence"]
        assert f"({other.pid})" in found["sentence"]

    again = "d = evdev.InputDevice(sys.argv[1]); u = os.open('/dev/uinput', os.O_RDWR)"
    with another_program(again, node) as other:
        (found,) = findings(daemon)[subject]
        assert found["verdict"] == "note"
        assert "change it once more" in found["sentence"]
        assert f"({other.pid})" in found["sentence"]

    with another_program("d = evdev.InputDevice(sys.argv[1])", node) as game:
        (found,) = findings(daemon)[subject]
        assert found["verdict"] == "well"
        assert f"({game.pid})" in found["sentence"]


def test_a_game_in_a_sandbox_without_controllers_is_found(
    start: Start, plug: Plug, tmp_path: Path, at_end: contextlib.ExitStack
) -> None:
    plug(BOX, "Knee box")
    daemon = start(KNEES)
    daemon.until_taken("knees")
    at_end.enter_context(no_game(daemon))
    sandbox = tmp_path / "sandbox"
    sandbox.mkdir()
    described = "[Application]\nname=org.example.Harbour\n\n[Context]\nshared=ipc;\ndevices={}\n"
    enter = "os.chroot(sys.argv[1])"

    (sandbox / ".flatpak-info").write_text(described.format("dri;"))
    with another_program(enter, str(sandbox)):
        (found,) = findings(daemon)["sandbox"]
    assert found["verdict"] == "mend"
    assert "org.example.Harbour" in found["sentence"]
    assert "flatpak override --user --device=input org.example.Harbour" in found["remedy"]

    (sandbox / ".flatpak-info").write_text(described.format("dri;input;"))
    with another_program(enter, str(sandbox)):
        assert "sandbox" not in findings(daemon)


def test_a_real_pad_that_games_list_first_is_found(start_own: Start, plug: Plug) -> None:
    real = plug(GAMEPAD, "Dockside pad")
    until(lambda: any(Path("/dev/input").glob("js*")))
    daemon = start_own(KNEES.replace("knees:", "knees:\n    optional: true"))
    assert int(path_of(real)[16:]) < int(daemon.status()["pad"]["node"][16:])
    until(lambda: os.stat(first_joystick(real)).st_mode & 0o004)  # noqa: PTH116 - a node

    (found,) = findings(daemon)["real pads"]

    assert found["verdict"] == "mend"
    assert "“Dockside pad”" in found["sentence"]
    assert "before the pad" in found["sentence"]


def first_joystick(device: UInput) -> str:
    folder = Path("/sys/class/input", path_of(device).rpartition("/")[2], "device")
    return f"/dev/input/{next(iter(folder.glob('js*'))).name}"


def test_two_daemons_are_a_note_and_two_of_the_same_name_are_to_be_mended(
    start_own: Start,
) -> None:
    one = start_own(KNEES.replace("knees:", "knees:\n    optional: true"), name="one")
    start_own(KNEES.replace("knees:", "knees:\n    optional: true"), name="two")
    (found,) = findings(one)["a second remapd"]
    assert found["verdict"] == "note"

    system = Path("/run/remapd")
    system.mkdir(exist_ok=True)
    layout = one.folder / "third.yaml"
    layout.write_text(KNEES)
    third = Daemon(system, layout, name="one")
    try:
        (found,) = findings(one)["a second remapd"]
    finally:
        third.close()
    assert found["verdict"] == "mend"
    assert str(system / "one.sock") in found["sentence"]


def test_an_empty_battery_is_told_before_it_fails(start_own: Start) -> None:
    with UhidJoystick("Chin stick", "C1", 6):
        daemon = start_own(STICK)
        daemon.until_taken("chin")
        found = findings(daemon)["device `chin`"]

    assert [each["verdict"] for each in found] == ["well", "mend"]
    assert "at 6 %" in found[1]["sentence"]


def test_somebody_who_may_do_nothing_is_told_the_one_line_that_allows_it() -> None:
    words = ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups", sys.executable]
    environment = {key: value for key, value in os.environ.items() if key != "XDG_RUNTIME_DIR"}
    environment.pop("RUNTIME_DIRECTORY", None)
    done = subprocess.run(
        [*words, "-m", "remapd", "health", "--json"],
        check=False,
        capture_output=True,
        text=True,
        timeout=6 * WAIT_S,
        env=environment | {"PYTHONDONTWRITEBYTECODE": "1"},
    )
    told: dict[str, Any] = json.loads(done.stdout)
    found = {each["subject"]: each for each in told["findings"]}

    assert done.returncode == 1
    assert found["virtual devices"]["remedy"].endswith("remapd service install")
    assert found["play"]["remedy"].endswith("remapd run LAYOUT")
    assert found["this check"]["verdict"] == "note"


def test_looking_leaves_the_pad_as_it_is(start: Start, plug: Plug) -> None:
    box = plug(BOX, "Knee box")
    daemon = start(KNEES)
    daemon.until_taken("knees")
    box.write(ecodes.EV_KEY, ecodes.BTN_0, 1)
    box.syn()
    daemon.game.until_pressed("south")

    findings(daemon)

    assert daemon.game.device.active_keys() == [ecodes.BTN_SOUTH]
    box.write(ecodes.EV_KEY, ecodes.BTN_0, 0)
    box.syn()
    daemon.game.until_neutral()
