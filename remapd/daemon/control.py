"""The control socket: requests and answers as JSON lines, for programs of the same user or of root.

What can be asked is described in docs/control-socket.md. No client can hold up play: nothing here
waits, and one that does not read what it asked for is dropped.
"""

from __future__ import annotations

import json
import os
import select
import socket
import struct
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any, Final, Protocol

#: A request that is longer than this is none.
_REQUEST_BYTES_MAX: Final = 1 << 16
#: What may wait for a client to read it, beyond what the kernel holds, before it is dropped.
WAITING_BYTES_MAX: Final = 1 << 18
_CLIENTS_MAX: Final = 32
_BACKLOG: Final = 8
_PEER: Final = struct.Struct("iII")  # struct ucred: pid, uid, gid
_SO_PEERGROUPS: Final = 59  # asm-generic/socket.h: the peer's supplementary groups, as gid_t's
_GROUPS_BYTES_MAX: Final = 1024  # the most that Python asks for: 256 groups

Message = dict[str, Any]


class Poll(Protocol):
    """The part of the loop that this needs: `handler` is called with the poll's mask."""

    def add(self, fd: int, handler: Callable[[int], None], mask: int = select.EPOLLIN) -> None: ...  # noqa: D102
    def change(self, fd: int, mask: int) -> None: ...  # noqa: D102
    def remove(self, fd: int) -> None: ...  # noqa: D102


class Client:
    """One connection. `topics` are the events that it has asked for."""

    def __init__(self, server: ControlServer, link: socket.socket) -> None:
        self._server = server
        self._link = link
        self._received = b""
        self._waiting = bytearray()
        self.topics: frozenset[str] = frozenset()
        self.waiting_bytes_max = WAITING_BYTES_MAX
        #: Called when the connection has ended, whoever ended it.
        self.at_close: list[Callable[[], None]] = []
        #: Long answers, made piece by piece as the client reads.
        self._pieces: deque[Iterator[Message]] = deque()

    @property
    def waiting_bytes(self) -> int:
        """How much waits for it to read."""
        return len(self._waiting)

    def send(self, message: Message) -> None:
        """Sends one message, or keeps it until the client reads; too much of that ends it."""
        self.send_line(json.dumps(message, separators=(",", ":")).encode() + b"\n")

    def send_line(self, line: bytes) -> None:
        """The same for a message that is a line already, which several clients may get."""
        if self._link.fileno() < 0:
            return
        if not self._waiting:
            try:
                sent = self._link.send(line)
            except BlockingIOError:
                sent = 0
            except OSError:
                self.close()
                return
            if sent == len(line):
                return
            line = line[sent:]
            self._server.poll.change(self._link.fileno(), select.EPOLLIN | select.EPOLLOUT)
        self._waiting += line
        if len(self._waiting) > self.waiting_bytes_max:
            self.close()

    def send_pieces(self, messages: Iterable[Message]) -> None:
        """Sends as many messages as it may take, one each time that there is room for it."""
        self._pieces.append(iter(messages))
        self._server.poll.change(self._link.fileno(), select.EPOLLIN | select.EPOLLOUT)

    def serve(self, mask: int) -> None:
        """The poll has found something to do for this connection."""
        if mask & (select.EPOLLIN | select.EPOLLHUP | select.EPOLLERR):
            self._receive()
        if mask & select.EPOLLOUT and self._link.fileno() >= 0:
            self._send_waiting()

    def close(self) -> None:
        """Ends the connection; a second call does nothing."""
        if self._link.fileno() < 0:
            return
        self._server.forget(self, self._link.fileno())
        self._link.close()
        for call in self.at_close:
            call()

    def _receive(self) -> None:
        try:
            data = self._link.recv(_REQUEST_BYTES_MAX)
        except BlockingIOError:
            return
        except OSError:
            data = b""
        if not data:
            self.close()
            return
        *lines, self._received = (self._received + data).split(b"\n")
        for line in lines:
            self._answer(line)
        if len(self._received) > _REQUEST_BYTES_MAX:
            self.send({"ok": False, "error": "the request is too long"})
            self.close()

    def _answer(self, line: bytes) -> None:
        try:
            request = json.loads(line)
        except (ValueError, RecursionError):
            request = None
        if not isinstance(request, dict) or not isinstance(request.get("do"), str):
            self.send({"ok": False, "error": 'a request is one line: {"do": "status"}'})
            return
        self._server.answer(self, request)

    def _send_waiting(self) -> None:
        if self._waiting:
            try:
                sent = self._link.send(self._waiting)
            except BlockingIOError:
                return
            except OSError:
                self.close()
                return
            del self._waiting[:sent]
        if not self._waiting and self._pieces:
            piece = next(self._pieces[0], None)
            if piece is None:
                self._pieces.popleft()
            else:
                self.send(piece)
                return
        if not self._waiting and not self._pieces:
            self._server.poll.change(self._link.fileno(), select.EPOLLIN)


