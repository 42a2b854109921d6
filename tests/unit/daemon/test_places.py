"""The name of a daemon and the lock that holds it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from remapd.daemon.places import AlreadyRunning, Place, is_valid_name, known_sockets


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(tmp_path))
    return tmp_path


@pytest.mark.parametrize("name", ["main", "player-2", "a" * 32])
def test_names(name: str) -> None:
    assert is_valid_name(name)


@pytest.mark.parametrize("name", ["", "Main", "2nd", "a/b", "..", "a" * 33, "a\n", "é"])
def test_what_is_no_name(name: str) -> None:
    assert not is_valid_name(name)


def test_a_second_one_is_told_who_the_first_is(folder: Path) -> None:
    place = Place("main")
    with pytest.raises(AlreadyRunning) as caught:
        Place("main")
    assert caught.value.pid == os.getpid()
    other = Place("other")
    other.release()
    place.release()
    Place("main").release()
    assert known_sockets("main")[0] == folder / "main.sock"


def test_a_killed_one_leaves_the_name_free(folder: Path) -> None:
    code = (
        "import os, sys\n"
        "from remapd.daemon.places import Place\n"
        "place = Place('main')\n"
        "place.socket_path.touch()\n"
        "os.kill(os.getpid(), 9)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], check=False)
    assert done.returncode == -9
    assert (folder / "main.sock").exists()
    place = Place("main")
    assert not (folder / "main.sock").exists()
    place.release()


def test_a_folder_that_cannot_be_used_is_an_error(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (folder / "file").touch()
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(folder / "file" / "sub"))
    with pytest.raises(OSError, match="Not a directory"):
        Place("main")
