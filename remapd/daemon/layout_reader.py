"""The daemon's end of the process that reads layouts: start it, order, collect."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import remapd

if TYPE_CHECKING:
    from remapd.daemon.reading import Reading, Unpacker

_ROOT: Final = str(Path(remapd.__file__).resolve().parent.parent)


class ReaderLost(Exception):
    """The process that reads layouts has ended."""


def _environment() -> dict[str, str]:
    """Ours, without what the service manager has given to us alone."""
    ours = {"NOTIFY_SOCKET", "WATCHDOG_PID", "WATCHDOG_USEC"}
    return {name: value for name, value in os.environ.items() if name not in ours}


class LayoutReader:
    """The process, started at construction; give its `fileno` to a poll and call `collect` then."""

    def __init__(self) -> None:
        # -P: the folder that the daemon was started in is no place for modules of ours
        path = os.pathsep.join(filter(None, (_ROOT, os.environ.get("PYTHONPATH"))))
        orders, self._orders = os.pipe()
        self._readings, readings = os.pipe()
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-m", "remapd.daemon.layout_process"],
            stdin=orders,
            stdout=readings,
            env=_environment() | {"PYTHONPATH": path},
            process_group=0,  # a Ctrl-C is the daemon's alone, also while this one is being loaded
        )
        os.close(orders)
        os.close(readings)
        self._unpacker: Unpacker | None = None
        self._ticket = 0

    def fileno(self) -> int:
        """Readable when a reading, or a part of one, has come."""
        return self._readings

    def use(self, path: str) -> int:
        """Orders a layout to be read and followed; the ticket that its reading will bear."""
        return self._order({"use": str(Path(path).absolute())})

    def choose(self, path: str, remember: tuple[str, str] | None, beside: str | None) -> int:
        """The same for one that a person has chosen; the ticket.

        `remember` are the daemon's name and what it was started with: where given, a layout that
        is valid is remembered. `beside` is the layout that an action of it has named `path` in:
        beside that file, or by a name of its folder.
        """
        return self._order({"use": path, "remember": remember, "beside": beside})

    def remember_plugs(self, daemon: str, plugs: dict[str, tuple[str, str]]) -> None:
        """Orders that ports are remembered: by device what the layout says, and what it is."""
        self._write({"plugs": plugs, "daemon": daemon})

    def text(self, text: str, name: str) -> int:
        """Orders a layout that is in no file to be read; the ticket."""
        return self._order({"text": text, "name": name})

    def again(self) -> int:
        """Orders the followed layout to be read once more, changed or not; the ticket."""
        self._ticket += 1
        self._write({"again": self._ticket})
        return self._ticket

    def collect(self) -> Reading | None:
        """Takes what has come, a piece of a layout at the most; the reading that it completes.

        Never waits when the poll has said that there is something. Raises ReaderLost when there
        will be nothing any more.
        """
        unpacker = self._unpacker
        if unpacker is None:
            # not before the process is at work: what this imports takes as long as its own start
            from remapd.daemon.reading import Unpacker  # noqa: PLC0415

            unpacker = self._unpacker = Unpacker()
        data = os.read(self._readings, unpacker.wanted)
        if not data:
            raise ReaderLost
        return unpacker.take(data)

    def wait(self, ticket: int) -> Reading:
        """Waits for the reading of this ticket: for the start, before there is a loop."""
        while True:
            reading = self.collect()
            if reading is not None and reading.ticket == ticket:
                return reading

    def close(self) -> None:
        """Ends the process, which needs nothing but that its orders end."""
        os.close(self._orders)
        try:
            self._process.wait(timeout=1)
        except subprocess.TimeoutExpired:  # it is in the middle of a slow folder
            self._process.kill()
            self._process.wait()
        os.close(self._readings)

    def _order(self, order: dict[str, Any]) -> int:
        self._ticket += 1
        self._write({**order, "ticket": self._ticket})
        return self._ticket

    def _write(self, order: dict[str, Any]) -> None:
        try:
            os.write(self._orders, json.dumps(order).encode() + b"\n")
        except OSError as error:
            raise ReaderLost from error
