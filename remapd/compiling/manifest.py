"""The compiled form on disk: a folder of libraries, and a manifest that says what they are of."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from importlib.machinery import EXTENSION_SUFFIXES
from pathlib import Path
from typing import Final

NAME: Final = "manifest.json"
#: Beside the package where remapd is installed; pip and `service install` put it there.
INSTALLED: Final = "remapd/compiling/machine_code"


class Unusable(Exception):
    """The compiled form cannot be used here; the text is a clause that says why."""


@dataclass(frozen=True)
class MachineCode:
    """A compiled form that fits the source beside it, and this Python."""

    folder: Path
    library: str  #: the module that holds all the code; the others are doors to it
    modules: frozenset[str]

    def file_of(self, name: str) -> Path:
        """The file that a module is loaded from."""
        return self.folder / f"{name}{EXTENSION_SUFFIXES[0]}"

    def files(self) -> list[Path]:
        """Every file that belongs to it."""
        names = sorted((*self.modules, self.library))
        return [self.folder / NAME, *map(self.file_of, names)]


def write(folder: Path, root: Path, sources: list[str], library: str, modules: list[str]) -> None:
    """Write the manifest of a form that was compiled from these sources below `root`."""
    manifest = {
        "suffix": EXTENSION_SUFFIXES[0],
        "library": library,
        "modules": sorted(modules),
        "sources": {source: _digest(root / source) for source in sources},
    }
    (folder / NAME).write_text(json.dumps(manifest, indent=1))


def write_failure(folder: Path, why: str) -> None:
    """Say in place of a form why there is none."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / NAME).write_text(json.dumps({"failed": why}))


def read(folder: Path, root: Path, *, any_python: bool = False) -> MachineCode | None:
    """The form in this folder, for the source below `root`; None where there is none.

    Every source is read, about a millisecond for all: a time stamp can stay the same while the
    text changes.

    Raises:
        Unusable: it was made of other source or for another Python, or could not be made.
    """
    try:
        manifest = json.loads((folder / NAME).read_bytes())
        if "failed" in manifest:
            raise Unusable(f"it could not be compiled: {manifest['failed']}")
        if not any_python and manifest["suffix"] != EXTENSION_SUFFIXES[0]:
            raise Unusable("it was compiled for another Python")
        for source, digest in manifest["sources"].items():
            if _digest(root / source) != digest:
                raise Unusable(f"the source has changed since it was compiled ({source})")
        return MachineCode(folder, manifest["library"], frozenset(manifest["modules"]))
    except FileNotFoundError:
        return None
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise Unusable(f"its folder {folder} cannot be read ({error})") from error


def _digest(path: Path) -> str:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except FileNotFoundError:
        return "missing"
