"""One sitting of `remapd fit`: the welcome, the interview, the files, and the start of play."""

from __future__ import annotations

import argparse
import contextlib
import functools
import os
import shlex
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final, TypeGuard, TypeVar

from remapd import history
from remapd.cli.failure import CommandFailed
from remapd.cli.written_layout import write_layout
from remapd.daemon.client import DaemonClient, Denied, NotRunning, Refused
from remapd.fitting.conversation.dialogue import Dialogue
from remapd.fitting.conversation.interview import Outcome, Places, fitting
from remapd.fitting.conversation.questions import Choose, Interview, Option, yes_or_no
from remapd.fitting.conversation.welcome import Beginning, Welcomed, welcome
from remapd.fitting.games import name_from
from remapd.fitting.keeping import Broken, forget, keep, kept, kept_path, put_aside
from remapd.fitting.lines import standard
from remapd.fitting.listening import Listening
from remapd.fitting.session import BrokenOff, Session
from remapd.language import load
from remapd.language.trials import load_trials, trials_path
from remapd.recording.trials import run_trial
from remapd.upkeep.program import typed_command

T = TypeVar("T")

INTERRUPTED: Final = 130
_ABOUT: Final = (
    "Questions follow, some thirty with three switches: who plays, what can be pressed and moved, "
    "and what the game needs. At the end there is a layout file that plays, with a check of it. "
    "Everything can be gone back on, and nothing is lost if it is broken off."
)


_NEXT: Final = (
    ("run", "plays with it"),
    ("card", "draws it for the wall"),
    ("check", "proves again that all is reached"),
    ("trial", "runs its trials again, after a change"),
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
                outcome = carry(session, interview, memory, welcomed, broken)
                path = write(outcome)
                forget(memory)
                tell_written(session, path)
                starts = ask_start(session, welcomed)
        except BrokenOff as end:
            session.say(how_to_go_on(args))
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
) -> T:
    """The interview, each answer kept."""
    answers = broken.answers if broken is not None else ()
    dialogue = Dialogue(interview, answers, welcomed.switch)
    try:
        return session.carry(dialogue, functools.partial(keep, memory))
    except OSError as error:
        raise CommandFailed(
            f"the answers cannot be kept in {memory}: {error.strerror}; make room or allow it"
        ) from error


def how_to_go_on(args: argparse.Namespace) -> str:
    """What to type to go on with it."""
    # with `sudo` the answers are kept where only root looks for them
    words = ["sudo"] if "SUDO_UID" in os.environ else []
    words += [typed_command(), "fit"]
    if args.plan:
        words.append("--plan")
    if args.pack is not None:
        words += ["--from", shlex.quote(str(args.pack))]
    if args.place is not None:
        words.append(shlex.quote(str(args.place)))
    return f"All answers are kept. To go on another time: {' '.join(words)}"


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


# ---------------------------------------------------------------------- the files


def places(place: Path | None) -> Places:
    """Where the layout may be written; `place` is what was named on the command line."""

    def propose(title: str) -> str:
        if place is not None and not place.is_dir() and place.suffix in {".yaml", ".yml"}:
            return str(place)
        name = f"{name_from(title) or 'layout'}.yaml"
        return name if place is None else str(place / name)

    def fault(words: str) -> str | None:
        path = Path(words).expanduser()
        if path.suffix not in {".yaml", ".yml"}:
            return "a layout's name ends in .yaml"
        if path.name.endswith(".trials.yaml"):
            return "that is the name of trials, not of a layout"
        if path.is_dir():
            return f"{path} is a folder; a name ending in .yaml goes behind it"
        folder = path.parent
        while not folder.exists():
            folder = folder.parent
        if not folder.is_dir() or not os.access(folder, os.W_OK):
            return f"the folder {folder} cannot be written by this user; another one, please"
        return None

    def is_taken(words: str) -> bool:
        return Path(words).expanduser().exists()

    wanted = "" if place is None else str(place)
    return Places(wanted, propose, fault, is_taken)


def write(outcome: Outcome) -> Path:
    """Write the layout and its trials; the path of the layout."""
    path = Path(outcome.path).expanduser()
    path.parent.mkdir(parents=True, exist_ok=True)
    for target, text in ((path, outcome.layout), (trials_path(path), outcome.trials)):
        before = target.read_bytes() if target.exists() else None
        if before is not None and target == path:
            with contextlib.suppress(OSError):
                history.remember(path, {history.real(path): before}, history.FOUND)
        write_layout(target, text.encode(), before)
        give_to_owner_of_folder(target)
    with contextlib.suppress(OSError):
        history.remember(
            path, {history.real(path): path.read_bytes()}, history.SET, "written by `remapd fit`"
        )
    return path


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
        "\n".join(f"  {typed_command()} {name} {path}\n      {does}" for name, does in _NEXT),
        as_is=True,
    )


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
