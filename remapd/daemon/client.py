"""The other end of the control socket: for the commands, the live screens, and other programs."""

from __future__ import annotations

import json
import socket
from collections.abc import Iterator
from typing import Any, Final

from remapd.daemon.places import known_sockets

Message = dict[str, Any]

#: The daemon answers within a loop turn; a layout on a slow folder takes longer.
ANSWER_LIMIT_S: Final = 10.0


class NotRunning(Exception):
    """No daemon of this name answers."""


class Refused(Exception):
    """The daemon says why it does not do what was asked."""


class Denied(Exception):
    """A daemon of another user may be running; this user may not see whether it is."""


class DaemonClient:
    """A connection to the running daemon called `name`; use it in a `with`."""

    def __init__(self, name: str) -> None:
        """Raises NotRunning or Denied."""
        self._link = _connect(name)
        self._link.settimeout(ANSWER_LIMIT_S)
        self._received = b""

    def __enter__(self) -> DaemonClient:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def fileno(self) -> int:
        """To poll for reading; messages that have come already may wait in here beside it."""
        return self._link.fileno()

    def ask(self, request: str, **details: Any) -> Message:
        """Sends a request and waits for its answer.

        Raises Refused with the daemon's words, and NotRunning when it ends before it has answered.
        """
        self.send(request, **details)
        answer = self.receive()
        if not answer.get("ok"):
            raise Refused(str(answer.get("error", "no reason given")))
        return answer

    def send(self, request: str, **details: Any) -> None:
        """Sends a request; its answer comes among the messages."""
        try:
            self._link.sendall(json.dumps({"do": request, **details}).encode() + b"\n")
        except OSError as error:
            raise NotRunning("the daemon ended") from error

    def receive(self) -> Message:
        """Waits for the next message. Raises NotRunning when there is none any more."""
        while b"\n" not in self._received:
            try:
                data = self._link.recv(1 << 16)
            except TimeoutError as error:
                raise NotRunning("the daemon does not answer") from error
            except OSError as error:
                raise NotRunning("the daemon ended") from error
            if not data:
                raise NotRunning("the daemon ended")
            self._received += data
        line, _, self._received = self._received.partition(b"\n")
        message: Message = json.loads(line)
        return message

    def messages(self) -> Iterator[Message]:
        """The messages as they come, until the daemon ends; never gives up waiting."""
        self._link.settimeout(None)
        while True:
            try:
                yield self.receive()
            except NotRunning:
                return

    def waiting(self) -> bool:
        """Whether a whole message has come and was not given out."""
        return b"\n" in self._received

    def close(self) -> None:
        """Ends the connection."""
        self._link.close()


def _connect(name: str) -> socket.socket:
    closed = None
    for path in known_sockets(name):
        link = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
        try:
            link.connect(str(path))
        except PermissionError:
            closed = path
        except OSError:
            pass
        else:
            return link
        link.close()
    if closed is not None:
        # a folder that stays when its daemon has ended looks the same as one with a daemon in it
        raise Denied(
            f"no daemon `{name}` of yours is running, and whether another user's is you may not "
            f"see ({closed})"
        )
    raise NotRunning(f"no daemon `{name}` is running")
