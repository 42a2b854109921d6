"""One sitting of `remapd fit`: the welcome, the interview, the files, and the start of play."""

from __future__ import annotations

import argparse
import contextlib
import functools
import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final, TypeGuard, TypeVar

from remapd.cli.failure import CommandFailed
from remapd.cli.fit_files import places, tell_written, typed, write
from remapd.daemon.client import DaemonClient, Denied, NotRunning, Refused
from remapd.fitting.conversation.dialogue import Dialogue, Kept
from remapd.fitting.conversation.interview import Outcome, fitting
from remapd.fitting.conversation.questions import Choose, Interview, Option, yes_or_no
from remapd.fitting.conversation.welcome import Beginning, Welcomed, welcome
from remapd.fitting.keeping import Broken, forget, keep, kept, kept_path, put_aside
from remapd.fitting.lines import standard
from remapd.fitting.listening import Listening
from remapd.fitting.session import BrokenOff, Session
from remapd.kernel.timer import monotonic_us
from remapd.language import load
from remapd.upkeep.program import typed_command

T = TypeVar("T")
U = TypeVar("U")

INTERRUPTED: Final = 130
_ABOUT: Final = (
    "Questions follow, some thirty with three switches: who plays, what can be pressed and moved, "
    "and what the game needs. At the end there is a layout file that plays, with a check of it. "
    "Everything can be gone back on, and nothing is lost if it is broken off."
)


def fit(args: argparse.Namespace) -> int:
    """Carry it through; the exit code."""
    return fit_with(args, "fit", _ABOUT, functools.partial(fitting, places(args.place)))


def fit_with(
    args: argparse.Namespace, sort: str, about: str, interview: Callable[[], Interview[Outcome]]
) -> int:
    """Carry an interview through that ends in a layout; the exit code.

    `sort` says where its answers are kept, `about` what it is for.
    """
    place: Path | None = args.place
    memory = kept_path(sort, "" if place is None else str(place.absolute()))
    with (
        standard(plain=args.plain, aloud=args.aloud) as lines,
        Listening(lines.fileno()) as listening,
    ):
        session = Session(listening, lines)
        try:
            welcomed, broken = begin(session, args.name, memory, about)
            if (
                broken is None
                and sort == "fit"
                and is_layout(place)
                and ask_again(session, place, welcomed)
            ):
                from remapd.cli.fit_from import fit_in_place

                return fit_in_place(args, session, welcomed, place)
            with paused(args.name, session, wanted=welcomed.pauses):
                path = carry(session, interview, memory, welcomed, broken, write)
                forget(memory)
                tell_written(session, path)
                starts = ask_start(session, welcomed)
        except BrokenOff as end:
            session.say(how_to_go_on(args, memory, end))
            return INTERRUPTED if end.by_signal else 0
    return play(path, args.name) if starts else 0


def is_layout(place: Path | None) -> TypeGuard[Path]:
    """Whether a layout is there that can be fitted again."""
    return place is not None and place.is_file() and load(place).layout is not None


def ask_again(session: Session, path: Path, welcomed: Welcomed) -> bool:
    """Whether the layout that is there stays, and only its devices are asked about."""

    def interview() -> Interview[bool]:
        answer = yield Choose(
            "again",
            f"{path} is a layout already. What shall be done?",
            (
                Option("again", "keep it, and ask only which device is which now"),
                Option("new", "make a new one, from the beginning"),
            ),
            "again",
            "A plug may sit in another socket, or a box may have been changed for another one.",
        )
        return bool(answer == "again")

    return session.carry(Dialogue(interview, (), welcomed.switch))


def begin(
    session: Session, name: str, memory: Path, about: str, *, needs_devices: bool = True
) -> tuple[Welcomed, Broken | None]:
    """The welcome; and the sitting that was broken off, if it is to be gone on with."""
    listening = session.listening
    broken = kept(memory)
    notes = []
    if listening.denied and needs_devices:
        notes.append(
            f"{len(listening.denied)} devices may not be read by this user, and cannot be heard. "
            f"`sudo {typed_command()} fit` hears them."
        )
        if not listening.readable:
            raise CommandFailed(
                "this user may read no input device, so nothing that is pressed would be heard; "
                f"start it as: sudo {typed_command()} fit"
            )
    plays = needs_devices and daemon_plays(name)
    taken = [] if plays or not needs_devices else listening.taken_by_others
    if taken:
        notes.append(
            f"Another program has {', '.join(taken)} for itself, so nothing on it can be heard; "
            f"`{typed_command()} devices` says which."
        )
    beginning = Beginning(
        about,
        broken.day if broken is not None else "",
        broken.title if broken is not None else "",
        broken.controls if broken is not None else (),
        plays,
        notes,
    )
    welcomed = session.carry(Dialogue(functools.partial(welcome, beginning)))
    if welcomed.switch is not None:
        listening.always_hushed = welcomed.switch.key
    if broken is not None and not welcomed.goes_on:
        put_aside(memory)
        broken = None
    return welcomed, broken


