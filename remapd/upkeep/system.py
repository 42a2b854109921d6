"""The system that is worked on: this one, or a tree of files that will be one (`--root`)."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

_TOOL_LIMIT_S: Final = 120.0


class UpkeepFailed(Exception):
    """Something could not be done; the text says what, and what helps."""


@dataclass(frozen=True, slots=True)
class Account:
    """A line of /etc/group, or of /etc/passwd without its members."""

    name: str
    number: int
    members: tuple[str, ...] = ()


class System:
    """Paths are written as they are on the running system; `root` stands before them."""

    def __init__(self, root: Path = Path("/")) -> None:
        self.root = root.absolute()
        #: Whether it is the running system, whose services and devices can be told of changes.
        self.is_live = self.root == Path("/")

    def path(self, written: str | Path) -> Path:
        """Where a file of the system is for us."""
        return self.root / str(written).lstrip("/")

    def text(self, written: str | Path) -> str | None:
        """The content of a file, None where there is none that can be read as text."""
        try:
            return self.path(written).read_text()
        except (OSError, UnicodeDecodeError):
            return None

    def group(self, name: str) -> Account | None:
        """A group of the system's own file, None where there is none."""
        for fields in self._accounts("/etc/group", 4):
            if fields[0] == name:
                return Account(name, int(fields[2]), tuple(filter(None, fields[3].split(","))))
        return None

    def user(self, name: str) -> Account | None:
        """A user of the system's own file, None where there is none."""
        for fields in self._accounts("/etc/passwd", 7):
            if fields[0] == name:
                return Account(name, int(fields[2]))
        return None

    def has(self, program: str) -> bool:
        """Whether this machine has a program, also where PATH leaves out sbin."""
        return self._found(program) is not None

    def run(self, *words: str) -> str:
        """Runs a program of this machine to its end; what it printed.

        Raises UpkeepFailed where it is missing or fails.
        """
        program = self._found(words[0])
        if program is None:
            raise UpkeepFailed(f"the program `{words[0]}` is missing; this system cannot be set up")
        try:
            done = subprocess.run(
                [program, *words[1:]],
                check=False,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
                text=True,
                errors="replace",
                timeout=_TOOL_LIMIT_S,
            )
        except subprocess.TimeoutExpired as error:
            raise UpkeepFailed(f"`{' '.join(words)}` does not come to an end") from error
        if done.returncode != 0:
            last = [line for line in done.stdout.splitlines() if line.strip()][-3:]
            said = "; ".join(last) or f"exit code {done.returncode}"
            raise UpkeepFailed(f"`{' '.join(words)}` failed: {said}")
        return done.stdout

    def asked(self, *words: str) -> str:
        """Runs a program that only tells; what it printed, '' where it is missing or says no."""
        program = self._found(words[0])
        if program is None:
            return ""
        try:
            done = subprocess.run(
                [program, *words[1:]],
                check=False,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                text=True,
                errors="replace",
                timeout=_TOOL_LIMIT_S,
            )
        except subprocess.TimeoutExpired:
            return ""
        return done.stdout.strip()

    def _accounts(self, written: str, count: int) -> Iterator[list[str]]:
        for line in (self.text(written) or "").splitlines():
            fields = line.split(":")
            if len(fields) == count and fields[2].isdecimal():
                yield fields

    @staticmethod
    def _found(program: str) -> str | None:
        path = os.pathsep.join([os.environ.get("PATH", os.defpath), "/usr/sbin", "/sbin"])
        return shutil.which(program, path=path)
