"""Put a player's whole set-up into one file, to carry to another machine."""

from __future__ import annotations

import argparse
import datetime
import os
import sys
from pathlib import Path
from typing import Final

from remapd.cli.failure import CommandFailed

_ENDING: Final = ".remapd-pack.txt"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the layout and the file."""
    parser.add_argument("layout", type=Path, metavar="LAYOUT", help="the layout file")
    parser.add_argument(
        "-o",
        "--output",
        type=Path,
        metavar="FILE",
        help=f"write it there; `-` prints it (default: NAME{_ENDING} here)",
    )
    parser.add_argument("--replace", action="store_true", help="write over FILE if it is there")


def run(args: argparse.Namespace) -> int:
    """Pack, and say what is in it."""
    from remapd.cli.layout_file import layout_of_file
    from remapd.cli.written_file import keep_inputs
    from remapd.language.pack import PackBroken
    from remapd.language.packing import pack
    from remapd.show.card_model import card_of
    from remapd.show.card_text import as_text

    layout = layout_of_file(args.layout)
    output: Path = args.output or Path(f"{args.layout.stem}{_ENDING}")
    is_printed = output == Path("-")
    keep_inputs(output, args.layout)
    name = f"{args.layout.stem}{_ENDING}" if is_printed else output.name
    today = datetime.datetime.now().astimezone().date().isoformat()
    try:
        packed = pack(args.layout, card=as_text(card_of(layout)), today=today, file_name=name)
    except PackBroken as error:
        raise CommandFailed(str(error)) from error
    for each in packed.left_out:
        print(f"remapd: warning: not in the pack: {each}", file=sys.stderr)
    if is_printed:
        sys.stdout.buffer.write(packed.content)
        sys.stdout.buffer.flush()
        return 0
    write(output, packed.content, replace=args.replace)
    print(f"“{layout.title}” is packed: {output}")
    print(f"In it: {', '.join(packed.names)}")
    print(f"On the other machine: remapd fit --from {name}, or remapd unpack {name}")
    return 0


def write(path: Path, content: bytes, *, replace: bool) -> None:
    """Write a file whole or not at all; one that is there stays, unless it may be replaced.

    Raises:
        CommandFailed: it is there, or cannot be written.
    """
    if os.path.lexists(path) and not replace:
        raise CommandFailed(f"{path} is there already; name another file with -o, or say --replace")
    temporary = path.with_name(f".{path.name}-{os.getpid()}")
    try:
        with temporary.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())  # a stick may be pulled out in the next moment
        temporary.replace(path)
    except OSError as error:
        temporary.unlink(missing_ok=True)
        raise CommandFailed(f"{path} cannot be written: {error.strerror}") from error