def carry(
    session: Session,
    interview: Callable[[], Interview[T]],
    memory: Path,
    welcomed: Welcomed,
    broken: Broken | None,
    finish: Callable[[T], U],
) -> U:
    """The interview, each answer kept, and what `finish` makes of it.

    Where that fails, such as on a full disk, it is said, and the last question asked again.
    """
    answers = broken.answers if broken is not None else ()
    dialogue = Dialogue(interview, answers, welcomed.switch)
    keeper = _Keeper(session, memory)
    while True:
        try:
            result = session.carry(dialogue, keeper.keep)
        except BrokenOff as end:
            end.has_lost = keeper.is_told
            raise
        try:
            return finish(result)
        except CommandFailed as fault:
            dialogue.reject(monotonic_us(), f"That could not be done: {fault}.")


@dataclass(slots=True)
class _Keeper:
    """Keeps the answers; a disk that takes none is no reason to break off, and told once."""

    session: Session
    memory: Path
    is_told: bool = False

    def keep(self, answers: Sequence[Kept]) -> None:
        try:
            keep(self.memory, answers)
        except OSError as error:
            if not self.is_told:
                self.session.say(
                    f"The answers cannot be kept in {self.memory} ({error.strerror}). The fitting "
                    "goes on, but if it is broken off, what was answered since is lost."
                )
            self.is_told = True
        else:
            self.is_told = False


def how_to_go_on(args: argparse.Namespace, memory: Path, end: BrokenOff) -> str:
    """What to type to go on with it."""
    if kept(memory) is None:
        return "Nothing was answered yet that could be gone on with."
    # with `sudo` the answers are kept where only root looks for them
    words = ["sudo"] if "SUDO_UID" in os.environ else []
    words += [typed_command(), "fit"]
    if args.plan:
        words.append("--plan")
    if args.pack is not None:
        words += ["--from", typed(args.pack)]
    if args.place is not None:
        words.append(typed(args.place))
    lost = "The last answers could not be kept, but those before them are."
    kept_so_far = lost if end.has_lost else "All answers are kept."
    return f"{kept_so_far} To go on another time: {' '.join(words)}"


# ---------------------------------------------------------------------- the running daemon


def daemon_plays(name: str) -> bool:
    """Whether a daemon of this name runs and has devices."""
    try:
        with DaemonClient(name) as client:
            status = client.ask("status")["status"]
    except (NotRunning, Denied, Refused):
        return False
    return not status.get("paused", False)


@contextlib.contextmanager
def paused(name: str, session: Session, *, wanted: bool) -> Iterator[None]:
    """A daemon that plays has given its devices back meanwhile."""
    if not wanted:
        yield
        return
    try:
        with DaemonClient(name) as client:
            client.ask("pause")
    except (NotRunning, Denied, Refused) as error:
        session.say(f"It could not be paused ({error}); its devices cannot be heard.")
        yield
        return
    try:
        yield
    finally:
        with contextlib.suppress(NotRunning, Denied, Refused), DaemonClient(name) as client:
            client.ask("resume")


def play(path: Path, name: str) -> int:
    """Start the layout: in the daemon that runs, or as a new one until Ctrl-C."""
    try:
        with DaemonClient(name) as client:
            client.ask("use", path=str(path.absolute()))
            client.ask("resume")
            print(f"{path} is in force now.")
            return 0
    except (NotRunning, Denied):
        from remapd.cli import run

        print("It plays from now on. Ctrl-C ends it.", flush=True)
        parser = argparse.ArgumentParser()
        run.add_arguments(parser)
        return run.run(parser.parse_args(["--name", name, "--as-named", "--", str(path)]))
    except Refused as error:
        raise CommandFailed(str(error)) from error


def ask_start(session: Session, welcomed: Welcomed) -> bool:
    """Whether to start it."""

    def interview() -> Interview[bool]:
        return (
            yield from yes_or_no("start", "Start it now? The gamepad is there from then on.", "yes")
        )

    try:
        return session.carry(Dialogue(interview, (), welcomed.switch))
    except BrokenOff:
        return False
