"""`remapd fit --plan`: from movements alone to what to borrow; and the plan on the real things."""

from __future__ import annotations

import argparse
import functools
from pathlib import Path

from remapd.cli.failure import CommandFailed
from remapd.cli.fit_files import places, typed, write, write_beside
from remapd.cli.fit_session import (
    INTERRUPTED,
    begin,
    carry,
    fit_with,
    how_to_go_on,
)
from remapd.fitting.conversation.equipping import equipping
from remapd.fitting.conversation.planning import Planned, planning
from remapd.fitting.keeping import forget, kept_path
from remapd.fitting.lines import standard
from remapd.fitting.listening import Listening
from remapd.fitting.session import BrokenOff, Session
from remapd.fitting.setup import Setup, SetupUnreadable, from_json, to_json
from remapd.upkeep.program import typed_command

_LIST = ".borrow.txt"
_PLAN = ".plan.json"
_ABOUT = (
    "Before anything is bought or borrowed: say which movements there are and what the game needs, "
    "and try the layouts that come of it with keys of this keyboard. It ends in a list of what to "
    "borrow. Everything can be gone back on, and nothing is lost if it is broken off."
)
_ABOUT_REAL = (
    "The plan is taken up again, with what has been borrowed. Plug it in. Each thing is pressed or "
    "moved once, and takes the place of the key that stood in for it."
)


def plan(args: argparse.Namespace) -> int:
    """Carry a plan through; the exit code."""
    memory = kept_path("plan", "" if args.place is None else str(args.place.absolute()))
    with (
        standard(plain=args.plain, aloud=args.aloud) as lines,
        Listening(lines.fileno()) as listening,
    ):
        session = Session(listening, lines)
        try:
            welcomed, broken = begin(session, args.name, memory, _ABOUT, needs_devices=False)
            interview = functools.partial(planning, places(args.place, (_LIST, _PLAN)))
            path = carry(session, interview, memory, welcomed, broken, write_plan)
        except BrokenOff as end:
            session.say(how_to_go_on(args, memory, end))
            return INTERRUPTED if end.by_signal else 0
        forget(memory)
        list_path, plan_path = path.with_suffix(_LIST), path.with_suffix(_PLAN)
        session.say(
            f"Written: {path} with its trials, and {list_path.name}, the list to take along."
        )
        session.say(f"When the things are here: {typed_command()} fit {typed(plan_path)}")
    return 0


def write_plan(planned: Planned) -> Path:
    """Write the plan, its layout, and what to borrow; the path of the layout."""
    path = write(planned.outcome)
    write_beside(path.with_suffix(_LIST), planned.borrow)
    write_beside(path.with_suffix(_PLAN), to_json(planned.outcome.setup))
    return path


def equip(args: argparse.Namespace) -> int:
    """Go on with a plan on the real things; the exit code."""
    setup = setup_in(args.place)
    layout = args.place.with_name(args.place.name.removesuffix(".plan.json") + ".yaml")
    interview = functools.partial(equipping, setup, places(layout))
    return fit_with(args, "real", _ABOUT_REAL, interview)


def setup_in(path: Path) -> Setup:
    """The plan in a file.

    Raises:
        CommandFailed: there is none.
    """
    try:
        return from_json(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        raise CommandFailed(
            f"{path} cannot be read ({error}); `remapd fit --plan` writes such a file"
        ) from error
    except SetupUnreadable as error:
        raise CommandFailed(f"{path}: {error}; make the plan anew with --plan") from error
