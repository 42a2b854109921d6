"""The dispatcher: find the command, import only its module, turn every outcome into an exit code.

Exit codes: 0 done, 1 failed, 2 wrong usage, 130 interrupted by Ctrl-C. A traceback never reaches a
user, unless REMAPD_TRACEBACK=1 asks for it.
"""

import argparse
import difflib
import errno
import importlib
import io
import os
import sys
import traceback
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import NoReturn, Protocol, cast

from remapd import __version__
from remapd.cli.failure import CommandFailed

DONE = 0
FAILED = 1
USAGE = 2
INTERRUPTED = 128 + 2  # the shell's number for a program ended by SIGINT

COMMANDS: dict[str, tuple[str, str]] = {
    # name: (module, help in one line), in the order in which `remapd --help` shows them
    "demo": ("remapd.cli.demo", "watch a recorded session, no device needed"),
    "fit": ("remapd.cli.fit", "make a layout in a guided session: press, name, choose"),
    "run": ("remapd.cli.run", "play with a layout, or without one"),
    "devices": ("remapd.cli.devices", "what is plugged in, and what each thing sends"),
    "status": ("remapd.cli.status", "how the running daemon is, in plain sentences"),
    "watch": ("remapd.cli.watch", "see it live: in the terminal, in sentences, or as a page"),
    "cues": ("remapd.cli.cues", "play the layout's tones, words and notifications"),
    "pause": ("remapd.cli.pause", "give every device back for a while"),
    "resume": ("remapd.cli.resume", "go on after a pause"),
    "release": ("remapd.cli.release", "end everything that lasts by itself"),
    "use": ("remapd.cli.use", "change the running daemon to another layout"),
    "set": ("remapd.cli.set", "change one value of a layout, without an editor"),
    "undo": ("remapd.cli.undo", "take the last change of a layout back"),
    "history": ("remapd.cli.history", "the dated versions of every layout that was used"),
    "swap": ("remapd.cli.swap", "player and helper change places, in play without a layout"),
    "mark": ("remapd.cli.mark", "put a remark into what is remembered"),
    "record": ("remapd.cli.record", "save input: from now on, or what has just been"),
    "health": ("remapd.cli.health", "what could stop play, and the line that mends it"),
    "desktop": ("remapd.cli.desktop", "start, pause, how to play and help, for the desktop's menu"),
    "service": ("remapd.cli.service", "put the service on this system, or take it away"),
    "pad": ("remapd.cli.pad", "the pad's mapping string, for games that need one"),
    "report": ("remapd.cli.report", "a recorded session in pictures and figures, to print"),
    "card": ("remapd.cli.card", "a picture of a layout for the wall, or the same in words"),
    "pack": ("remapd.cli.pack", "a whole set-up as one file, to carry to another machine"),
    "unpack": ("remapd.cli.unpack", "write the files of a pack out, as they were"),
    "replay": ("remapd.cli.replay", "play a recording through a layout, without the player"),
    "check": ("remapd.cli.check", "prove that a layout can play, and say what to mend"),
    "why": ("remapd.cli.why", "what became of each press in a recording, and why"),
    "trial": ("remapd.cli.trial", "run the trials beside a layout"),
}


class Command(Protocol):
    """What each module in COMMANDS offers."""

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """Declare the command's arguments."""

    def run(self, args: argparse.Namespace) -> int:
        """Do it and return the exit code."""


