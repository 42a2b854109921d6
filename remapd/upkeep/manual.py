"""The manual pages on a system, so that `man remapd` shows them to everyone."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Final

from remapd.upkeep.steps import Act, Step
from remapd.upkeep.system import System

MANUAL: Final = "/usr/local/share/man"
#: Sections in which we have pages, and the names that are ours there.
_OURS: Final = {"man1": ("remapd.1", "remapd-*.1"), "man5": ("remapd-layout.5",)}


def write_manual(system: System, pages: Mapping[str, str]) -> Step:
    """Writes `pages`, by file name, and removes those of commands that there are no more."""
    wanted = {_place(system, name): text for name, text in pages.items()}

    def is_done() -> bool:
        there = set(_ours(system))
        return there == set(wanted) and all(
            path.read_text() == text for path, text in wanted.items()
        )

    def write() -> None:
        for path, text in wanted.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text)
            path.chmod(0o644)
        for path in set(_ours(system)) - set(wanted):
            path.unlink()

    return Act(f"write the manual pages below {MANUAL}: `man remapd` shows them", is_done, write)


def remove_manual(system: System) -> Step:
    """Removes every page of ours, and folders that are empty then."""

    def remove() -> None:
        for path in list(_ours(system)):
            path.unlink()
        for section in _OURS:
            with contextlib.suppress(OSError):
                system.path(f"{MANUAL}/{section}").rmdir()

    return Act(f"remove the manual pages below {MANUAL}", lambda: not list(_ours(system)), remove)


def _ours(system: System) -> Iterator[Path]:
    for section, patterns in _OURS.items():
        for pattern in patterns:
            yield from system.path(f"{MANUAL}/{section}").glob(pattern)


def _place(system: System, name: str) -> Path:
    return system.path(f"{MANUAL}/man{name.rpartition('.')[2]}/{name}")
