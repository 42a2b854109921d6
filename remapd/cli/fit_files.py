"""What a fitting writes: the layout, its trials, and what stands beside them."""

from __future__ import annotations

import contextlib
import os
import shlex
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from remapd import history
from remapd.cli.failure import CommandFailed
from remapd.cli.written_layout import write_layout
from remapd.fitting.conversation.interview import BEFORE, Outcome, Places
from remapd.fitting.games import name_from
from remapd.fitting.session import Session
from remapd.language import load
from remapd.language.trials import load_trials, trials_path
from remapd.recording.trials import run_trial
from remapd.upkeep.program import typed_command

_NEXT: Final = (
    ("run", "plays with it"),
    ("card", "draws it for the wall"),
    ("check", "proves again that all is reached"),
    ("trial", "runs its trials again, after a change"),
)


def places(place: Path | None, beside: Sequence[str] = ()) -> Places:
    """Where the layout may be written.

    Args:
        place: What was named on the command line.
        beside: Endings of what is written beside it, but for its trials.
    """

    def propose(title: str) -> str:
        if place is not None and not place.is_dir() and place.suffix in {".yaml", ".yml"}:
            return str(place)
        name = f"{name_from(title) or 'layout'}.yaml"
        return name if place is None else str(place / name)

    def fault(words: str) -> str | None:
        try:
            return fault_of(expanded(words))
        except OSError as error:  # a name that is too long, or a folder that cannot be looked into
            return f"no file can have that path ({error.strerror}); another one, please"

    def fault_of(path: Path) -> str | None:
        if (homeless := home_fault(path)) is not None:
            return homeless
        if path.suffix not in {".yaml", ".yml"}:
            return "a layout's name ends in .yaml"
        if path.name.endswith(".trials.yaml"):
            return "that is the name of trials, not of a layout"
        if path.is_dir():
            return f"there is a folder called {path}; a name ending in .yaml goes behind it"
        if path.exists() and not path.is_file():
            return f"what is called {path} is no file to write a layout into; another name, please"
        folder = path.parent
        while not folder.exists():
            folder = folder.parent
        if not folder.is_dir() or not os.access(folder, os.W_OK):
            return f"the folder {folder} cannot be written by this user; another one, please"
        return None

    def taken(words: str) -> tuple[str, ...]:
        path = expanded(words)
        targets = (path, trials_path(path), *(path.with_suffix(each) for each in beside))
        return tuple(str(target) for target in targets if target.exists())

    wanted = "" if place is None else str(place)
    return Places(wanted, propose, fault, taken)


def typed(path: Path) -> str:
    """A path as it has to be typed in a command."""
    text = str(path)
    return shlex.quote(f"./{text}" if text.startswith("-") else text)


def expanded(words: str) -> Path:
    """A path as it was typed, `~` being the home folder where there is one."""
    try:
        return Path(words).expanduser()
    except RuntimeError:  # `~somebody`, who is not there
        return Path(words)


def home_fault(path: Path) -> str | None:
    """What is wrong with a path that begins in somebody's home, after `expanded`."""
    first = path.parts[0] if path.parts else ""
    if not first.startswith("~"):
        return None
    return f"there is nobody whose home {first} could be; another path, please"


def write(outcome: Outcome) -> Path:
    """Write the layout and its trials; the path of the layout.

    Raises:
        CommandFailed: that cannot be.
    """
    path = expanded(outcome.path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        before = path.read_bytes() if path.exists() else None
        if before is not None:
            with contextlib.suppress(OSError):
                history.remember(path, {history.real(path): before}, history.FOUND)
        write_layout(path, outcome.layout.encode(), before)
        give_to_owner_of_folder(path)
        write_beside(trials_path(path), outcome.trials)
    except OSError as error:
        raise CommandFailed(f"{path} cannot be written: {error.strerror}") from error
    with contextlib.suppress(OSError):
        history.remember(
            path, {history.real(path): path.read_bytes()}, history.SET, "written by `remapd fit`"
        )
    return path


def write_beside(path: Path, text: str) -> None:
    """Write a file beside the layout; one that was there is kept under a longer name."""
    content = text.encode()
    before = path.read_bytes() if path.exists() else None
    if before == content:
        return
    if before is not None:
        old = path.with_name(f"{path.name}{BEFORE}")
        write_layout(old, before, old.read_bytes() if old.exists() else None)
        give_to_owner_of_folder(old)
    write_layout(path, content, before)
    give_to_owner_of_folder(path)


def give_to_owner_of_folder(path: Path) -> None:
    """With `sudo`, the family's files shall be theirs to change."""
    if os.geteuid() != 0:
        return
    owner = path.parent.stat()
    with contextlib.suppress(OSError):
        os.chown(path, owner.st_uid, owner.st_gid)


def tell_written(session: Session, path: Path) -> None:
    """Say what is written, that its trials pass, and what can be done with it."""
    loaded = load(path)
    if loaded.layout is None:
        raise CommandFailed(f"{path} was written with an error; please report this")
    if trials_path(path).exists():
        trials = load_trials(trials_path(path), loaded.layout).trials
        passed = sum(run_trial(loaded.layout, trial).passed for trial in trials)
        session.say(f"Written: {path}, and {trials_path(path).name} beside it.")
        session.say(f"Its trials: {passed} of {len(trials)} pass.")
    else:
        session.say(f"Written: {path}.")
    session.say("From now on:")
    session.say(
        "\n".join(
            f"  {typed_command()} {name} {typed(path)}\n      {does}" for name, does in _NEXT
        ),
        as_is=True,
    )