class Parser(argparse.ArgumentParser):
    """An ArgumentParser whose errors are short and suggest the nearest option."""

    def error(self, message: str) -> NoReturn:
        """Print the error, a suggestion where one is near, and where to read more; exit with 2."""
        options = [option for action in self._actions for option in action.option_strings]
        named = [word.partition("=")[0].rstrip(":;,") for word in message.split()]
        mistyped = [word for word in named if word.startswith("--") and word not in options]
        hint = suggestion(mistyped[0], options) if mistyped else ""
        complain(f"{message}{hint}", program=self.prog)
        print(f"try: {self.prog} --help", file=sys.stderr)
        sys.exit(USAGE)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command.

    Args:
        arguments: the words after `remapd`; those of the process when None.

    Returns:
        The exit code.
    """
    words = list(sys.argv[1:] if arguments is None else arguments)
    # A shell can start a program with an output closed (`>&-`); Python has none then.
    sys.stdout = sys.stdout or nowhere()
    sys.stderr = sys.stderr or nowhere()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A terminal that lacks a letter of somebody's title shall not end the command.
            stream.reconfigure(errors="replace")
    try:
        code = dispatch(words)
        sys.stdout.flush()
    except CommandFailed as failure:
        complain(str(failure))
        try:
            sys.stdout.flush()
        except OSError:  # a full disk was told of already
            leave_nothing_to_flush()
        return FAILED
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        # The reader of our output went away (`remapd … | head`).
        leave_nothing_to_flush()
        return FAILED
    except OSError as error:
        if error.errno not in {errno.ENOSPC, errno.EDQUOT}:
            return report_defect(error)
        leave_nothing_to_flush()
        complain(f"no more can be written: {error.strerror}; make room on the disk and try again")
        return FAILED
    except Exception as error:  # noqa: BLE001 - the last resort: no traceback reaches a user
        if is_interrupt(error):
            return INTERRUPTED
        return report_defect(error)
    return code


def is_interrupt(error: BaseException) -> bool:
    """Whether it was a Ctrl-C in the end.

    Until Python 3.12 one that comes while a class is made turns into a RuntimeError about
    `__set_name__`, with the KeyboardInterrupt as its cause.
    """
    cause: BaseException | None = error
    while cause is not None:
        if isinstance(cause, KeyboardInterrupt):
            return True
        cause = cause.__cause__
    return False


def nowhere() -> io.TextIOWrapper:
    """A stream that takes everything and keeps nothing."""
    return io.TextIOWrapper(io.FileIO(os.devnull, "w"), encoding="utf-8", write_through=True)


def leave_nothing_to_flush() -> None:
    """Point standard output nowhere: Python would complain once more when it flushes at exit."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def dispatch(words: list[str]) -> int:
    """Find the command that `words` begins with and run it on the rest."""
    if not words:
        print(overview(), file=sys.stderr)
        return USAGE
    name, rest = words[0], words[1:]
    if name in ("-h", "--help", "help"):
        print(overview())
        return DONE
    if name == "--version":
        print(f"remapd {__version__}, {form()}")
        return DONE
    if name not in COMMANDS:
        kind = "option" if name.startswith("-") else "command"
        known = ["--help", "--version"] if kind == "option" else list(COMMANDS)
        complain(f"unknown {kind} `{name}`{suggestion(name, known)}")
        print("try: remapd --help", file=sys.stderr)
        return USAGE

    module_name, help_line = COMMANDS[name]
    command = import_command(name, module_name)
    parser = Parser(prog=f"remapd {name}", description=help_line, allow_abbrev=False)
    command.add_arguments(parser)
    try:
        return command.run(parser.parse_args(rest))
    except SystemExit as ended:  # the parser has printed its help or its error
        return int(ended.code or DONE)


def form() -> str:
    """Which form of the program runs, for whoever tells of a mistake in it."""
    from remapd.compiling.finder import form_in_use

    return form_in_use().name


def import_command(name: str, module_name: str) -> Command:
    """Import the module of one command.

    Raises:
        CommandFailed: a library that it needs is not installed.
    """
    try:
        return cast("Command", importlib.import_module(module_name))
    except ModuleNotFoundError as error:
        if error.name is None or error.name.partition(".")[0] == "remapd":
            raise
        raise CommandFailed(
            f"`remapd {name}` needs the Python package `{error.name}`, which is not installed "
            f"in {sys.prefix}; install remapd again with: {sys.executable} -m pip install remapd"
        ) from error


def overview() -> str:
    """The text of `remapd --help`: every command with its one line."""
    width = max(len(name) for name in COMMANDS)
    lines = [f"  {name:<{width}}  {help_line}" for name, (_, help_line) in COMMANDS.items()]
    return "\n".join(
        [
            "usage: remapd COMMAND ...",
            "",
            "Many small controls in, one ordinary gamepad out.",
            "",
            "commands:",
            *lines,
            "",
            "`remapd COMMAND --help` tells more; `remapd --version` prints the version.",
        ]
    )


def suggestion(word: str, known: Iterable[str]) -> str:
    """`, did you mean ...?` when something known is near to `word`, else an empty text."""
    near = difflib.get_close_matches(word, list(known), n=2, cutoff=0.6)
    return f", did you mean {' or '.join(f'`{name}`' for name in near)}?" if near else ""


def complain(message: str, *, program: str = "remapd") -> None:
    """Print one error to standard error, led by the program's name."""
    from remapd.cli.told import readable_lines

    print(readable_lines(f"{program}: {message}"), file=sys.stderr)


def report_defect(error: Exception) -> int:
    """Say in one line what to report when remapd itself is at fault; exit code 1."""
    if os.environ.get("REMAPD_TRACEBACK") == "1":
        traceback.print_exception(error)
    frames = traceback.extract_tb(error.__traceback__)
    place = f"{Path(frames[-1].filename).name}:{frames[-1].lineno}" if frames else "unknown place"
    text = " ".join(str(error).split())
    complain(
        f"a mistake in remapd {__version__} itself: {type(error).__name__}: {text} ({place}); "
        "please report this line and the command you typed "
        "(REMAPD_TRACEBACK=1 before the command shows more)"
    )
    return FAILED
