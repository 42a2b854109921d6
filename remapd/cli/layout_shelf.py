"""Where the layouts are that a person chooses from by name."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, Final

from remapd.language.shelf import Shelved, layouts_in

_SYSTEM: Final = Path("/etc/remapd/layouts")


def folders_of(status: Mapping[str, Any]) -> list[Path]:
    """Folders in the order in which a name is looked for, from the daemon's status.

    That of the layout in force first, then that which the daemon was started with, the user's own
    (where the daemon is this user's), and the service's.
    """
    folders = []
    layout = status["layout"]
    if layout["path"] is not None:
        folders.append(Path(layout["path"]).parent)
    started_with = layout.get("started_with")
    if started_with is not None:
        named = Path(started_with)
        folders.append(named if named.is_dir() else named.parent)
    if _is_own(status["pid"]):
        folders += own_folders()
    folders.append(_SYSTEM)
    by_place = {os.path.realpath(folder): folder for folder in reversed(folders)}
    return [folder for folder in dict.fromkeys(folders) if folder in by_place.values()]


def own_folders() -> list[Path]:
    """Where a user keeps layouts; XDG Base Directory Specification 0.8."""
    given = os.environ.get("XDG_CONFIG_HOME", "")
    try:
        base = Path(given) if given.startswith("/") else Path.home() / ".config"
    except RuntimeError:  # a user without a home
        return []
    return [base / "remapd" / "layouts", base / "remapd"]


def shelves(folders: Iterable[Path]) -> list[tuple[Path, list[Shelved]]]:
    """The layouts of each folder that has any."""
    found = [(folder, layouts_in(folder)) for folder in folders]
    return [(folder, shelf) for folder, shelf in found if shelf]


def _is_own(process: int) -> bool:
    try:
        return Path(f"/proc/{process}").stat().st_uid == os.geteuid()
    except OSError:
        return False
