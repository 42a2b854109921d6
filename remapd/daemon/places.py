"""Where a running daemon is found: its socket, and the lock that keeps away a second one."""

from __future__ import annotations

import fcntl
import os
import re
from pathlib import Path
from typing import Final

DEFAULT_NAME: Final = "main"

_NAME: Final = re.compile(r"[a-z][a-z0-9-]{0,31}")
_SYSTEM_FOLDER: Final = Path("/run/remapd")


class AlreadyRunning(Exception):
    """A daemon of this name runs; `pid` is its process, 0 where that is not known."""

    def __init__(self, name: str, pid: int) -> None:
        super().__init__(name, pid)
        self.name = name
        self.pid = pid


def is_valid_name(name: str) -> bool:
    """Whether a daemon may be called so: a to z, 0 to 9 and -, beginning with a letter."""
    return _NAME.fullmatch(name) is not None


def own_folder() -> Path:
    """Where this user's daemons have their sockets: that of the session, or of the system for root.

    A service is told its folder by systemd (RuntimeDirectory=).
    """
    given = os.environ.get("RUNTIME_DIRECTORY", "").partition(":")[0]
    if given:
        return Path(given)
    session = os.environ.get("XDG_RUNTIME_DIR", "")
    if session and os.geteuid() != 0:
        return Path(session) / "remapd"
    if os.geteuid() == 0:
        return _SYSTEM_FOLDER
    # a login without a session's folder: a folder that only this user can have made, see `take`
    return Path(f"/tmp/remapd-{os.geteuid()}")  # noqa: S108


def socket_path(name: str) -> Path:
    """The socket of this user's own daemon of that name."""
    return own_folder() / f"{name}.sock"


def known_sockets(name: str) -> list[Path]:
    """Where a client looks for a daemon of that name: this user's own, then the system's."""
    return list(dict.fromkeys((socket_path(name), _SYSTEM_FOLDER / f"{name}.sock")))


class Place:
    """The name held by this process: nobody else can have it until `release` or the end.

    The lock is the kernel's, so a daemon that was killed leaves none behind.
    """

    def __init__(self, name: str) -> None:
        """Raises AlreadyRunning, and OSError where the folder cannot be used."""
        folder = own_folder()
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if folder.lstat().st_uid not in {os.geteuid(), 0}:
            raise PermissionError(1, "it belongs to another user", str(folder))
        self.socket_path = folder / f"{name}.sock"
        self._lock = os.open(folder / f"{name}.lock", os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
        try:
            fcntl.flock(self._lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            written = os.read(self._lock, 32).strip()
            os.close(self._lock)
            raise AlreadyRunning(name, int(written) if written.isdigit() else 0) from None
        os.ftruncate(self._lock, 0)
        os.write(self._lock, b"%d\n" % os.getpid())
        self.socket_path.unlink(missing_ok=True)  # of one that was killed

    def release(self) -> None:
        """Gives the name back."""
        self.socket_path.unlink(missing_ok=True)
        os.ftruncate(self._lock, 0)
        os.close(self._lock)
