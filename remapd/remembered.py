"""What a daemon remembers over a restart: the layout that was chosen last, and plugs that moved.

One small file for each daemon, by its name, in the folder of state: the service's own, or the
user's. A file that is missing or damaged is an empty memory; it is never a reason not to play.

    {"chosen": {STARTED-WITH: LAYOUT}, "plugs": {DEVICE: {"said": PORT, "is": PORT}}}

`STARTED-WITH` is the layout or the folder that `remapd run` was given: whoever starts with another
one means another one.
"""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from remapd import history


@dataclass(frozen=True, slots=True)
class MovedPlug:
    """A device that a press has shown to be at another port than its layout says."""

    said: str  #: the pattern of the layout
    is_at: str


@dataclass(frozen=True, slots=True)
class Memory:
    """All that one daemon remembers."""

    #: By what it was started with: the layout that was chosen last.
    chosen: Mapping[str, str] = field(default_factory=dict)
    #: By the device's name in the layout: the layouts of a folder have their devices in common.
    plugs: Mapping[str, MovedPlug] = field(default_factory=dict)


def path_of(daemon: str) -> Path:
    """The file of the daemon of that name."""
    return history.own_folder().parent / f"remembered-{daemon}.json"


def recall(daemon: str) -> Memory:
    """What the daemon of that name remembers; nothing where the file cannot be read."""
    try:
        content = json.loads(path_of(daemon).read_bytes())
    except (OSError, ValueError, RecursionError):
        return Memory()
    if not isinstance(content, dict):
        return Memory()
    chosen = {
        key: value for key, value in _mapping(content.get("chosen")) if isinstance(value, str)
    }
    return Memory(chosen, _plugs(content.get("plugs")))


def remember_choice(daemon: str, started_with: str, layout: str) -> None:
    """From now on the daemon that is started with this goes on with that layout. Raises OSError."""
    memory = recall(daemon)
    if memory.chosen.get(started_with) != layout:
        _write(daemon, Memory({**memory.chosen, started_with: layout}, memory.plugs))


def remember_plugs(daemon: str, plugs: Mapping[str, MovedPlug]) -> None:
    """These plugs have moved, and no others. Raises OSError."""
    memory = recall(daemon)
    if memory.plugs != plugs:
        _write(daemon, Memory(memory.chosen, plugs))


def _write(daemon: str, memory: Memory) -> None:
    """Whole or not at all: the machine may be switched off at any moment."""
    path = path_of(daemon)
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    content = {
        "chosen": dict(memory.chosen),
        "plugs": {
            name: {"said": plug.said, "is": plug.is_at} for name, plug in memory.plugs.items()
        },
    }
    descriptor, temporary = tempfile.mkstemp(dir=path.parent, prefix=".remembered-")
    try:
        with os.fdopen(descriptor, "w", encoding="utf-8", errors="backslashreplace") as file:
            json.dump(content, file, indent=1)  # in ASCII alone: a path may be no UTF-8
            file.flush()
            os.fsync(file.fileno())
        Path(temporary).replace(path)
    except OSError:
        Path(temporary).unlink(missing_ok=True)
        raise


def _mapping(value: Any) -> list[tuple[str, Any]]:
    return list(value.items()) if isinstance(value, dict) else []


def _plugs(value: Any) -> dict[str, MovedPlug]:
    found = {}
    for name, each in _mapping(value):
        said, is_at = (each.get("said"), each.get("is")) if isinstance(each, dict) else (None, None)
        if isinstance(said, str) and isinstance(is_at, str):
            found[name] = MovedPlug(said, is_at)
    return found
