"""Pause remapping: the pad goes neutral and every device is given back."""

import argparse

from remapd.cli.daemon_name import add_name, running_daemon


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare `--name`."""
    add_name(parser)


def run(args: argparse.Namespace) -> int:
    """Ask for it."""
    with running_daemon(args.name) as daemon:
        was_paused = daemon.ask("pause")["was_paused"]
    print("It was paused already." if was_paused else "Paused. `remapd resume` goes on.")
    return 0
