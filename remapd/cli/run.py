"""Play: the daemon, in the foreground, until Ctrl-C or the service manager ends it."""

import argparse
import os
import time
from pathlib import Path
from typing import Final

from remapd.cli.daemon_name import add_name
from remapd.cli.failure import CommandFailed

#: A service that cannot start is started again at once; this much of a rest spares the machine.
_REST_S: Final = 3.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the layout, the daemon's name, and who may ask it."""
    parser.add_argument(
        "layout",
        nargs="?",
        metavar="LAYOUT",
        help="the layout file, or a folder of layouts; without one every gamepad that is plugged "
        "in plays together",
    )
    parser.add_argument(
        "--as-named",
        action="store_true",
        help="begin with LAYOUT itself, whatever was chosen with `remapd use` last",
    )
    add_name(parser, "a name for this daemon, so that a second one can run beside it")
    parser.add_argument(
        "--allow-group",
        metavar="GROUP",
        help="members of this group may pause, ask and change the layout, as its own user may",
    )


def run(args: argparse.Namespace) -> int:
    """Serve until told to end."""
    from remapd.daemon.layout_reader import LayoutReader

    name: str = args.name
    group = None if args.allow_group is None else group_number(args.allow_group)
    is_service = "NOTIFY_SOCKET" in os.environ
    # It reads the layout while this process is still importing what it needs itself.
    reader = LayoutReader()
    from remapd.daemon.beginning import Beginning, NothingToBegin, begin_with

    if args.layout is None:
        from remapd.daemon import everyone

        beginning = Beginning(None)
        text = everyone.layout_text(everyone.WhoIsWho().persons())
        ticket = reader.text(text, everyone.NAME)
    else:
        try:
            beginning = begin_with(Path(args.layout), name, as_named=args.as_named)
        except NothingToBegin as error:
            reader.close()
            raise CommandFailed(str(error)) from error
        ticket = reader.use(str(beginning.path))

    from remapd.daemon.service import StartFailed, serve

    try:
        return serve(name, beginning, reader, ticket, group)
    except StartFailed as error:
        if is_service:
            time.sleep(_REST_S)
        raise CommandFailed(str(error)) from error


def group_number(name: str) -> int:
    """The number of a group of this system.

    Raises:
        CommandFailed: there is none of that name.
    """
    import grp

    try:
        return grp.getgrnam(name).gr_gid
    except KeyError as error:
        raise CommandFailed(
            f"this system has no group `{name}`; `sudo remapd service install` makes remapd's"
        ) from error
