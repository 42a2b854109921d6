"""Play a recorded session through a shipped layout, drawn in the terminal."""

import argparse

from remapd.cli.failure import CommandFailed


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare nothing: the demo takes no arguments."""
    del parser


def run(args: argparse.Namespace) -> int:
    """Refuse: the demo is not part of this version."""
    del args
    raise CommandFailed("the demo is not part of this version yet")
