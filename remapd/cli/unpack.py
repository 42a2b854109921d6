"""Write the files of a pack out, as they were."""

from __future__ import annotations

import argparse
import contextlib
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from remapd.cli.failure import CommandFailed

if TYPE_CHECKING:
    from remapd.language.pack import Pack


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the pack, the folder, and what is done."""
    parser.add_argument("pack", type=Path, metavar="FILE", help="what `remapd pack` wrote")
    parser.add_argument(
        "folder",
        nargs="?",
        type=Path,
        metavar="FOLDER",
        help="where to (default: a new folder here, named as the layout)",
    )
    parser.add_argument("--list", action="store_true", help="only say what is in it")
    parser.add_argument(
        "--replace",
        action="store_true",
        help="write over files that are there; `remapd undo --layout` brings a layout back",
    )


def run(args: argparse.Namespace) -> int:
    """Write or list; exit code 1 where it is no whole pack or a file is in the way."""
    from remapd.cli.told import readable_lines
    from remapd.language import render
    from remapd.language.pack import PackBroken, read_pack, unpack

    try:
        pack = read_pack(args.pack)
        loaded = pack.load()
        if args.list:
            print(readable_lines("\n".join(contents(pack))))
            return 0
        folder: Path = args.folder or Path(Path(pack.layout.name).stem)
        if args.replace:
            remember(pack, folder)
        written = unpack(pack, folder, replace=args.replace)
    except PackBroken as error:
        raise CommandFailed(str(error)) from error
    for path in written:
        print(f"written: {path}")
    if loaded.layout is None:
        for each in loaded.errors:
            print(render(each), file=sys.stderr)
        raise CommandFailed(
            f"the files are written, but this remapd cannot play with them; {pack.made_with} could"
        )
    print(f"To play: remapd run {written[0]}")
    print(f"If a device is another one here: remapd fit --from {args.pack}")
    return 0


def contents(pack: Pack) -> list[str]:
    """What is in a pack, in words."""
    lines = [f"“{pack.title}”, packed on {pack.packed_on} by {pack.made_with}.", "", "Files:"]
    width = max(len(part.name) for part in pack.parts)
    lines += [
        f"  {part.name:<{width}}  {part.kind.value}, {len(part.content)} bytes"
        for part in pack.parts
    ]
    lines += ["", "Devices that it is played with:"]
    for device in pack.expected():
        need = " (if it is there)" if device.optional else ""
        controls = "every control of it" if device.is_gamepad else ", ".join(device.controls)
        lines.append(
            f"  {device.name}, the {device.person}'s{need}: {device.looks_for}; {controls}"
        )
    return lines


def remember(pack: Pack, folder: Path) -> None:
    """Keep what stands where the layouts of the pack will be written.

    Raises:
        CommandFailed: it cannot be kept; nothing is written then.
    """
    from remapd import history

    contents: dict[str, bytes] = {}
    for part in pack.parts:
        with contextlib.suppress(FileNotFoundError, IsADirectoryError):
            contents[history.real(folder / part.name)] = (folder / part.name).read_bytes()
    layout = folder / pack.layout.name
    if history.real(layout) not in contents:
        return
    try:
        history.remember(layout, contents, history.FOUND)
    except OSError as error:
        raise CommandFailed(
            f"nothing is changed: the version before cannot be kept ({error.strerror}: "
            f"{history.own_folder()})"
        ) from error
