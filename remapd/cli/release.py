"""End everything that lasts by itself: latches, turbos, toggled layers, kept sticks."""

import argparse

from remapd.cli.daemon_name import add_name, running_daemon


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare `--name`."""
    add_name(parser)


def run(args: argparse.Namespace) -> int:
    """Ask for it."""
    with running_daemon(args.name) as daemon:
        daemon.ask("release")
    print("Everything that was on by itself is off; what a hand holds stays.")
    return 0
