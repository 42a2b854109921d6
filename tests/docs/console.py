"""The commands in a page's ```console blocks, run for real, and what they print compared.

    python -m tests.docs.console             # says where a page is not what the commands print
    python -m tests.docs.console --update    # writes what they print into the pages

A line `$ command` is run by bash, with the lines `> ` below it, in a folder of its own that holds
`layouts/` and `session.jsonl` (the corpus's harbour session); blocks of one page share it. What
follows is all that the command prints, standard error too; a line `…` stands for any number of
lines. A command that ends with another exit code than 0 shows it as its last line, `exit code 1`.

A block ```yaml NAME is saved in that folder under its name, as the page tells its reader to do.
The commands of a block ```console beside LAYOUT run beside a daemon that plays that layout. What
differs from run to run there (dates, lengths of time, event nodes) need not be the same.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from remapd.engine.layout import ButtonControl
from remapd.language import load
from tests.support.stand_in_daemon import WAIT_S, StandInDaemon, until

CHECKOUT: Final = Path(__file__).resolve().parents[2]
PAGES: Final = (
    "docs/guide-caregiver.md",
    "docs/guide-practitioner.md",
    "docs/guide-tester.md",
    "docs/packs.md",
    "docs/small-changes.md",
    "docs/testing.md",
)
ELISION: Final = "…"
#: What the folder is called on the page.
HOME: Final = "/home/family/play"
_BLOCK: Final = re.compile(
    r"```(?:console(?P<beside> beside \S+)?|yaml (?P<file>\S+))\n(?P<text>.*?)```\n", re.DOTALL
)
#: What is another at each run, where a daemon is asked.
_PASSING: Final = re.compile(
    r"\d{4}-\d\d-\d\d|\d\d:\d\d:\d\d|/dev/input/event[\w-]+"
    r"|\b\d+(?:\.\d+)? (?:ms|s|min|h)\b(?: \d+ (?:s|min)\b)?|\b\d+ frames\b"
)


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


class Hand(threading.Thread):
    """Presses the first switch of a layout again and again; what is optional is not there.

    That switch has to press something on the pad.
    """

    def __init__(self, daemon: StandInDaemon) -> None:
        super().__init__(daemon=True)
        layout = load(daemon.layout).layout
        assert layout is not None
        self._daemon = daemon
        self._ended = threading.Event()
        self._switch = next(
            each.name for each in layout.controls if isinstance(each, ButtonControl)
        )
        optional = [device.name for device in layout.devices if device.optional]
        for name in optional:
            daemon.unplug(name)
        self.start()

        def has_begun() -> bool:
            status = daemon.ask("status")["status"]
            missing = [each["device"] for each in status["devices"] if each["state"] == "missing"]
            return bool(status["figures"]["frames"]) and missing == optional

        until(has_begun)

    def run(self) -> None:
        """Until it is ended."""
        while not self._ended.wait(0.3):
            self._daemon.tap(self._switch, 0.2)

    def end(self) -> None:
        """The hand is taken away."""
        self._ended.set()
        self.join()


@dataclass
class Folder:
    """Where a page's commands run; `remapd` is this checkout's."""

    path: Path
    daemon: StandInDaemon | None = None
    _hand: Hand | None = None

    def play(self, layout: str) -> None:
        """From now on a daemon plays this layout."""
        wanted = self.path / layout
        if self.daemon is not None and self.daemon.layout == wanted:
            return
        self.end()
        state = self.path / ".run" / "state"
        self.daemon = StandInDaemon(self.path / ".run", wanted, state=state)
        self._hand = Hand(self.daemon)
        versions = state / "remapd" / "history" / "layouts"
        until(lambda: any(each.is_file() for each in versions.rglob("*")))

    def end(self) -> None:
        """Ends the daemon, if there is one."""
        if self.daemon is not None and self._hand is not None:
            self._hand.end()
            self.daemon.end()
        self.daemon = self._hand = None


@contextmanager
def folder() -> Iterator[Folder]:
    """A new one, with what every page may count on."""
    with tempfile.TemporaryDirectory(prefix="remapd-page-") as name:
        place = Path(name)
        (place / ".run").mkdir()
        shutil.copytree(CHECKOUT / "layouts", place / "layouts")
        shutil.copy(CHECKOUT / "tests/corpus/harbour.jsonl", place / "session.jsonl")
        program = place / ".bin" / "remapd"
        program.parent.mkdir()
        program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m remapd "$@"\n')
        program.chmod(0o755)
        made = Folder(place)
        try:
            yield made
        finally:
            made.end()


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
            "RUNTIME_DIRECTORY": str(place / ".run"),
            "XDG_STATE_HOME": str(place / ".run" / "state"),
            "COLUMNS": "80",
            "LC_ALL": "C.UTF-8",
        },
    )
    printed = done.stdout.replace(str(place), HOME)
    return printed.splitlines() + ([f"exit code {done.returncode}"] if done.returncode else [])


def agrees(shown: list[str], printed: list[str], *, loosely: bool = False) -> bool:
    """Whether the page is right, its elisions counted; `loosely`: but for what passes."""
    if loosely:
        shown = [_PASSING.sub("(passing)", line) for line in shown]
        printed = [_PASSING.sub("(passing)", line) for line in printed]
    parts = [
        r"(?:.*\n)*" if line == ELISION else re.escape(line.rstrip()) + r"\n" for line in shown
    ]
    return (
        re.fullmatch("".join(parts), "".join(f"{line.rstrip()}\n" for line in printed)) is not None
    )


def _asks(command: Command) -> bool:
    return command.words.startswith("remapd status") and bool(command.shown)


def checked(page: str) -> tuple[str, list[str]]:
    """The page as it should be, and a sentence for each command that prints something else."""
    wrong: list[str] = []
    with folder() as place:

        def mended(block: re.Match[str]) -> str:
            if block["file"]:
                (place.path / block["file"]).write_text(block["text"], encoding="utf-8")
                return block[0]
            beside = block["beside"] or ""
            if beside:
                place.play(beside.split()[-1])
            lines: list[str] = []
            for command in commands(block["text"]):
                printed = run(command.words, place.path)
                right = agrees(command.shown, printed, loosely=bool(beside))
                deadline = time.monotonic() + WAIT_S
                # What was saved is in force a moment later.
                while not right and _asks(command) and time.monotonic() < deadline:
                    printed = run(command.words, place.path)
                    right = agrees(command.shown, printed, loosely=bool(beside))
                if not right:
                    wrong.append(f"{command.words}\nprints\n" + "\n".join(printed))
                typed = command.words.replace("\n", "\n> ").splitlines()
                lines += [f"$ {typed[0]}", *typed[1:], *(command.shown if right else printed)]
            return (
                f"```console{beside}\n" + "".join(f"{line.rstrip()}\n" for line in lines) + "```\n"
            )

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
