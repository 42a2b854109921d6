"""A fitting that was broken off, kept until it is gone on with: every answer, as it was given."""

from __future__ import annotations

import contextlib
import json
import os
import re
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from remapd.fitting.conversation.dialogue import Kept

_VERSION: Final = 1
_IS_NAME: Final = re.compile(r"name-((player|helper)-)?\d")
_NOT_IN_NAMES: Final = re.compile(r"[^a-z0-9]+")


@dataclass(frozen=True, slots=True)
class Broken:
    """A fitting that was broken off: its answers, and when the last of them was given."""

    answers: tuple[Kept, ...]
    day: str

    @property
    def title(self) -> str:
        """The title that was given; empty where it was not asked yet."""
        return next((str(each.answer) for each in self.answers if each.question == "title"), "")

    @property
    def controls(self) -> tuple[str, ...]:
        """The names that controls were given."""
        return tuple(str(each.answer) for each in self.answers if _IS_NAME.match(each.question))


def kept_path(sort: str, about: str) -> Path:
    """Where a fitting is kept.

    Args:
        sort: `fit`, `plan` or `from`: each has questions of its own.
        about: The file or folder that it is for, so that two fittings do not mix.
    """
    state = os.environ.get("XDG_STATE_HOME", "")
    base = Path(state) if state.startswith("/") else Path.home() / ".local" / "state"
    words = _NOT_IN_NAMES.sub("-", about.casefold()).strip("-")[-60:]
    return base / "remapd" / "fit" / (f"{sort}-{words}.json" if words else f"{sort}.json")


def keep(path: Path, answers: Sequence[Kept]) -> None:
    """Writes them, wholly or not at all. Raises OSError where that cannot be."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    data = {
        "remapd-fit": _VERSION,
        "day": datetime.now(UTC).astimezone().strftime("%Y-%m-%d %H:%M"),
        "answers": [[each.question, each.answer] for each in answers],
    }
    descriptor, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}-")
    try:
        with os.fdopen(descriptor, "w", encoding="utf-8") as file:
            json.dump(data, file, ensure_ascii=False, indent=1)
            file.flush()
            os.fsync(file.fileno())
        Path(temporary).replace(path)
    finally:
        Path(temporary).unlink(missing_ok=True)


def kept(path: Path) -> Broken | None:
    """What is kept there; None where there is nothing, or nothing that can be gone on with."""
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
        if data["remapd-fit"] != _VERSION:
            return None
        answers = tuple(Kept(str(question), answer) for question, answer in data["answers"])
        day = str(data["day"])
    except (OSError, ValueError, TypeError, KeyError, RecursionError):
        return None
    return Broken(answers, day) if answers else None


def forget(path: Path) -> None:
    """It has come to its end: nothing is kept any more."""
    with contextlib.suppress(OSError):
        path.unlink()


def put_aside(path: Path) -> None:
    """A new one begins; the old one stays beside it under another name, for whoever wants it."""
    with contextlib.suppress(OSError):
        path.replace(path.with_suffix(".before.json"))
