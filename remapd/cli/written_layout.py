"""A layout file written whole or not at all, in the place, mode and group that it had."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path

from remapd.cli.failure import CommandFailed


def write_layout(path: Path, content: bytes, before: bytes | None) -> None:
    """Put a new content in the place of `before`; None where there is no file yet.

    A symbolic link stays one: what it leads to is written.

    Raises:
        CommandFailed: it cannot be written, or holds something else than `before` by now.
    """
    target = Path(os.path.realpath(path))
    if before is not None and not os.access(target, os.W_OK):
        raise CommandFailed(
            f"{path} is read-only for you, nothing is changed; ask whoever it belongs to, "
            f"or allow it with: chmod u+w {target}"
        )
    try:
        descriptor, temporary = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}-")
    except OSError as error:
        raise CommandFailed(
            f"nothing is changed: the folder {target.parent} cannot be written ({error.strerror})"
        ) from error
    try:
        with os.fdopen(descriptor, "wb") as file:
            file.write(content)
            _as_it_was(file.fileno(), target)
            file.flush()
            os.fsync(file.fileno())
        if _content(target) != before:
            raise CommandFailed(
                f"{path} was changed by something else just now, nothing is changed; try once more"
            )
        Path(temporary).replace(target)
    except OSError as error:
        raise CommandFailed(f"{path} cannot be written: {error.strerror}") from error
    finally:
        Path(temporary).unlink(missing_ok=True)


def _as_it_was(descriptor: int, target: Path) -> None:
    """Owner, group and mode of the file that is replaced; of a new one what is usual."""
    try:
        found = target.stat()
    except FileNotFoundError:
        os.fchmod(descriptor, 0o644)
        return
    for owner, group in ((found.st_uid, -1), (-1, found.st_gid)):
        with contextlib.suppress(PermissionError):  # only root may give a file away
            os.fchown(descriptor, owner, group)
    os.fchmod(descriptor, found.st_mode & 0o7777)


def _content(path: Path) -> bytes | None:
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return None
