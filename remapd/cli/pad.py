"""The mapping string of the pad, for games that do not know it by themselves."""

import argparse
import sys
from pathlib import Path

from remapd.cli.daemon_name import add_name
from remapd.cli.failure import CommandFailed


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the layout, whose identity the pad may have, and the daemon's name."""
    parser.add_argument(
        "layout", nargs="?", metavar="LAYOUT", help="a layout with `pad:` settings of its own"
    )
    add_name(parser, "the daemon whose pad is meant")


def run(args: argparse.Namespace) -> int:
    """Print it; to a person also what it is for."""
    from remapd.daemon.pad_of import pad_identity, pad_name
    from remapd.kernel.mapping_string import mapping_string
    from remapd.kernel.pad import REMAPD_IDENTITY

    identity, faces_as_specified = REMAPD_IDENTITY, False
    if args.layout is not None:
        from remapd.language import load, render

        loaded = load(Path(args.layout))
        if loaded.layout is None:
            errors = "\n".join(map(render, loaded.errors))
            raise CommandFailed(f"the layout cannot be used:\n{errors}")
        identity = pad_identity(loaded.layout)
        faces_as_specified = loaded.layout.faces_as_specified
    text = mapping_string(pad_name(args.name), identity, faces_as_specified=faces_as_specified)
    print(text)
    if sys.stdout.isatty():
        print(
            "Most games read the pad rightly without it. For one that does not, start it with\n"
            'SDL_GAMECONTROLLERCONFIG="$(remapd pad)" before the command.',
            file=sys.stderr,
        )
    return 0
