"""Steps of an installation or a removal: each can tell what it would do, whether it is done, do it.

A step that is done already is left out, so a second run does nothing, and a run that was broken off
goes on where it ended.
"""

from __future__ import annotations

import contextlib
import shutil
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Protocol

from remapd.upkeep.system import System, UpkeepFailed

#: No package has folders in here: those that are left empty were made for our files.
_LOCAL: Final = "/usr/local/share"
#: Debian's systemd has none, so it is made for our file; an empty one says nothing to systemd.
_MADE_FOR_OURS: Final = "/etc/sysusers.d"


class Step(Protocol):
    """One thing to do. `says` is a sentence about it, for the person who is asked."""

    @property
    def says(self) -> str: ...  # noqa: D102
    @property
    def follows_changes(self) -> bool:
        """Whether it must be done again when a step before it has changed something."""
        ...

    def is_done(self) -> bool: ...  # noqa: D102
    def do(self) -> None:
        """Raises UpkeepFailed or OSError."""
        ...


def pending(steps: Iterable[Step]) -> list[Step]:
    """The steps that are to be done."""
    result: list[Step] = []
    for step in steps:
        if not step.is_done() or (step.follows_changes and result):
            result.append(step)
    return result


@dataclass(frozen=True)
class WriteFile:
    """A file of ours with this content; one that differs is replaced."""

    system: System
    written: str  #: its path on the running system
    text: str
    why: str
    mode: int = 0o644
    follows_changes: bool = False

    @property
    def says(self) -> str:
        """What is written, and why."""
        change = "change" if self.system.text(self.written) is not None else "write"
        return f"{change} {self.written}: {self.why}"

    def is_done(self) -> bool:
        """Whether it is there as it should be."""
        return self.system.text(self.written) == self.text

    def do(self) -> None:
        """Writes it in one piece: nobody reads a half of it."""
        path = self.system.path(self.written)
        path.parent.mkdir(parents=True, exist_ok=True)
        fresh = path.with_name(f".{path.name}.new")
        fresh.write_text(self.text)
        fresh.chmod(self.mode)
        fresh.rename(path)


@dataclass(frozen=True)
class MakeLink:
    """A symbolic link."""

    system: System
    written: str
    target: str
    why: str
    follows_changes: bool = False

    @property
    def says(self) -> str:
        """From where to where, and why."""
        return f"link {self.written} to {self.target}: {self.why}"

    def is_done(self) -> bool:
        """Whether it leads there."""
        path = self.system.path(self.written)
        return path.is_symlink() and str(path.readlink()) == self.target

    def do(self) -> None:
        """Makes it, in place of another link; never in place of somebody's file."""
        path = self.system.path(self.written)
        if path.exists() and not path.is_symlink():
            raise UpkeepFailed(f"{self.written} is there and is no link; move it away first")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.unlink(missing_ok=True)
        path.symlink_to(self.target)


@dataclass(frozen=True)
class RemoveFile:
    """A file or link of ours that shall not be there."""

    system: System
    written: str
    follows_changes: bool = False

    @property
    def says(self) -> str:
        """What is removed."""
        return f"remove {self.written}"

    def is_done(self) -> bool:
        """Whether it is gone."""
        path = self.system.path(self.written)
        return not path.exists() and not path.is_symlink()

    def do(self) -> None:
        """Removes it, and its folder where it was ours and is empty now."""
        path = self.system.path(self.written)
        path.unlink(missing_ok=True)
        local, made = self.system.path(_LOCAL), self.system.path(_MADE_FOR_OURS)
        for folder in path.parents:
            if folder.name != "remapd" and folder != made and local not in folder.parents:
                break
            with contextlib.suppress(OSError):
                folder.rmdir()


@dataclass(frozen=True)
class RemoveFolder:
    """A folder with all that is in it."""

    system: System
    written: str
    what: str
    follows_changes: bool = False

    @property
    def says(self) -> str:
        """What is removed."""
        return f"remove {self.written}: {self.what}"

    def is_done(self) -> bool:
        """Whether it is gone."""
        return not self.system.path(self.written).exists()

    def do(self) -> None:
        """Removes it."""
        shutil.rmtree(self.system.path(self.written))


@dataclass(frozen=True)
class Act:
    """Anything else: a sentence, a question and a deed."""

    sentence: str
    done: Callable[[], bool]
    deed: Callable[[], object]
    follows_changes: bool = False

    @property
    def says(self) -> str:
        """The sentence."""
        return self.sentence

    def is_done(self) -> bool:
        """Asks."""
        return self.done()

    def do(self) -> None:
        """Does it."""
        self.deed()


def run_tools(system: System, *commands: Sequence[str]) -> Callable[[], None]:
    """A deed that runs programs one after another."""

    def run() -> None:
        for words in commands:
            system.run(*words)

    return run
