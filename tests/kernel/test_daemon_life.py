"""How the daemon starts, ends, and is ended: nothing stays grabbed, and every failure is told."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from evdev import UInput, ecodes, list_devices

from tests.support.daemon import BOX, STICK, Daemon, grabbed_by_someone, press, release, until
from tests.support.source_devices import WAIT_S

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


def run_remapd(folder: Path, *words: str, before: tuple[str, ...] = ()) -> tuple[int, str]:
    """A `remapd run` that should not come to play: exit code and what it said."""
    done = subprocess.run(
        [*before, sys.executable, "-m", "remapd", *words],
        check=False,
        capture_output=True,
        text=True,
        timeout=6 * WAIT_S,
        env=os.environ | {"RUNTIME_DIRECTORY": str(folder)},
    )
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    return done.returncode, done.stderr


# ---------------------------------------------------------------- the end
def test_a_killed_daemon_leaves_nothing_behind(start_own: Start, plug: Plug) -> None:
    knees = plug(BOX, "Knee box")
    daemon = start_own(KNEES)
    daemon.until_taken("knees")
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")
    node = daemon.status()["pad"]["node"]
    children = Path(f"/proc/{daemon.process.pid}/task/{daemon.process.pid}/children")
    (reader,) = children.read_text().split()

    daemon.end(signal.SIGKILL)

    until(lambda: node not in list_devices())
    daemon.game.read()
    release(knees, ecodes.BTN_0)
    until(lambda: not grabbed_by_someone(knees))
    until(lambda: _has_ended(int(reader)))
    # and the name is free, though its socket still lies there
    again = start_own(KNEES)
    again.until_taken("knees")


def _has_ended(process: int) -> bool:
    """Whether it is gone, or only waits for its parent to look."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except FileNotFoundError:
        return True


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_daemon_that_is_told_to_end_leaves_a_neutral_pad(
    start_own: Start, plug: Plug, number: signal.Signals
) -> None:
    knees = plug(BOX, "Knee box")
    daemon = start_own(KNEES)
    daemon.until_taken("knees")
    press(knees, ecodes.BTN_0)
    daemon.game.until_pressed("south")
    node = daemon.status()["pad"]["node"]

    daemon.process.send_signal(number)
    daemon.game.until_neutral()
    assert daemon.process.wait(WAIT_S) == 0

    assert daemon.wait_notified("STOPPING=1")
    until(lambda: node not in list_devices())
    assert not grabbed_by_someone(knees)
    assert list(daemon.folder.glob("*.sock")) == []


# ---------------------------------------------------------------- the start
def test_a_second_daemon_of_the_same_name_is_refused(start_own: Start) -> None:
    first = start_own(KNEES)
    pads = len(list_devices())
    code, said = run_remapd(first.folder, "run", str(first.layout_path))
    assert code == 1
    assert f"process {first.process.pid}" in said
    assert "--name" in said
    assert len(list_devices()) == pads


def test_a_layout_that_is_missing_or_broken_starts_nothing(tmp_path: Path) -> None:
    pads = len(list_devices())
    code, said = run_remapd(tmp_path, "run", str(tmp_path / "none.yaml"))
    assert code == 1
    assert "none.yaml" in said
    broken = tmp_path / "broken.yaml"
    broken.write_text(KNEES.replace("south", "soth"))
    code, said = run_remapd(tmp_path, "run", str(broken))
    assert code == 1
    assert "left-knee: soth" in said
    assert "did you mean" in said
    assert len(list_devices()) == pads


def test_uinput_that_is_not_allowed_is_told_with_what_to_do(tmp_path: Path) -> None:
    layout = tmp_path / "knees.yaml"
    layout.write_text(KNEES)
    node = Path("/dev/uinput")
    status = node.stat()
    os.chown(node, 65534, 65534)
    node.chmod(0o600)
    try:
        before = ("setpriv", "--bounding-set=-dac_override,-dac_read_search")
        code, said = run_remapd(tmp_path, "run", str(layout), before=before)
    finally:
        os.chown(node, status.st_uid, status.st_gid)
        node.chmod(status.st_mode & 0o7777)
    assert code == 1
    assert "no permission to open /dev/uinput" in said
    assert "udev rule" in said


def test_a_name_that_is_none_is_refused(tmp_path: Path) -> None:
    code, said = run_remapd(tmp_path, "run", "--name", "../up")
    assert code == 2
    assert "`../up` is no name" in said


# ---------------------------------------------------------------- at rest
def test_the_service_managers_watchdog_is_fed_from_the_loop(start_own: Start) -> None:
    daemon = start_own(KNEES, WATCHDOG_USEC="1000000")
    daemon.wait_notified("WATCHDOG=1")
    os.kill(daemon.process.pid, signal.SIGSTOP)
    with contextlib.suppress(TimeoutError):
        for _ in range(10):  # what was sent before the stop, and then nothing
            daemon.wait_notified("WATCHDOG=1", wait_s=2)
        pytest.fail("it was fed though the loop stood still")
    os.kill(daemon.process.pid, signal.SIGCONT)
    daemon.wait_notified("WATCHDOG=1")


def test_at_rest_it_hardly_wakes_and_is_small(
    start_own: Start, plug: Plug, capsys: pytest.CaptureFixture[str]
) -> None:
    plug(BOX, "Knee box")
    plug(STICK, "Foot stick")
    daemon = start_own(KNEES)
    daemon.until_taken("knees")
    time.sleep(4)  # what follows the start is over: the thing measured is rest itself

    def wakes() -> int:
        switches = 0
        for task in Path(f"/proc/{daemon.process.pid}/task").iterdir():
            fields = (task / "status").read_text().split()
            switches += int(fields[fields.index("voluntary_ctxt_switches:") + 1])
        return switches

    before, began = wakes(), time.monotonic()
    time.sleep(6)
    per_second = (wakes() - before) / (time.monotonic() - began)
    fields = Path(f"/proc/{daemon.process.pid}/status").read_text().split()
    resident_mb = int(fields[fields.index("VmRSS:") + 1]) / 1024
    with capsys.disabled():
        print(f"\nat rest: {per_second:.2f} wake-ups/s, {resident_mb:.0f} MB resident")
    assert per_second <= 1
    assert resident_mb <= 30
