"""Notices that files have changed, however they were saved: through watchdog, and by looking.

What editors, home folders and links do to a file that is watched was measured; so:

- No file is ever watched, only the real directories of every link on the way to it: an editor that
  saves by renaming puts another file there, and a watch on a link sees nothing.
- watchdog's thread does nothing but make a descriptor readable.
- Once a second `sweep` looks at the files themselves. That is all there is on a network folder,
  which gives no events; and it puts the watches back when a folder was removed and made again.
"""

from __future__ import annotations

import contextlib
import logging
import os
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from watchdog.events import (
    DirDeletedEvent,
    DirMovedEvent,
    FileClosedEvent,
    FileCreatedEvent,
    FileDeletedEvent,
    FileMovedEvent,
    FileSystemEvent,
    FileSystemEventHandler,
)
from watchdog.observers.api import BaseObserver, ObservedWatch
from watchdog.observers.inotify import InotifyObserver

from remapd.daemon.file_signature import Signature, signature

#: More links than this on the way to one file are a circle (the kernel's own limit is 40).
_MOST_LINKS: Final = 40
#: An opened or changed file is not of interest until it is closed; a read never is.
_EVENTS: Final[list[type[FileSystemEvent]]] = [
    FileClosedEvent,
    FileMovedEvent,
    FileCreatedEvent,
    FileDeletedEvent,
    DirMovedEvent,
    DirDeletedEvent,
]


class Watch:
    """Watches a set of files; its descriptor becomes readable when one of them may have changed."""

    def __init__(self) -> None:
        self._fd = os.eventfd(0, os.EFD_NONBLOCK | os.EFD_CLOEXEC)
        self._handler = _Signal(self._fd)
        self._files: tuple[Path, ...] = ()
        self._signatures: dict[Path, Signature] = {}
        #: By directory: the watch, and the device and inode that it was set on.
        self._watches: dict[Path, tuple[ObservedWatch, tuple[int, int]]] = {}
        self._observer: BaseObserver | None = None
        # watchdog reports what it cannot do by logging; here the sweep makes up for it
        logging.getLogger("watchdog").addHandler(logging.NullHandler())
        logging.getLogger("watchdog").propagate = False
        with contextlib.suppress(OSError):  # no inotify left: the sweep alone must do
            observer = InotifyObserver()
            observer.daemon = True
            observer.start()
            self._observer = observer

    @property
    def files(self) -> tuple[Path, ...]:
        """The files that are watched."""
        return self._files

    def fileno(self) -> int:
        """Readable after an event."""
        return self._fd

    def acknowledge(self) -> None:
        """Makes the descriptor unreadable again."""
        with contextlib.suppress(BlockingIOError):
            os.read(self._fd, 8)

    def follow(self, files: Iterable[Path]) -> None:
        """Watches these files in place of those before; as they are now counts as unchanged."""
        self._files = tuple(dict.fromkeys(file.absolute() for file in files))
        self._arm()
        self._signatures = self._look()

    def sweep(self) -> bool:
        """Puts lost watches back; whether a file differs from how it was at the last look."""
        self._arm()
        before, self._signatures = self._signatures, self._look()
        return before != self._signatures

    def close(self) -> None:
        """Ends the threads and gives the descriptor back."""
        if self._observer is not None:
            self._observer.stop()
            self._observer.join()
        os.close(self._fd)

    def _look(self) -> dict[Path, Signature]:
        return {file: signature(file) for file in self._files}

    def _arm(self) -> None:
        """Sets a watch on every real directory that lacks one, and takes stale ones away."""
        places = [place for file in self._files for place in places_of(file)]
        self._handler.names = frozenset(map(str, places))
        wanted = {place.parent for place in places}
        self._handler.directories = frozenset(map(str, wanted))
        if self._observer is None:
            return
        for directory, (watch, identity) in list(self._watches.items()):
            if directory not in wanted or _identity(directory) != identity:
                del self._watches[directory]
                with contextlib.suppress(KeyError, OSError):
                    self._observer.unschedule(watch)
        for directory in wanted - self._watches.keys():
            found = _identity(directory)
            if found is None:
                continue
            with contextlib.suppress(OSError):
                watch = self._observer.schedule(
                    self._handler, str(directory), recursive=False, event_filter=_EVENTS
                )
                self._watches[directory] = (watch, found)


class _Signal(FileSystemEventHandler):
    """Runs in watchdog's thread: an event about a file of interest is passed on."""

    def __init__(self, fd: int) -> None:
        self._fd = fd
        self.names: frozenset[str] = frozenset()
        self.directories: frozenset[str] = frozenset()

    def on_any_event(self, event: FileSystemEvent) -> None:
        source, target = os.fsdecode(event.src_path), os.fsdecode(event.dest_path)
        if source in self.names or target in self.names or source in self.directories:
            os.eventfd_write(self._fd, 1)


def places_of(file: Path) -> list[Path]:
    """Where a file lies: its own place and that of each file it links to, in real directories.

    A place whose directory is missing is given as it is written.
    """
    places: list[Path] = []
    place = file
    for _ in range(_MOST_LINKS):
        place = Path(os.path.realpath(place.parent)) / place.name
        places.append(place)
        try:
            target = place.readlink()
        except OSError:
            break
        place = place.parent / target  # an absolute target replaces the whole
    return places


def _identity(directory: Path) -> tuple[int, int] | None:
    try:
        status = directory.stat()
    except OSError:
        return None
    return status.st_dev, status.st_ino
