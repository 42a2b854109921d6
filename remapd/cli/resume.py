"""Go on after `remapd pause`: the devices are taken again."""

import argparse

from remapd.cli.daemon_name import add_name, running_daemon


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare `--name`."""
    add_name(parser)


def run(args: argparse.Namespace) -> int:
    """Ask for it."""
    with running_daemon(args.name) as daemon:
        was_paused = daemon.ask("resume")["was_paused"]
    print("Remapping goes on." if was_paused else "It was not paused.")
    return 0
