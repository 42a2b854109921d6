"""A node that takes its time to be opened holds nobody up, and the order of the plugs stays."""

from __future__ import annotations

import contextlib
import os
import threading
from collections.abc import Callable
from pathlib import Path
from typing import cast

import pytest

from remapd.daemon.loop import Loop
from remapd.daemon.opening import Opening
from tests.support.stand_in_daemon import until


class LoopStandIn:
    """Calls the handler when it is asked to look."""

    def __init__(self) -> None:
        self.handler: Callable[[int], None] = lambda _mask: None

    def add(self, fd: int, handler: Callable[[int], None]) -> None:
        del fd
        self.handler = handler

    def look(self) -> bool:
        """Always true, for use in a condition."""
        with contextlib.suppress(BlockingIOError):
            self.handler(1)
        return True


@pytest.fixture
def loop() -> LoopStandIn:
    return LoopStandIn()


def test_a_slow_one_is_waited_for_by_nobody_and_keeps_its_turn(
    loop: LoopStandIn, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    slow, quick = tmp_path / "slow", tmp_path / "quick"
    slow.touch()
    quick.touch()
    is_awake = threading.Event()
    open_at_once = os.open

    def open_slowly(path: str, flags: int) -> int:
        if path == str(slow):
            is_awake.wait()
        return open_at_once(path, flags)

    monkeypatch.setattr("remapd.daemon.opening.os.open", open_slowly)
    came: list[str] = []
    nodes = Opening(cast("Loop", loop), came.append)

    nodes.begin(str(slow))
    nodes.begin(str(quick))
    loop.look()
    assert came == []

    is_awake.set()
    until(lambda: loop.look() and len(came) == 2)
    assert came == [str(slow), str(quick)]


def test_it_is_kept_open_until_the_loop_has_opened_it_and_then_given_back(
    loop: LoopStandIn, tmp_path: Path
) -> None:
    node = tmp_path / "node"
    node.touch()
    open_meanwhile: list[bool] = []
    nodes = Opening(cast("Loop", loop), lambda path: open_meanwhile.append(is_open(path)))

    nodes.begin(str(node))
    until(lambda: loop.look() and open_meanwhile)

    assert open_meanwhile == [True]
    until(lambda: not is_open(str(node)))


def test_one_that_cannot_be_opened_is_told_of_all_the_same(
    loop: LoopStandIn, tmp_path: Path
) -> None:
    came: list[str] = []
    nodes = Opening(cast("Loop", loop), came.append)

    nodes.begin(str(tmp_path / "gone"))
    until(lambda: loop.look() and came)

    assert came == [str(tmp_path / "gone")]


def is_open(path: str) -> bool:
    """Whether this process has it open."""
    targets = []
    for entry in Path("/proc/self/fd").iterdir():
        try:
            targets.append(str(entry.readlink()))
        except OSError:
            continue
    return path in targets
