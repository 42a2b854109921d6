"""Messages to the service manager: sd_notify(3), by systemd's own description of the protocol."""

from __future__ import annotations

import os
import socket
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from remapd.daemon.notify import Notify


@pytest.fixture
def manager(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[socket.socket]:
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as server:
        server.bind(str(tmp_path / "notify"))
        server.settimeout(5)
        monkeypatch.setenv("NOTIFY_SOCKET", str(tmp_path / "notify"))
        yield server


def test_messages(manager: socket.socket) -> None:
    with closing(Notify()) as notify:
        notify.ready("playing")
        notify.reloading(42)
        notify.status("paused")
        notify.watchdog()
        notify.stopping()
    assert [manager.recv(999) for _ in range(5)] == [
        b"READY=1\nSTATUS=playing",
        b"RELOADING=1\nMONOTONIC_USEC=42",
        b"STATUS=paused",
        b"WATCHDOG=1",
        b"STOPPING=1",
    ]
    assert "NOTIFY_SOCKET" not in os.environ, "children must not inherit it"


def test_an_abstract_address(monkeypatch: pytest.MonkeyPatch) -> None:
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as server:
        server.bind(f"\0remapd-test-{os.getpid()}")
        server.settimeout(5)
        monkeypatch.setenv("NOTIFY_SOCKET", f"@remapd-test-{os.getpid()}")
        with closing(Notify()) as notify:
            notify.watchdog()
        assert server.recv(99) == b"WATCHDOG=1"


@pytest.mark.parametrize(
    ("pid", "period", "expected"),
    [
        ("", "5000000", 5_000_000),
        (str(os.getpid()), "3000000", 3_000_000),
        ("1", "3000000", None),
        ("", "", None),
        ("", "soon", None),
        ("", "0", None),
    ],
)
def test_how_often_the_watchdog_wants_to_be_fed(
    manager: socket.socket,
    monkeypatch: pytest.MonkeyPatch,
    pid: str,
    period: str,
    expected: int | None,
) -> None:
    del manager
    monkeypatch.setenv("WATCHDOG_PID", pid)
    monkeypatch.setenv("WATCHDOG_USEC", period)
    with closing(Notify()) as notify:
        assert notify.watchdog_us == expected


def test_outside_a_service_nothing_happens(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NOTIFY_SOCKET", raising=False)
    Notify().ready("playing")


def test_a_manager_that_does_not_read_stops_nobody(manager: socket.socket) -> None:
    with closing(Notify()) as notify:
        for _ in range(100_000):
            notify.watchdog()
    assert manager.recv(99) == b"WATCHDOG=1"
