"""Change the running daemon to another layout."""

import argparse
from pathlib import Path

from remapd.cli.daemon_name import add_name, running_daemon


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the layout and `--name`."""
    parser.add_argument("layout", metavar="LAYOUT", help="the layout file")
    add_name(parser)


def run(args: argparse.Namespace) -> int:
    """Ask for it; a layout with errors is refused and the one in force stays."""
    with running_daemon(args.name) as daemon:
        answer = daemon.ask("use", path=str(Path(args.layout).absolute()))
    if answer["warnings"]:
        print(answer["warnings"])
    print(f"“{answer['title']}” is in force.")
    return 0
