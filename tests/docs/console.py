"""The commands in a page's ```console blocks, run for real, and what they print compared.

    python -m tests.docs.console             # says where a page is not what the commands print
    python -m tests.docs.console --update    # writes what they print into the pages

A line `$ command` is run by bash, with the lines `> ` below it, in a folder of its own that holds
`layouts/` and `session.jsonl` (the corpus's harbour session); blocks of one page share it. What
follows is all that the command prints, standard error too; a line `…` stands for any number of
lines. A command that ends with another exit code than 0 shows it as its last line, `exit code 1`.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final

CHECKOUT: Final = Path(__file__).resolve().parents[2]
PAGES: Final = ("docs/testing.md", "docs/packs.md")
ELISION: Final = "…"
_BLOCK: Final = re.compile(r"```console\n(.*?)```\n", re.DOTALL)


@dataclass(frozen=True)
class Command:
    """One command of a page, with what the page says that it prints."""

    words: str
    shown: list[str]


def commands(block: str) -> list[Command]:
    """The commands of one block."""
    found: list[Command] = []
    for line in block.splitlines():
        if line.startswith("$ "):
            found.append(Command(line[2:], []))
        elif line.startswith("> ") and not found[-1].shown:
            found[-1] = Command(f"{found[-1].words}\n{line[2:]}", [])
        else:
            found[-1].shown.append(line)
    return found


@contextmanager
def folder() -> Iterator[Path]:
    """Where a page's commands run; `remapd` is this checkout's."""
    with tempfile.TemporaryDirectory(prefix="remapd-page-") as name:
        place = Path(name)
        shutil.copytree(CHECKOUT / "layouts", place / "layouts")
        shutil.copy(CHECKOUT / "tests/corpus/harbour.jsonl", place / "session.jsonl")
        program = place / ".bin" / "remapd"
        program.parent.mkdir()
        program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m remapd "$@"\n')
        program.chmod(0o755)
        yield place


def run(words: str, place: Path) -> list[str]:
    """What a command prints."""
    done = subprocess.run(
        ["bash", "-c", words],
        cwd=place,
        check=False,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        stdin=subprocess.DEVNULL,
        text=True,
        env=os.environ
        | {
            "PATH": f"{place / '.bin'}:{os.environ['PATH']}",
            "PYTHONPATH": str(CHECKOUT),
            "COLUMNS": "80",
            "LC_ALL": "C.UTF-8",
        },
    )
    return done.stdout.splitlines() + ([f"exit code {done.returncode}"] if done.returncode else [])


def agrees(shown: list[str], printed: list[str]) -> bool:
    """Whether the page is right, its elisions counted."""
    parts = [
        r"(?:.*\n)*" if line == ELISION else re.escape(line.rstrip()) + r"\n" for line in shown
    ]
    return (
        re.fullmatch("".join(parts), "".join(f"{line.rstrip()}\n" for line in printed)) is not None
    )


def checked(page: str) -> tuple[str, list[str]]:
    """The page as it should be, and a sentence for each command that prints something else."""
    wrong: list[str] = []
    with folder() as place:

        def mended(block: re.Match[str]) -> str:
            lines: list[str] = []
            for command in commands(block[1]):
                printed = run(command.words, place)
                right = agrees(command.shown, printed)
                if not right:
                    wrong.append(f"{command.words}\nprints\n" + "\n".join(printed))
                typed = command.words.replace("\n", "\n> ").splitlines()
                lines += [f"$ {typed[0]}", *typed[1:], *(command.shown if right else printed)]
            return "```console\n" + "".join(f"{line.rstrip()}\n" for line in lines) + "```\n"

        text = _BLOCK.sub(mended, page)
    return text, wrong


def main() -> int:
    """Checks every page, or with --update mends it."""
    update = sys.argv[1:] == ["--update"]
    failed = 0
    for name in PAGES:
        path = CHECKOUT / name
        text, wrong = checked(path.read_text(encoding="utf-8"))
        failed += len(wrong)
        for sentence in wrong:
            print(f"{name}: {sentence}\n")
        if update:
            path.write_text(text, encoding="utf-8")
    return 1 if failed and not update else 0


if __name__ == "__main__":
    sys.exit(main())
