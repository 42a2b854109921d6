"""What the daemon says to people: one plain sentence a line on standard error.

Each line begins with the side that it is about (`kernel:`, `layout:`, `remapd:`, `device:`). The
code of a pressed key is never among the words. Under systemd a priority stands before it, as
sd-daemon(3) says. A line that comes again and again is held back, and counted.
"""

from __future__ import annotations

import os
import select
import sys
from typing import Final, TextIO

ERROR: Final = 3
WARNING: Final = 4
NOTICE: Final = 5
INFORMATION: Final = 6

#: A pipe that says it is writable takes this much without waiting (POSIX's PIPE_BUF on Linux).
_LINE_BYTES_MAX: Final = 4096
_BURST: Final = 5
_BURST_TIME_US: Final = 10_000_000


class Journal:
    """Writes the lines. `quiet` leaves out those that are only for information."""

    def __init__(self, stream: TextIO | None = None) -> None:
        self._stream = stream if stream is not None else sys.stderr
        self._fd = self._stream.fileno()
        self._priorities = _is_journal(self._fd)
        self._writable = select.poll()
        self._writable.register(self._fd, select.POLLOUT)
        #: By topic: when its burst began, how many lines it had since, how many were held back.
        self._bursts: dict[str, list[int]] = {}
        #: Lines that could not be written, because nobody reads what we write.
        self.lost = 0

    def say(self, priority: int, side: str, text: str, *, now_us: int = 0, topic: str = "") -> None:
        """Writes `text`, which may have several lines.

        With a `topic`, at most 5 texts of it in 10 s are written; the first one after that says how
        many were held back.
        """
        if topic:
            held_back = self._held_back(topic, now_us)
            if held_back is None:
                return
            if held_back:
                text += f" (and {held_back} more like it)"
        prefix = f"<{priority}>{side}: " if self._priorities else f"{side}: "
        waiting = b""
        for line in text.splitlines():
            data = _line(f"{prefix}{line}\n")
            if len(waiting) + len(data) > _LINE_BYTES_MAX:
                self._write(waiting)
                waiting = b""
            waiting += data
        self._write(waiting)

    def _held_back(self, topic: str, now_us: int) -> int | None:
        burst = self._bursts.setdefault(topic, [now_us, 0, 0])
        if now_us - burst[0] >= _BURST_TIME_US:
            held_back = burst[2]
            burst[:] = [now_us, 1, 0]
            return held_back
        if burst[1] >= _BURST:
            burst[2] += 1
            return None
        burst[1] += 1
        return 0

    def _write(self, data: bytes) -> None:
        # a terminal that is stopped, or a pipe that nobody empties, must not stop play
        if not self._writable.poll(0):
            self.lost += 1
            return
        try:
            os.write(self._fd, data)
        except OSError:
            self.lost += 1


def _line(line: str) -> bytes:
    """As bytes, cut where it is too long to be written at once."""
    data = line.encode("utf-8", "replace")
    return data if len(data) <= _LINE_BYTES_MAX else data[: _LINE_BYTES_MAX - 1] + b"\n"


def _is_journal(fd: int) -> bool:
    """Whether the descriptor is the journal's: systemd names its device and inode."""
    named = os.environ.get("JOURNAL_STREAM", "")
    try:
        status = os.fstat(fd)
    except OSError:
        return False
    return named == f"{status.st_dev}:{status.st_ino}"
