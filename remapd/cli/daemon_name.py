"""What the commands for a running daemon share: `--name`, and its answers turned into outcomes."""

import argparse
from collections.abc import Iterator
from contextlib import contextmanager

from remapd.cli.failure import CommandFailed
from remapd.daemon.client import DaemonClient, Denied, NotRunning, Refused
from remapd.daemon.places import DEFAULT_NAME, is_valid_name


def add_name(parser: argparse.ArgumentParser, help_line: str = "which daemon is meant") -> None:
    """Declare `--name`."""
    parser.add_argument(
        "--name",
        type=checked_name,
        default=DEFAULT_NAME,
        metavar="NAME",
        help=f"{help_line} (default: %(default)s)",
    )


def checked_name(name: str) -> str:
    """The name, if a daemon can be called so; for argparse."""
    if not is_valid_name(name):
        raise argparse.ArgumentTypeError(
            f"`{name}` is no name for a daemon: use a to z, 0 to 9 and -, beginning with a letter"
        )
    return name


@contextmanager
def running_daemon(name: str) -> Iterator[DaemonClient]:
    """A connection to the daemon of that name; what goes wrong with it becomes CommandFailed."""
    try:
        with DaemonClient(name) as client:
            yield client
    except NotRunning as error:
        raise CommandFailed(f"{error}; start one with: remapd run LAYOUT{_option(name)}") from error
    except Denied as error:
        raise CommandFailed(f"{error}; ask as that user, or with sudo") from error
    except Refused as error:
        raise CommandFailed(str(error)) from error


def _option(name: str) -> str:
    return "" if name == DEFAULT_NAME else f" --name {name}"
