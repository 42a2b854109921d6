"""Each thing that can stop play, looked at in turn, with the line that mends it."""

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from remapd.cli.daemon_name import add_name

if TYPE_CHECKING:
    from remapd.upkeep.findings import Finding


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the layout, `--json` and `--name`."""
    parser.add_argument(
        "layout",
        nargs="?",
        type=Path,
        metavar="LAYOUT",
        help="the layout that is meant to be played (default: the one in use)",
    )
    parser.add_argument("--json", action="store_true", help="as data, for programs")
    add_name(parser)


def run(args: argparse.Namespace) -> int:
    """Look and tell; exit code 0 where all is well, 1 where something is to be mended."""
    from remapd.upkeep.findings import data, is_well, lines, summary

    findings = examine(args.name, args.layout)
    if args.json:
        print(json.dumps(data(findings), indent=2, ensure_ascii=False))
    else:
        print("\n".join([*lines(findings), "", summary(findings)]))
    return 0 if is_well(findings) else 1


def examine(name: str, layout: Path | None) -> list["Finding"]:
    """The findings on this system."""
    from remapd.upkeep.facts import gather
    from remapd.upkeep.health import judge
    from remapd.upkeep.system import System

    return judge(gather(System(), name, layout))
