"""A guided session in the terminal that ends in a layout that works."""

from __future__ import annotations

import argparse
from pathlib import Path

from remapd.cli.daemon_name import add_name


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare where the layout goes, and which sort of session it is."""
    parser.add_argument(
        "place",
        nargs="?",
        type=Path,
        metavar="FOLDER-or-FILE",
        help="where the layout is written; asked for at the end unless it is a file",
    )
    sort = parser.add_mutually_exclusive_group()
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
    add_name(parser, "the daemon that pauses meanwhile, and starts the layout")


def run(args: argparse.Namespace) -> int:
    """Carry the session through."""
    if args.pack is not None:
        from remapd.cli.fit_from import fit_from

        return fit_from(args)
    from remapd.cli.fit_session import fit

    return fit(args)
