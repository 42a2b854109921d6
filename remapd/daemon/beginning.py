"""Which layout a daemon begins with: the one chosen last, else the one that was named."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from remapd import remembered


class NothingToBegin(Exception):
    """There is no layout to begin with; the text says why, and what to do."""


@dataclass(frozen=True, slots=True)
class Beginning:
    """`path` is read first; where it cannot be used, `instead` is.

    `path` is None where no layout was named: every gamepad plays together, and nothing is
    remembered.
    """

    path: str | None
    #: What `remapd run` was given, a file or a folder: what a choice is remembered by.
    started_with: str | None = None
    #: The layout that was named, where `path` is the one chosen last.
    instead: str | None = None
    #: What to tell people, in the order of telling.
    notes: tuple[str, ...] = ()
    #: A layout that was chosen last and is not there any more.
    gone: str | None = None


def begin_with(named: Path, daemon: str, *, as_named: bool = False) -> Beginning:
    """What to begin with, where `named` is a layout file or a folder of layouts.

    `as_named` passes over what was chosen last; it stays remembered.

    Raises:
        NothingToBegin: it is a folder without a layout.
    """
    started_with = str(named.absolute())
    path, notes = started_with, list[str]()
    if named.is_dir():
        path, note = _first_of(Path(started_with))
        notes += [note] if note else []
    if as_named:
        return Beginning(path, started_with, notes=tuple(notes))
    chosen = remembered.recall(daemon).chosen.get(started_with, path)
    if chosen == path:
        # the first of a folder may have been chosen: then nobody is told to choose
        is_choice = started_with in remembered.recall(daemon).chosen
        return Beginning(path, started_with, notes=() if is_choice else tuple(notes))
    if not Path(chosen).is_file():
        return Beginning(path, started_with, notes=tuple(notes), gone=chosen)
    how = f"{Path(chosen).name} was chosen last, so it goes on with it in place of "
    how += f"{Path(path).name}; `remapd use {Path(path).stem}` goes back"
    return Beginning(chosen, started_with, path, (how,))


def _first_of(folder: Path) -> tuple[str, str]:
    from remapd.language.shelf import layouts_in  # noqa: PLC0415 - a file alone needs none of it

    shelf = layouts_in(folder)
    usable = [each for each in shelf if each.is_readable] or shelf
    if not usable:
        raise NothingToBegin(
            f"there is no layout in {folder}; a layout is a file such as harbour.yaml, and "
            "the README lists some to begin from"
        )
    first = usable[0]
    note = ""
    if len(shelf) > 1:
        note = (
            f"{len(shelf)} layouts are in {folder}, and none was chosen yet: it begins with "
            f"{first.path.name}; `remapd use` lists them all"
        )
    return str(first.path), note
