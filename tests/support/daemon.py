"""The real daemon as a process of its own, its sources and the pad that a game would open.

Whatever is waited for has a deadline and is asked for again and again; nothing is slept away.
"""

from __future__ import annotations

import contextlib
import itertools
import os
import select
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

from evdev import AbsInfo, InputDevice, UInput, ecodes

from remapd.daemon.client import DaemonClient
from remapd.engine.output import OutputFrame
from tests.support.game_view import GameView
from tests.support.source_devices import WAIT_S, make_device, path_of, send

T = TypeVar("T")
_numbers = itertools.count(1)

#: A box with eight switches, a stick, a trackball, a gamepad, a typing keyboard.
BOX: dict[int, Any] = {ecodes.EV_KEY: list(range(ecodes.BTN_0, ecodes.BTN_8))}
STICK: dict[int, Any] = {
    ecodes.EV_KEY: [ecodes.BTN_TRIGGER],
    ecodes.EV_ABS: [
        (ecodes.ABS_X, AbsInfo(0, -100, 100, 0, 0, 0)),
        (ecodes.ABS_Y, AbsInfo(0, -100, 100, 0, 0, 0)),
    ],
}
BALL: dict[int, Any] = {
    ecodes.EV_KEY: [ecodes.BTN_LEFT, ecodes.BTN_RIGHT],
    ecodes.EV_REL: [ecodes.REL_X, ecodes.REL_Y],
}
GAMEPAD: dict[int, Any] = {
    ecodes.EV_KEY: [
        *(ecodes.BTN_SOUTH, ecodes.BTN_EAST, ecodes.BTN_NORTH, ecodes.BTN_WEST),
        *(ecodes.BTN_TL, ecodes.BTN_TR, ecodes.BTN_SELECT, ecodes.BTN_START, ecodes.BTN_MODE),
        *(ecodes.BTN_THUMBL, ecodes.BTN_THUMBR),
    ],
    ecodes.EV_ABS: [
        *((axis, AbsInfo(0, -32768, 32767, 0, 0, 0)) for axis in (0, 1, 3, 4)),
        *((axis, AbsInfo(0, 0, 255, 0, 0, 0)) for axis in (2, 5)),
        *((axis, AbsInfo(0, -1, 1, 0, 0, 0)) for axis in (16, 17)),
    ],
}
KEYBOARD: dict[int, Any] = {ecodes.EV_KEY: list(range(ecodes.KEY_ESC, ecodes.KEY_MICMUTE))}


def until(ask: Callable[[], T], wait_s: float = 3 * WAIT_S, every_s: float = 0.02) -> T:
    """Asks until the answer is true, and gives it; fails when the time is up."""
    deadline = time.monotonic() + wait_s
    while True:
        answer = ask()
        if answer:
            return answer
        assert time.monotonic() < deadline, f"not within {wait_s} s; the last answer was {answer}"
        time.sleep(every_s)


class Game:
    """Reads the pad's node as a game does; `view` knows what is pressed and all that changed."""

    def __init__(self, node: str) -> None:
        self.device: InputDevice[str] = InputDevice(node)
        self.view = GameView()
        self.gone = False
        self._frame: list[int] = []

    def read(self) -> None:
        """Takes what has come."""
        while not self.gone and select.select([self.device.fd], [], [], 0)[0]:
            try:
                for event in self.device.read():
                    self._take(event.sec * 1_000_000 + event.usec, event)
            except OSError:
                self.gone = True

    def _take(self, us: int, event: Any) -> None:
        if event.type == ecodes.EV_FF:  # what a game asks of the pad is shown to all
            return
        self._frame += [event.type, event.code, event.value]
        if event.type == ecodes.EV_SYN:
            assert event.code == ecodes.SYN_REPORT, "the game's own queue ran over"
            self.view.read(OutputFrame(us, self._frame))
            self._frame = []

    def until(self, reached: Callable[[GameView], Any], wait_s: float = WAIT_S) -> None:
        """Reads until the view is as `reached` wants it."""
        deadline = time.monotonic() + wait_s
        while True:
            self.read()
            if reached(self.view):
                return
            left = deadline - time.monotonic()
            assert left > 0, (
                f"not within {wait_s} s: pressed {sorted(self.view.pressed)}, {self.view.axes}"
            )
            assert not self.gone, "the pad is gone"
            select.select([self.device.fd], [], [], min(left, 0.1))

    def until_pressed(self, *names: str) -> None:
        """Waits until exactly these are pressed."""
        self.until(lambda view: view.pressed == set(names))

    def until_neutral(self) -> None:
        """Waits until nothing is pressed or moved."""
        self.until(lambda view: not view.pressed and not any(view.axes.values()))

    def quiet_for(self, seconds: float) -> None:
        """Nothing changes in this time: for what must not happen."""
        self.read()
        before = len(self.view.changes)
        deadline = time.monotonic() + seconds
        while (left := deadline - time.monotonic()) > 0:
            select.select([self.device.fd], [], [], left)
            self.read()
        assert self.view.changes[before:] == []

    def close(self) -> None:
        """Closes the node."""
        self.device.close()


