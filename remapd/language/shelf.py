"""The layouts of a folder by name: what `remapd use NAME` and `{layout: NAME}` choose from.

A layout has two names: that of its file without the ending, and its title.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from remapd.language.edit import tree_of
from remapd.language.nodes import ScalarNode
from remapd.language.plain_file import LARGEST_KIB
from remapd.language.suggest import any_of, did_you_mean

_ENDINGS: Final = frozenset({".yaml", ".yml"})
_TRIALS: Final = ".trials"
#: For a file that cannot be read as a whole: whether it is meant to be a layout.
_TITLE: Final = re.compile(r"^title:[ \t]*(.*?)[ \t]*$", re.MULTILINE)
_VERSION: Final = re.compile(r"^remapd:", re.MULTILINE)
_LAYERS: Final = re.compile(r"^layers:", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Shelved:
    """A layout file of a folder; `is_readable` is False where it has faults of YAML."""

    path: Path
    title: str
    is_readable: bool = True

    @property
    def name(self) -> str:
        """The file's name without its ending."""
        return self.path.stem


class NotOnShelf(Exception):
    """No layout has that name, or several have; the text says so, and what there is."""


def layouts_in(folder: Path) -> list[Shelved]:
    """The layouts of a folder by their names; none where it cannot be read.

    Trials and files that only describe devices are no layouts.
    """
    try:
        paths = [path for path in folder.iterdir() if path.suffix in _ENDINGS]
    except OSError:
        return []
    named = sorted(paths, key=lambda path: (path.name.casefold(), path.name))
    return [found for found in map(_shelved, named) if found is not None]


def choose(name: str, shelf: Sequence[Shelved]) -> Shelved:
    """The layout of that name: its file's, with or without the ending, or its title.

    Raises:
        NotOnShelf: there is none, or several bear that title.
    """
    for each in shelf:
        if name in (each.name, each.path.name):
            return each
    titled = [each for each in shelf if _plain(each.title) == _plain(name)]
    titled = titled or [each for each in shelf if _plain(each.name) == _plain(name)]
    if len(titled) == 1:
        return titled[0]
    if titled:
        raise NotOnShelf(
            f"{len(titled)} layouts are called “{name}”: say {any_of(e.name for e in titled)}"
        )
    if not shelf:
        raise NotOnShelf(f"there is no layout called `{name}`")
    known = [*(each.name for each in shelf), *(each.title for each in shelf)]
    near = did_you_mean(name, known)
    if near and near[0].startswith("did you mean"):
        raise NotOnShelf(f"there is no layout called `{name}`; {near[0]}")
    listed = ", ".join(f"`{each.name}`" for each in shelf)
    raise NotOnShelf(f"there is no layout called `{name}`; there {_are(shelf)} {listed}")


def meant_by(layout_path: Path, written: str) -> Path:
    """The file that `{layout: …}` in a layout means: a path beside it, else a name in its folder.

    Where it is neither, the path is given, which then tells of itself that it is missing.
    """
    path = layout_path.parent / written
    if path.is_file():
        return path
    try:
        return choose(written, layouts_in(layout_path.parent)).path
    except NotOnShelf:
        return path


def _shelved(path: Path) -> Shelved | None:
    if path.stem.endswith(_TRIALS):
        return None
    try:
        if not path.is_file() or path.stat().st_size > LARGEST_KIB * 1024:
            return None
        text = path.read_text("utf-8")
    except (OSError, ValueError):
        return None
    root = tree_of(text)
    if root is not None:
        if root.get("remapd") is None or root.get("layers") is None:
            return None
        title = root.get("title")
        named = title.text if isinstance(title, ScalarNode) else ""
        return Shelved(path, " ".join(named.split()) or path.stem)
    if not _VERSION.search(text) or not _LAYERS.search(text):
        return None
    written = _TITLE.search(text)
    return Shelved(path, (written and written[1].strip("\"' ")) or path.stem, is_readable=False)


def _plain(name: str) -> str:
    return " ".join(name.replace("_", " ").replace("-", " ").split()).casefold()


def _are(shelf: Iterable[Shelved]) -> str:
    return "are" if len(list(shelf)) > 1 else "is"
