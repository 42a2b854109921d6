"""What changes when a file does, without reading it."""

from __future__ import annotations

from pathlib import Path

#: Device, inode, time of change in ns, size; None: the file is not there.
Signature = tuple[int, int, int, int] | None


def signature(file: Path) -> Signature:
    """Of the file as it is now."""
    try:
        status = file.stat()
    except OSError:
        return None
    return status.st_dev, status.st_ino, status.st_mtime_ns, status.st_size
