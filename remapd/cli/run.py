"""Play: the daemon, in the foreground, until Ctrl-C or the service manager ends it."""

import argparse
from pathlib import Path

from remapd.cli.daemon_name import add_name, checked_name
from remapd.cli.failure import CommandFailed


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the layout and the daemon's name."""
    parser.add_argument(
        "layout",
        nargs="?",
        metavar="LAYOUT",
        help="the layout file; without one every gamepad that is plugged in plays together",
    )
    add_name(parser, "a name for this daemon, so that a second one can run beside it")


def run(args: argparse.Namespace) -> int:
    """Serve until told to end."""
    from remapd.daemon.layout_reader import LayoutReader

    name = checked_name(args.name)
    # It reads the layout while this process is still importing what it needs itself.
    reader = LayoutReader()
    if args.layout is None:
        from remapd.daemon import everyone

        path = None
        text = everyone.layout_text(everyone.WhoIsWho().persons())
        ticket = reader.text(text, everyone.NAME)
    else:
        path = str(Path(args.layout).absolute())
        ticket = reader.use(path)

    from remapd.daemon.service import StartFailed, serve

    try:
        return serve(name, path, reader, ticket)
    except StartFailed as error:
        raise CommandFailed(str(error)) from error
