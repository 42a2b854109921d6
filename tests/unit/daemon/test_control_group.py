"""Who may ask a daemon that serves a group: its members, and nobody else."""

from __future__ import annotations

import os
import select
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from remapd.daemon.control import Client, ControlServer, Message

pytestmark = pytest.mark.skipif(os.geteuid() != 0, reason="only root can become other users")

#: Any numbers serve: the kernel asks for no names.
MEMBERS, OTHERS, STRANGER = 4711, 4712, 65534
ASK = """
import socket, sys
link = socket.socket(socket.AF_UNIX)
link.settimeout(20)
try:
    link.connect(sys.argv[1])
    try:
        link.sendall(b'{"do": "hello"}\\n')
    except BrokenPipeError:
        pass  # refused already: the reason waits to be read
    print(link.recv(1000).decode(), end="")
except OSError as error:
    print(type(error).__name__)
"""


class Turns:
    """The smallest poll that a server can stand in."""

    def __init__(self) -> None:
        self._poll = select.epoll()
        self._handlers: dict[int, Callable[[int], None]] = {}

    def add(self, fd: int, handler: Callable[[int], None], mask: int = select.EPOLLIN) -> None:
        self._handlers[fd] = handler
        self._poll.register(fd, mask)

    def change(self, fd: int, mask: int) -> None:
        self._poll.modify(fd, mask)

    def remove(self, fd: int) -> None:
        del self._handlers[fd]
        self._poll.unregister(fd)

    def turn(self) -> None:
        for fd, mask in self._poll.poll(0.02):
            handler = self._handlers.get(fd)
            if handler is not None:
                handler(mask)


@pytest.fixture
def place() -> Iterator[Path]:
    """A folder that everybody may enter."""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        yield Path(folder) / "x.sock"


def answer_to(server: ControlServer, turns: Turns, path: Path, *credentials: str) -> str:
    """What a process with these credentials gets to hear."""
    del server
    # no site packages and no folder of the caller's: that user may read neither
    words = ["setpriv", *credentials, sys.executable, "-I", "-S", "-c", ASK, str(path)]
    with subprocess.Popen(
        words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd="/"
    ) as process:
        while process.poll() is None:
            turns.turn()
        said, complained = process.communicate()
    if "Permission denied" in complained:
        pytest.skip(f"another user may not run {sys.executable}")
    assert complained == ""
    return said


@pytest.mark.parametrize(
    ("credentials", "heard"),
    [
        ([f"--regid={OTHERS}", f"--groups={OTHERS},{MEMBERS}"], '"ok":true'),
        ([f"--regid={MEMBERS}", "--clear-groups"], '"ok":true'),
        ([f"--regid={OTHERS}", "--clear-groups"], "PermissionError"),
    ],
    ids=["member", "own group", "stranger"],
)
def test_members_are_answered_and_others_cannot_even_connect(
    place: Path, credentials: list[str], heard: str
) -> None:
    turns = Turns()

    def answer(client: Client, request: Message) -> None:
        client.send({"ok": True, "said": request["do"]})

    server = ControlServer(place, turns, answer)
    server.open_to(MEMBERS)
    try:
        said = answer_to(server, turns, place, f"--reuid={STRANGER}", *credentials)
    finally:
        server.close()

    assert heard in said


def test_a_member_is_refused_where_the_daemon_serves_no_group(place: Path) -> None:
    turns = Turns()
    server = ControlServer(place, turns, lambda client, _request: client.send({"ok": True}))
    place.chmod(0o666)  # as if somebody had opened it by hand
    try:
        words = [f"--reuid={STRANGER}", f"--regid={MEMBERS}", "--clear-groups"]
        said = answer_to(server, turns, place, *words)
    finally:
        server.close()

    assert "only the daemon's own user and root may ask" in said


def test_a_stranger_is_refused_even_where_the_socket_lets_everybody_in(place: Path) -> None:
    turns = Turns()
    server = ControlServer(place, turns, lambda client, _request: client.send({"ok": True}))
    server.open_to(MEMBERS)
    place.chmod(0o666)
    try:
        words = [f"--reuid={STRANGER}", f"--regid={OTHERS}", f"--groups={OTHERS}"]
        said = answer_to(server, turns, place, *words)
    finally:
        server.close()

    assert "only the daemon's own user and root may ask" in said


def test_the_socket_belongs_to_the_group(place: Path) -> None:
    turns = Turns()
    server = ControlServer(place, turns, lambda _client, _request: None)
    server.open_to(MEMBERS)
    try:
        assert place.stat().st_gid == MEMBERS
        assert place.stat().st_mode & 0o777 == 0o660
    finally:
        server.close()
