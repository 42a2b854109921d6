"""Let the player and a helper change places, in play without a layout file."""

import argparse

from remapd.cli.daemon_name import add_name, running_daemon


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare `--name`."""
    add_name(parser)


def run(args: argparse.Namespace) -> int:
    """Ask for it, and say who the player is now."""
    with running_daemon(args.name) as daemon:
        daemon.ask("swap")
        player = daemon.ask("status")["status"]["player"]
    print(f"The player is on “{player}” now.")
    return 0
