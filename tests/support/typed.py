"""A command in a terminal of its own, typed at by a script that waits for what it says."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
import warnings
from collections.abc import Mapping, Sequence
from pathlib import Path

from remapd.cli.main import main
from tests.support.source_devices import WAIT_S


class Typed:
    """`remapd` with these words in a terminal of 80 columns; `text` is all that it has said.

    `forked`: in a fork of this process, which has imported everything: a start takes some ten
    seconds on a kernel in software.
    """

    def __init__(self, *words: str, folder: Path, forked: bool = False, **environment: str) -> None:
        self._own, theirs = pty.openpty()
        fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        added = {
            "XDG_STATE_HOME": str(folder / "state"),
            "RUNTIME_DIRECTORY": str(folder),
            "PYTHONPATH": str(Path(__file__).parents[2]),
        } | environment
        self.process: subprocess.Popen[bytes] | Forked
        if forked:
            self.process = Forked(words, theirs, folder, added)
        else:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "remapd", *words],
                stdin=theirs,
                stdout=theirs,
                stderr=theirs,
                cwd=folder,
                env=os.environ | added,
                preexec_fn=lambda: _own_terminal(theirs),  # noqa: PLW1509 - one thread, no locks
            )
        os.close(theirs)
        self.text = ""
        self._seen = 0

    def until(self, words: str, wait_s: float = 6 * WAIT_S) -> str:
        """Waits until it says these words, wherever lines are cut; what it said up to them."""
        pattern = re.compile(r"\s+".join(map(re.escape, words.split())))
        deadline = time.monotonic() + wait_s
        while True:
            found = pattern.search(self.text, self._seen)
            if found is not None:
                said = self.text[self._seen : found.end()]
                self._seen = found.end()
                return said
            left = deadline - time.monotonic()
            assert left > 0, f"not within {wait_s} s: {words!r}; it said\n{self.text}"
            assert self._read(min(left, 0.2)), f"it ended before {words!r}; it said\n{self.text}"

    def type(self, line: str = "") -> None:
        """Types a line and Enter."""
        os.write(self._own, line.encode() + b"\r")

    def press(self, letter: str) -> None:
        """Presses one key."""
        os.write(self._own, letter.encode())

    def answer(self, words: str, line: str = "") -> None:
        """Waits for a question and types the answer, at the prompt if there is one."""
        self.until(words)
        self.until("> ")
        self.type(line)

    def answer_unprompted(self, words: str, line: str = "") -> None:
        """Waits for a question that is rather answered by a press, and types the answer."""
        self.until(words)
        self.type(line)

    def interrupt(self) -> None:
        """Ctrl-C."""
        os.write(self._own, b"\x03")

    def ends(self, wait_s: float = 6 * WAIT_S) -> int:
        """Reads to its end; the exit code."""
        deadline = time.monotonic() + wait_s
        while self._read(0.2):
            assert time.monotonic() < deadline, f"it did not end; it said\n{self.text}"
        return self.process.wait(wait_s)

    def close(self) -> None:
        """Ends it."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
            try:
                self.process.wait(WAIT_S)
            except subprocess.TimeoutExpired:
                self.process.kill()
                self.process.wait()
        os.close(self._own)

    def _read(self, wait_s: float) -> bool:
        """Takes what has come; False: there is no more."""
        if not select.select([self._own], [], [], wait_s)[0]:
            return True
        try:
            data = os.read(self._own, 65536)
        except OSError:  # the other end is closed
            return False
        self.text += data.decode(errors="replace").replace("\r\n", "\n")
        return bool(data)


class Forked:
    """A fork of this process that runs `remapd`, with what is used of a `Popen`."""

    def __init__(
        self, words: Sequence[str], terminal: int, folder: Path, environment: Mapping[str, str]
    ) -> None:
        self._code: int | None = None
        with warnings.catch_warnings():
            # from Python 3.12 on: the one other thread is pytest's watchdog, and holds no lock
            warnings.simplefilter("ignore", DeprecationWarning)
            self.pid = os.fork()
        if self.pid:
            return
        code = 1
        try:
            _own_terminal(terminal)
            for descriptor in (0, 1, 2):
                os.dup2(terminal, descriptor)
            sys.stdin, sys.stdout, sys.stderr = open(0), open(1, "w"), open(2, "w")  # noqa: SIM115
            signal.signal(signal.SIGINT, signal.default_int_handler)
            os.chdir(folder)
            os.environ.update(environment)
            code = main(words)
            sys.stdout.flush()
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
        finally:
            os._exit(code)

    def poll(self) -> int | None:
        """Its exit code, None while it runs."""
        if self._code is None:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                self._code = os.waitstatus_to_exitcode(status)
        return self._code

    def wait(self, timeout: float | None = None) -> int:
        """Waits for its end; the exit code."""
        deadline = time.monotonic() + (WAIT_S if timeout is None else timeout)
        while (code := self.poll()) is None:
            if time.monotonic() > deadline:
                raise subprocess.TimeoutExpired("remapd", WAIT_S)
            time.sleep(0.02)
        return code

    def send_signal(self, number: int) -> None:
        """As a `Popen` does."""
        os.kill(self.pid, number)

    def kill(self) -> None:
        """Ends it at once."""
        self.send_signal(signal.SIGKILL)


def _own_terminal(descriptor: int) -> None:
    # whoever started the tests in the background of a script has Ctrl-C ignored (sh: `&`), which
    # no terminal does
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    os.setsid()
    fcntl.ioctl(descriptor, termios.TIOCSCTTY, 0)
