"""What can be said of the pad without a kernel that makes one: names, refusals, packing."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from remapd.kernel.errors import PadLost, PadRefused, PadUnavailable, UinputDenied, UinputMissing
from remapd.kernel.pad import Pad, diagnose_uinput, write_patiently


@pytest.mark.parametrize("name", ["", "a" * 80, "é" * 40, "two\nlines", "bell\a"])
def test_a_name_that_cannot_be_is_refused(name: str) -> None:
    with pytest.raises(ValueError, match="1 to 79 bytes"):
        Pad(name)


def test_a_missing_node_says_how_to_load_the_module(tmp_path: Path) -> None:
    path = str(tmp_path / "uinput")
    problem = diagnose_uinput(path)
    assert isinstance(problem, UinputMissing)
    assert "sudo modprobe uinput" in problem.remedy
    with pytest.raises(UinputMissing, match="sudo modprobe uinput"):
        Pad(uinput_path=path)


@pytest.mark.parametrize(
    ("number", "kind"),
    [
        (errno.ENODEV, UinputMissing),
        (errno.EACCES, UinputDenied),
        (errno.EPERM, UinputDenied),
        (errno.EMFILE, PadRefused),
    ],
)
def test_each_refusal_to_open_has_its_remedy(
    monkeypatch: pytest.MonkeyPatch, number: int, kind: type[PadUnavailable]
) -> None:
    def refuse(*_: object) -> int:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "open", refuse)
    problem = diagnose_uinput()
    assert type(problem) is kind
    assert problem.remedy
    assert str(problem) == f"{problem.message}: {problem.remedy}"


def test_what_is_no_uinput_is_refused_and_leaves_no_descriptor_open(tmp_path: Path) -> None:
    node = tmp_path / "uinput"
    node.touch()
    before = len(list(Path("/proc/self/fd").iterdir()))
    with pytest.raises(PadRefused, match="Inappropriate ioctl"):
        Pad(uinput_path=str(node))
    assert len(list(Path("/proc/self/fd").iterdir())) == before


def test_a_descriptor_that_says_later_is_asked_again() -> None:
    """A pipe stands in here: no kernel in use says so on /dev/uinput."""
    reading, writing = os.pipe2(os.O_NONBLOCK)
    filled = 0
    try:
        while True:
            filled += os.write(writing, bytes(4096))
    except BlockingIOError:
        pass
    with pytest.raises(PadLost, match="takes no events"):
        write_patiently(writing, b"frame")
    while filled:
        filled -= len(os.read(reading, 65536))
    write_patiently(writing, b"frame")
    assert os.read(reading, 100) == b"frame"
    os.close(reading)
    os.close(writing)
