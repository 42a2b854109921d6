"""Dated versions of layouts: every one that was applied, changed by a command, or written over.

A version is the bytes of a layout file and of all that it includes. Contents are kept once each, by
their hash; each layout has a list of lines, JSON, that only ever grows:

    contents/<sha-256>
    layouts/<name>-<hash of its path>.jsonl   {"layout", "at", "because", "what", "files"}

The commands keep theirs in the user's own folder; the system's service in its own, which members of
its group may read. What is read is both, by date.
"""

from __future__ import annotations

import contextlib
import fcntl
import hashlib
import json
import os
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

SYSTEM_FOLDER: Final = Path("/var/lib/remapd/history")

#: Why there is a version: it came into force, a command made it, or it was found and written over.
IN_FORCE: Final = "in force"
SET: Final = "set"
UNDO: Final = "undo"
FOUND: Final = "found"


@dataclass(frozen=True, slots=True)
class Version:
    """One state of a layout and its included files."""

    at: datetime
    because: str
    #: What was changed, in words; empty where nobody said.
    what: str
    #: Each file's real path with the hash of its content.
    files: Mapping[str, str]
    #: The folder that holds the contents.
    folder: Path

    def content(self, file: str) -> bytes:
        """What a file of it held. Raises OSError where it cannot be read any more."""
        return (self.folder / "contents" / self.files[file]).read_bytes()


def own_folder() -> Path:
    """Where this process keeps versions: the service its own, a person theirs."""
    given = os.environ.get("STATE_DIRECTORY", "").partition(":")[0]
    if given == str(SYSTEM_FOLDER.parent):
        return SYSTEM_FOLDER
    # A user's unit is given another folder than the user's commands know: not followed.
    if os.geteuid() == 0 and SYSTEM_FOLDER.is_dir():
        return SYSTEM_FOLDER
    # XDG Base Directory Specification 0.8: a path that is not absolute counts as not given.
    state = os.environ.get("XDG_STATE_HOME", "")
    if state.startswith("/"):
        return Path(state) / "remapd" / "history"
    try:
        return Path.home() / ".local" / "state" / "remapd" / "history"
    except RuntimeError:  # a user without a home: nothing can be kept, and that is said there
        return Path("/nonexistent/remapd/history")


def known_folders() -> list[Path]:
    """Where versions are looked for: one's own, then the service's."""
    return list(dict.fromkeys((own_folder(), SYSTEM_FOLDER)))


def digest_of(content: bytes) -> str:
    """The name that a content is kept under."""
    return hashlib.sha256(content).hexdigest()


def real(path: Path | str) -> str:
    """The path that stands for a file, by whatever link it was named."""
    return os.path.realpath(path)


def remember(
    layout: Path, contents: Mapping[str, bytes], because: str, what: str = "", at_us: int = 0
) -> bool:
    """Keeps a version; False where the last one kept is the same and says as much.

    Args:
        layout: the layout file.
        contents: the bytes of each file, by its real path.
        because: IN_FORCE, SET, UNDO or FOUND.
        what: what was changed, in words.
        at_us: when, in microseconds since 1970; 0 for now.

    Raises:
        OSError: the folder cannot be written.
    """
    folder = own_folder()
    for each in (folder, folder / "contents", folder / "layouts"):
        _make_folder(each)
    files = {file: _keep(folder, content) for file, content in contents.items()}
    moment = datetime.fromtimestamp(at_us / 1_000_000, UTC) if at_us else datetime.now(UTC)
    line = {
        "layout": real(layout),
        "at": moment.isoformat(timespec="microseconds"),
        "because": because,
        "what": what,
        "files": files,
    }
    path = _list_of(folder, layout)
    is_new = not path.exists()
    descriptor = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND | os.O_CLOEXEC, 0o600)
    with os.fdopen(descriptor, "r+b") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        if is_new:
            _share(path)
        written = file.read()
        last = _last(written)
        if last is not None and last.get("files") == files and (last.get("what") or not what):
            return False
        # In ASCII alone: the name of a file may be bytes that are no UTF-8.
        start = b"" if not written or written.endswith(b"\n") else b"\n"  # of one cut short
        file.write(start + json.dumps(line).encode() + b"\n")
    return True


def versions(layout: Path) -> list[Version]:
    """All versions of a layout, the oldest first; none where nothing was ever kept.

    Raises:
        PermissionError: this user may not read their own versions.
    """
    found: list[Version] = []
    for folder in known_folders():
        found += _read(folder, _list_of(folder, layout))
    found.sort(key=lambda version: version.at)
    distinct: list[Version] = []
    for version in found:
        if not distinct or distinct[-1].files != version.files:
            distinct.append(version)
        elif version.what and not distinct[-1].what:
            # the daemon was quicker to keep it than the command that knows why
            distinct[-1] = replace(distinct[-1], because=version.because, what=version.what)
    return distinct


def layouts() -> list[Path]:
    """Every layout of which a version is kept, in the order of their paths."""
    found: set[str] = set()
    for folder in known_folders():
        with contextlib.suppress(OSError):
            for path in sorted((folder / "layouts").glob("*.jsonl")):
                found.update(
                    line["layout"] for line in _lines(path) if isinstance(line.get("layout"), str)
                )
    return [Path(each) for each in sorted(found)]


def _read(folder: Path, path: Path) -> Iterator[Version]:
    try:
        lines = list(_lines(path))
    except OSError:
        if folder == own_folder() and path.exists():
            raise
        return  # the service's, which is for members of its group
    for line in lines:
        try:
            yield Version(
                datetime.fromisoformat(line["at"]),
                str(line["because"]),
                str(line.get("what", "")),
                MappingProxyType({str(file): str(kept) for file, kept in line["files"].items()}),
                folder,
            )
        except (KeyError, ValueError, AttributeError, TypeError):
            continue  # a line cut short, by a full disk or a lost battery


def _lines(path: Path) -> Iterable[dict[str, Any]]:
    for written in path.read_bytes().splitlines():
        try:
            line = json.loads(written)
        except ValueError:
            continue
        if isinstance(line, dict):
            yield line


def _last(written: bytes) -> dict[str, Any] | None:
    try:
        line = json.loads(written.splitlines()[-1]) if written else None
    except ValueError:
        return None
    return line if isinstance(line, dict) else None


def _list_of(folder: Path, layout: Path) -> Path:
    path = real(layout)
    key = hashlib.sha256(os.fsencode(path)).hexdigest()[:16]
    return folder / "layouts" / f"{Path(path).stem}-{key}.jsonl"


def _keep(folder: Path, content: bytes) -> str:
    """The content under its hash, whole or not at all."""
    name = digest_of(content)
    path = folder / "contents" / name
    if not path.exists():
        descriptor, temporary = tempfile.mkstemp(dir=path.parent, prefix=".new-")
        try:
            with os.fdopen(descriptor, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            _share(Path(temporary))
            Path(temporary).replace(path)
        except OSError:
            Path(temporary).unlink(missing_ok=True)
            raise
    return name


def _make_folder(path: Path) -> None:
    if path.is_dir():
        return
    path.mkdir(mode=0o700, parents=True, exist_ok=True)
    _share(path)


def _share(path: Path) -> None:
    """What is made in the service's folder is its group's to read, and the service's to write."""
    folder = own_folder()
    if folder != SYSTEM_FOLDER:
        return
    path.chmod(0o750 if path.is_dir() else 0o640)
    if os.geteuid() == 0:
        owner = SYSTEM_FOLDER.parent.stat()
        os.chown(path, owner.st_uid, owner.st_gid)
