"""What a client says where it cannot reach a daemon."""

from __future__ import annotations

import os
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from remapd.daemon import client
from remapd.daemon.client import DaemonClient, Denied, NotRunning

NOBODY = 65534


@contextmanager
def as_somebody_else() -> Iterator[None]:
    """Root may enter every folder, so that it becomes somebody else for a while."""
    was = os.geteuid()
    if was == 0:
        os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(was)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The one folder in which a daemon is looked for; it is closed in the tests."""
    made = tmp_path / "remapd"
    made.mkdir()
    monkeypatch.setattr(client, "known_sockets", lambda name: [made / f"{name}.sock"])
    yield made
    made.chmod(0o700)


@pytest.mark.parametrize("running", [True, False])
def test_behind_a_closed_folder_it_claims_neither_that_one_runs_nor_that_none_does(
    folder: Path, running: bool
) -> None:
    path = folder / "main.sock"
    with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as listening:
        if running:
            listening.bind(str(path))
            listening.listen()
        folder.chmod(0)
        with as_somebody_else(), pytest.raises(Denied) as caught:
            DaemonClient("main")
    assert str(caught.value) == (
        f"no daemon `main` of yours is running, and whether another user's is you may not see "
        f"({path})"
    )


def test_where_it_may_look_it_says_that_none_is_running(folder: Path) -> None:
    with pytest.raises(NotRunning, match="no daemon `main` is running"):
        DaemonClient("main")
    (folder / "main.sock").touch()
    with pytest.raises(NotRunning, match="no daemon `main` is running"):
        DaemonClient("main")