class ControlServer:
    """Listens at a path. `answer` is called with each request, and answers with `client.send`."""

    def __init__(self, path: Path, poll: Poll, answer: Callable[[Client, Message], None]) -> None:
        """The path must be free. Raises OSError."""
        self.poll = poll
        self.answer = answer
        self.clients: set[Client] = set()
        self._socket = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
        self._socket.setblocking(False)
        before = os.umask(0o177)  # nobody may connect between bind and chmod
        try:
            self._socket.bind(str(path))
        finally:
            os.umask(before)
        self._path = path
        #: Members of this group may ask as well; see `open_to`.
        self._group: int | None = None
        self._socket.listen(_BACKLOG)
        poll.add(self._socket.fileno(), self._accept)

    def open_to(self, group: int) -> None:
        """From now on members of this group (a gid) may ask as well. Raises OSError."""
        if group != os.getegid():
            os.chown(self._path, -1, group)
        self._path.chmod(0o660)
        self._group = group

    def subscribers(self, topic: str) -> list[Client]:
        """The clients that have asked for this topic."""
        return [client for client in self.clients if topic in client.topics]

    def forget(self, client: Client, fd: int) -> None:
        """A client's connection ends."""
        self.clients.discard(client)
        self.poll.remove(fd)

    def close(self) -> None:
        """Ends all connections and stops listening."""
        for client in list(self.clients):
            client.close()
        self.poll.remove(self._socket.fileno())
        self._socket.close()

    def _accept(self, mask: int) -> None:
        del mask
        try:
            link, _ = self._socket.accept()
        except OSError:
            return
        link.setblocking(False)
        _, user, _ = _PEER.unpack(
            link.getsockopt(socket.SOL_SOCKET, socket.SO_PEERCRED, _PEER.size)
        )
        client = Client(self, link)
        self.poll.add(link.fileno(), client.serve)
        self.clients.add(client)
        if user not in {0, os.geteuid()} and not self._is_member(link):
            client.send({"ok": False, "error": "only the daemon's own user and root may ask"})
            client.close()
        elif len(self.clients) > _CLIENTS_MAX:
            client.send({"ok": False, "error": "too many programs are connected"})
            client.close()

    def _is_member(self, link: socket.socket) -> bool:
        """Whether whoever connects is in the group that may ask."""
        if self._group is None:
            return False
        _, _, group = _PEER.unpack(
            link.getsockopt(socket.SOL_SOCKET, socket.SO_PEERCRED, _PEER.size)
        )
        if group == self._group:
            return True
        try:
            answer = link.getsockopt(socket.SOL_SOCKET, _SO_PEERGROUPS, _GROUPS_BYTES_MAX)
        except OSError:  # more groups than anybody has
            return False
        groups = struct.unpack(f"{len(answer) // 4}I", answer)
        return self._group in groups
