"""A guided session in the terminal that ends in a layout that works."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from remapd.cli.daemon_name import add_name


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare where the layout goes, and which sort of session it is."""
    parser.add_argument(
        "place",
        nargs="?",
        type=Path,
        metavar="FOLDER-or-FILE",
        help="where the layout is written; a NAME.plan.json goes on with what was planned",
    )
    sort = parser.add_mutually_exclusive_group()
    sort.add_argument(
        "--plan",
        action="store_true",
        help="before anything is bought: from movements alone, keys stand in; ends in what to "
        "borrow",
    )
    sort.add_argument(
        "--from",
        dest="pack",
        type=Path,
        metavar="PACK",
        help="a layout from another machine: asks only which device is which here",
    )
    parser.add_argument(
        "--plain", action="store_true", help="for a screen reader: no marks, lines are not cut"
    )
    parser.add_argument(
        "--aloud", action="store_true", help="say everything through the session's speech server"
    )
    add_name(parser, "the daemon that pauses meanwhile, and starts the layout")


def run(args: argparse.Namespace) -> int:
    """Carry the session through."""
    if args.aloud:
        find_speech_of_session()
    if args.pack is not None:
        from remapd.cli.fit_from import fit_from

        return fit_from(args)
    if args.plan:
        from remapd.cli.fit_plan import plan

        return plan(args)
    if args.place is not None and args.place.name.endswith(".plan.json"):
        from remapd.cli.fit_plan import equip

        return equip(args)
    from remapd.cli.fit_session import fit

    return fit(args)


def find_speech_of_session() -> None:
    """With `sudo`, the speech server is that of whoever typed it."""
    user = os.environ.get("SUDO_UID", "")
    if os.geteuid() == 0 and user.isdecimal():
        path = f"/run/user/{user}/speech-dispatcher/speechd.sock"
        os.environ.setdefault("SPEECHD_ADDRESS", f"unix_socket:{path}")
