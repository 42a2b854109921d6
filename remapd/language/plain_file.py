"""The bytes of a layout file, whatever bears its name: nothing here waits, or goes on for ever."""

from __future__ import annotations

import os
import stat
from pathlib import Path
from typing import Final

#: Far above any real layout; a file that is larger is refused, and never read whole.
LARGEST_KIB: Final = 256


class NotPlainError(OSError):
    """A folder, a pipe or a device, which may have no end."""


def bytes_of(path: Path, largest: int = LARGEST_KIB * 1024) -> bytes:
    """What the file holds, but no more than one byte beyond `largest`.

    Raises OSError, NotPlainError among them, and ValueError where it cannot be a path.
    """
    # Non-blocking, so that a pipe of that name cannot hold up the daemon.
    descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)
    try:
        if not stat.S_ISREG(os.fstat(descriptor).st_mode):
            raise NotPlainError(f"{path} is not a plain file")
        with os.fdopen(descriptor, "rb", closefd=False) as file:
            return file.read(largest + 1)
    finally:
        os.close(descriptor)
