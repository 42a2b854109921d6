"""The dated versions of every layout that was ever applied, or changed by a command."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from remapd.cli.daemon_name import add_name
from remapd.cli.failure import CommandFailed

if TYPE_CHECKING:
    from remapd.history import Version


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the layout and `--show`."""
    parser.add_argument(
        "layout", nargs="?", type=Path, metavar="LAYOUT", help="a layout file (default: all)"
    )
    parser.add_argument(
        "--show", type=int, metavar="N", help="print the version of this number as it was"
    )
    add_name(parser)


def run(args: argparse.Namespace) -> int:
    """List them, the oldest first, or print one."""
    from remapd import history
    from remapd.cli.layout_meant import layout_meant
    from remapd.cli.undo import known_versions

    if args.show is not None:
        path = layout_meant(args.layout, args.name)
        known = known_versions(path)
        _show(known[number_of(known, args.show, path) - 1], path)
        return 0
    paths = [args.layout] if args.layout is not None else history.layouts()
    if not paths:
        print("No version of any layout is kept yet; `remapd set` and playing keep them.")
    for number, path in enumerate(paths):
        known = known_versions(path)
        print("\n" * bool(number) + history.real(path))
        print("\n".join(_lines(known)))
    return 0


def number_of(known: Sequence[Version], number: int, path: Path) -> int:
    """The number, if there is such a version; raises CommandFailed."""
    if 1 <= number <= len(known):
        return number
    raise CommandFailed(
        f"there is no version {number} of {path}; they go from 1 to {len(known)}, see: "
        f"remapd history {path}"
    )


def when(version: Version) -> str:
    """The date and time where this command runs."""
    return version.at.astimezone().strftime("%Y-%m-%d %H:%M:%S")


def _lines(known: Sequence[Version]) -> list[str]:
    from remapd.history import digest_of

    lines = []
    for number, version in enumerate(known, 1):
        is_now = number == len(known) and all(
            Path(file).is_file() and digest_of(Path(file).read_bytes()) == kept
            for file, kept in version.files.items()
        )
        words = _because(version) + "  (the file is so now)" * is_now
        lines.append(f"{number:4}  {when(version)}  {words}")
    return lines


def _because(version: Version) -> str:
    from remapd import history

    return {
        history.IN_FORCE: "came into force",
        history.SET: version.what,
        history.UNDO: f"back again {version.what}",
        history.FOUND: "found so, before it was changed",
    }.get(version.because, version.because)


def _show(version: Version, path: Path) -> None:
    """The text of the layout; of included files after it, each under its name."""
    from remapd import history

    own = history.real(path)
    for file in sorted(version.files, key=lambda file: file != own):
        try:
            content = version.content(file).decode(errors="replace")
        except OSError as error:
            raise CommandFailed(f"that version cannot be read any more: {error}") from error
        if file != own:
            print(f"\n# ---- {file}")
        print(content, end="" if content.endswith("\n") else "\n")
