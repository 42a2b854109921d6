"""Which layout a command changes: the one that is named, else that of the running daemon."""

from __future__ import annotations

import argparse
from pathlib import Path

from remapd.cli.daemon_name import add_name, running_daemon
from remapd.cli.failure import CommandFailed


def add_layout(parser: argparse.ArgumentParser) -> None:
    """Declare `--layout` and `--name`."""
    parser.add_argument(
        "--layout",
        type=Path,
        metavar="FILE",
        help="the layout file (default: that of the running daemon)",
    )
    add_name(parser)


def layout_meant(named: Path | None, daemon_name: str) -> Path:
    """The layout file; raises CommandFailed where it cannot be told."""
    if named is not None:
        return named
    try:
        with running_daemon(daemon_name) as daemon:
            path = daemon.ask("status")["status"]["layout"]["path"]
    except CommandFailed as failure:
        raise CommandFailed(f"{failure}; or name the file with --layout FILE") from failure
    if path is None:
        raise CommandFailed(
            "the running daemon plays without a layout file; name one with --layout FILE"
        )
    return Path(path)
