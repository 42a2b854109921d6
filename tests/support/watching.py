"""`remapd watch` as a process of its own, in a pipe or in a terminal."""

from __future__ import annotations

import codecs
import fcntl
import os
import pty
import select
import signal
import struct
import subprocess
import sys
import termios
import time

from tests.support.stand_in_daemon import WAIT_S, StandInDaemon


class Watching:
    """`remapd watch` in a pipe, or in a terminal of so many columns and rows."""

    def __init__(
        self,
        daemon: StandInDaemon,
        *words: str,
        size: tuple[int, int] | None = None,
        **changes: str,
    ) -> None:
        kept = {k: v for k, v in daemon.environment.items() if k not in {"NO_COLOR", "TERM"}}
        environment = {**kept, "TERM": "xterm-256color", "LC_ALL": "C.UTF-8", **changes}
        if size is None:
            self._ours, its = os.pipe()
        else:
            self._ours, its = pty.openpty()
            self._terminal = its
            self.resize(*size)
        self.process = subprocess.Popen(
            [sys.executable, "-m", "remapd", "watch", *words],
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=its,
            stderr=its,
        )
        if size is None:
            os.close(its)
        self._decode = codecs.getincrementaldecoder("utf-8")().decode
        self.text = ""

    def resize(self, columns: int, rows: int) -> None:
        fcntl.ioctl(self._terminal, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def read_until(self, wanted: str) -> str:
        deadline = time.monotonic() + WAIT_S
        while wanted not in self.text:
            assert time.monotonic() < deadline, self.text
            if select.select([self._ours], [], [], 0.2)[0]:
                try:
                    data = os.read(self._ours, 1 << 16)
                except OSError:
                    break
                self.text += self._decode(data)
                if not data:
                    break
        assert wanted in self.text, self.text
        return self.text

    def take_in(self) -> None:
        """Reads what is there, so that it need not wait to be read."""
        while select.select([self._ours], [], [], 0)[0]:
            self.text += self._decode(os.read(self._ours, 1 << 16))

    def interrupt(self) -> int:
        self.process.send_signal(signal.SIGINT)
        return self.process.wait(WAIT_S)

    def close(self) -> None:
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        os.close(self._ours)
