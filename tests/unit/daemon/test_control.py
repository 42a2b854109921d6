"""The control socket on a real loop of epoll and a real socket, with no daemon behind it."""

from __future__ import annotations

import contextlib
import json
import select
import socket
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from remapd.daemon.control import WAITING_BYTES_MAX, Client, ControlServer, Message


class Turns:
    """A loop that does nothing but poll."""

    def __init__(self) -> None:
        self._poll = select.epoll()
        self._handlers: dict[int, Callable[[int], None]] = {}

    def add(self, fd: int, handler: Callable[[int], None], mask: int = select.EPOLLIN) -> None:
        self._handlers[fd] = handler
        self._poll.register(fd, mask)

    def change(self, fd: int, mask: int) -> None:
        self._poll.modify(fd, mask)

    def remove(self, fd: int) -> None:
        self._handlers.pop(fd)
        self._poll.unregister(fd)

    def turn(self, most: int = 100) -> None:
        """Serves until nothing is left to do."""
        for _ in range(most):
            ready = self._poll.poll(0.02)
            if not ready:
                return
            for fd, mask in ready:
                if fd in self._handlers:
                    self._handlers[fd](mask)

    def close(self) -> None:
        self._poll.close()


@pytest.fixture
def turns() -> Iterator[Turns]:
    made = Turns()
    yield made
    made.close()


@pytest.fixture
def server(turns: Turns, tmp_path: Path) -> Iterator[ControlServer]:
    def answer(client: Client, request: Message) -> None:
        match request["do"]:
            case "echo":
                client.send({"ok": True, "said": request.get("say")})
            case "pieces":
                client.send_pieces({"n": n, "x": "x" * 5000} for n in range(200))
            case "flood":
                for _ in range(100):
                    client.send({"x": "x" * 10_000})

    made = ControlServer(tmp_path / "x.sock", turns, answer)
    yield made
    made.close()


@pytest.fixture
def link(server: ControlServer, tmp_path: Path) -> Iterator[socket.socket]:
    del server
    with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as made:
        made.connect(str(tmp_path / "x.sock"))
        made.settimeout(5)
        yield made


def test_the_socket_is_for_its_owner_alone(server: ControlServer, tmp_path: Path) -> None:
    del server
    assert (tmp_path / "x.sock").stat().st_mode & 0o777 == 0o600


def test_requests_are_answered_in_order_however_they_are_cut(
    link: socket.socket, turns: Turns
) -> None:
    data = b'{"do": "echo", "say": 1}\n{"do": "echo", "say": "\xc3\xa9"}\n'
    for byte in data:
        link.send(bytes([byte]))
        turns.turn()
    lines = link.makefile()
    assert json.loads(lines.readline()) == {"ok": True, "said": 1}
    assert json.loads(lines.readline()) == {"ok": True, "said": "é"}


@pytest.mark.parametrize(
    "line", [b"\n", b"nonsense\n", b"[]\n", b"{}\n", b'{"do": 1}\n', b"\xff\xfe\n", b"null\n"]
)
def test_what_is_no_request_is_told_so_and_the_next_one_served(
    link: socket.socket, turns: Turns, line: bytes
) -> None:
    link.send(line + b'{"do": "echo"}\n')
    turns.turn()
    lines = link.makefile()
    assert "a request is one line" in json.loads(lines.readline())["error"]
    assert json.loads(lines.readline())["ok"] is True


def test_a_line_without_end_ends_the_connection(
    link: socket.socket, turns: Turns, server: ControlServer
) -> None:
    sender = threading.Thread(target=_send_all, args=(link, b"x" * 200_000))
    sender.start()
    for _ in range(20):
        turns.turn()
    sender.join()
    assert server.clients == set()


def _send_all(link: socket.socket, data: bytes) -> None:
    with contextlib.suppress(OSError):
        link.sendall(data)


def test_a_long_answer_comes_piece_by_piece(
    link: socket.socket, turns: Turns, server: ControlServer
) -> None:
    link.send(b'{"do": "pieces"}\n')
    turns.turn(most=20)
    (client,) = server.clients
    assert client.waiting_bytes < 10_000, "no more is made than the client reads"
    lines = link.makefile()
    numbers = []
    for _ in range(200):
        turns.turn()
        numbers.append(json.loads(lines.readline())["n"])
    assert numbers == list(range(200))


def test_a_client_that_does_not_read_is_dropped(
    link: socket.socket, turns: Turns, server: ControlServer
) -> None:
    ended: list[bool] = []
    turns.turn()
    (client,) = server.clients
    client.at_close.append(lambda: ended.append(True))
    link.send(b'{"do": "flood"}\n')
    turns.turn()
    assert server.clients == set()
    assert ended == [True]
    assert WAITING_BYTES_MAX < 100 * 10_000


def test_a_client_that_goes_away_is_forgotten(
    link: socket.socket, turns: Turns, server: ControlServer
) -> None:
    turns.turn()
    assert len(server.clients) == 1
    link.close()
    turns.turn()
    assert server.clients == set()


def test_too_many_clients_are_sent_away(
    server: ControlServer, turns: Turns, tmp_path: Path
) -> None:
    links = []
    for _ in range(40):
        link = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
        link.connect(str(tmp_path / "x.sock"))
        links.append(link)
        turns.turn()
    assert len(server.clients) == 32
    links[-1].settimeout(5)
    assert b"too many" in links[-1].recv(999)
    for link in links:
        link.close()