class Daemon:
    """`remapd run`; `folder` is for its socket and what it says, `layout_path` its layout."""

    def __init__(
        self,
        folder: Path,
        layout_path: Path | None,
        *,
        name: str = "main",
        before: Sequence[str] = (),
        **environment: str,
    ) -> None:
        """Starts it and waits until it says that it is ready.

        `before` are words of a program that starts it, such as one that takes rights away.
        """
        self.folder = folder
        self.name = name
        self.layout_path = layout_path if layout_path is not None else Path("/nonexistent")
        self._journal_from = 0
        self._notified = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
        notify_path = folder / f"notify-{next(_numbers)}"
        self._notified.bind(str(notify_path))
        self.journal_path = folder / f"journal-{name}"
        words = [*before, sys.executable, "-m", "remapd", "run", "--name", name]
        if layout_path is not None:
            words.append(str(layout_path))
        with self.journal_path.open("wb") as journal:
            self.process = subprocess.Popen(
                words,
                stderr=journal,
                stdin=subprocess.DEVNULL,
                env=os.environ
                | {"NOTIFY_SOCKET": str(notify_path), "RUNTIME_DIRECTORY": str(folder)}
                | environment,
            )
        try:
            self.wait_notified("READY=1")
            self.game = Game(self.status()["pad"]["node"])
        except BaseException:
            self.process.kill()
            self.process.wait()
            self._notified.close()
            print(self.journal())
            raise

    def wait_notified(self, word: str, wait_s: float = 3 * WAIT_S) -> str:
        """Waits for a message to the service manager that contains `word`, and gives it."""
        self._notified.settimeout(wait_s)
        while True:
            message = self._notified.recv(4096).decode()
            if word in message:
                return message

    def _forget_notified(self) -> None:
        """The kernel keeps some ten messages, and what comes then is lost (unix(7))."""
        self._notified.settimeout(0)
        with contextlib.suppress(BlockingIOError):
            while True:
                self._notified.recv(4096)

    def ask(self, request: str, **details: Any) -> dict[str, Any]:
        """One request at the control socket."""
        with self.client() as client:
            return client.ask(request, **details)

    def client(self) -> DaemonClient:
        """A connection to the control socket."""
        os.environ["RUNTIME_DIRECTORY"] = str(self.folder)
        return DaemonClient(self.name)

    def command(self, *words: str) -> subprocess.CompletedProcess[str]:
        """A `remapd` command beside it, run to its end."""
        return subprocess.run(
            [sys.executable, "-m", "remapd", *words],
            check=False,
            capture_output=True,
            text=True,
            timeout=6 * WAIT_S,
            env=os.environ | {"RUNTIME_DIRECTORY": str(self.folder)},
        )

    def use(self, layout_path: Path) -> None:
        """Another layout, as for a daemon that was just started with it."""
        self.layout_path = layout_path
        self._journal_from = len(self.journal_path.read_text())
        self._forget_notified()
        self.ask("resume")
        self.ask("release")  # toggled layers stay on where the next layout has them too
        self.ask("use", path=str(layout_path))
        self.game.close()
        self.game = Game(self.status()["pad"]["node"])

    def status(self) -> dict[str, Any]:
        """The status as data."""
        status: dict[str, Any] = self.ask("status")["status"]
        return status

    def device(self, name: str) -> dict[str, Any]:
        """What the status says of one device of the layout."""
        found: dict[str, Any] = next(d for d in self.status()["devices"] if d["device"] == name)
        return found

    def until_taken(self, *names: str) -> None:
        """Waits until these devices of the layout are taken, and grabbed where they should be."""
        until(
            lambda: all(
                d["state"] == "taken" and not d["waits_to_be_alone"]
                for d in map(self.device, names)
            )
        )

    def until_status(self, reached: Callable[[dict[str, Any]], Any]) -> dict[str, Any]:
        """Waits until the status is as `reached` wants it, and gives it."""
        return until(lambda: status if reached(status := self.status()) else None) or {}

    def journal(self) -> str:
        """What it has said so far, or since `use`."""
        return self.journal_path.read_text()[self._journal_from :]

    def until_said(self, words: str) -> str:
        """Waits until the journal contains these words, and gives the whole."""
        until(lambda: words in self.journal())
        return self.journal()

    def save(self, text: str) -> None:
        """Saves the layout in place."""
        self.layout_path.write_text(text)

    def end(self, number: int = signal.SIGTERM) -> int:
        """Ends it by a signal; the exit code."""
        self.process.send_signal(number)
        return self.process.wait(WAIT_S)

    def close(self) -> None:
        """Ends it if it still runs."""
        if self.process.poll() is None:
            self.process.terminate()
            try:
                self.process.wait(WAIT_S)
            except subprocess.TimeoutExpired:
                self.process.kill()
                self.process.wait()
        self.game.close()
        self._notified.close()


@contextmanager
def plugged(codes: dict[int, Any], name: str, **described: Any) -> Iterator[UInput]:
    """A source device for as long as this lasts."""
    with make_device(codes, name=name, **described) as device:
        yield device


def press(device: UInput, code: int) -> None:
    """One frame: a key goes down."""
    send(device, (ecodes.EV_KEY, code, 1))


def release(device: UInput, code: int) -> None:
    """One frame: a key goes up."""
    send(device, (ecodes.EV_KEY, code, 0))


def move(device: UInput, axis: int, value: int) -> None:
    """One frame: an axis has this value."""
    send(device, (ecodes.EV_ABS, axis, value))


def grabbed_by_someone(device: UInput) -> bool:
    """Whether some process has the device for itself."""
    reader: InputDevice[str] = InputDevice(path_of(device))
    try:
        reader.grab()
    except OSError:
        return True
    finally:
        reader.close()
    return False
