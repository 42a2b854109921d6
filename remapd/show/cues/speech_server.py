"""The session's speech server over its socket, as screen readers use it.

Speech Synthesis Interface Protocol, http://ssip.info: lines end with CR LF, a text ends with a line
that is a single full stop, each command is answered with lines of which the last has a space after
its three digits; 2xx is success.
"""

from __future__ import annotations

import os
import socket
from pathlib import Path
from typing import Final

from remapd.show.cues.cue import Weight

#: It answers within a millisecond; one that does not within this is taken for dead.
ANSWER_LIMIT_S: Final = 0.25


class SpeechServerLost(Exception):
    """It is not there, or does not answer as it should."""


def socket_path() -> Path | None:
    """Where it listens: SPEECHD_ADDRESS, else in the session's folder; None where that is a net."""
    address = os.environ.get("SPEECHD_ADDRESS", "")
    if address:
        method, _, path = address.partition(":")
        return Path(path) if method == "unix_socket" and path else None
    session = os.environ.get("XDG_RUNTIME_DIR") or f"/run/user/{os.getuid()}"
    return Path(session) / "speech-dispatcher" / "speechd.sock"


class SpeechServer:
    """A connection to it, made when it is first wanted and again after it was lost."""

    def __init__(self) -> None:
        self._link: socket.socket | None = None
        self._received = b""

    def say(self, text: str, weight: Weight) -> None:
        """Gives it a text to speak. Raises SpeechServerLost."""
        try:
            if self._link is None:
                self._connect()
            self._command(f"SET self PRIORITY {weight.value}")
            self._command("SPEAK")
            # A line that begins with a full stop gets a second one, as in SMTP.
            lines = [f".{line}" if line.startswith(".") else line for line in text.splitlines()]
            self._command("\r\n".join([*lines, "."]))
        except (OSError, ValueError) as error:
            self.close()
            raise SpeechServerLost(str(error)) from error

    def _connect(self) -> None:
        path = socket_path()
        if path is None:
            raise OSError("the speech server is not on this computer")
        self._link = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
        self._link.settimeout(ANSWER_LIMIT_S)
        self._received = b""
        self._link.connect(str(path))
        user = os.environ.get("USER", "") or str(os.getuid())
        self._command(f"SET self CLIENT_NAME {user}:remapd:cues")

    def _command(self, line: str) -> None:
        if self._link is None:
            raise OSError("not connected")
        self._link.sendall(line.encode() + b"\r\n")
        while True:
            answer = self._line()
            if answer[3:4] != b"-":
                break
        if not answer.startswith(b"2"):
            raise ValueError(answer.decode(errors="replace"))

    def _line(self) -> bytes:
        if self._link is None:
            raise OSError("not connected")
        while b"\n" not in self._received:
            data = self._link.recv(4096)
            if not data:
                raise OSError("it ended")
            self._received += data
        line, _, self._received = self._received.partition(b"\n")
        return line.rstrip(b"\r")

    def close(self) -> None:
        """Ends the connection."""
        if self._link is not None:
            self._link.close()
            self._link = None
