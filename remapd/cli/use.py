"""Change the running daemon to another layout, by its name; without one, list what there is."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from remapd.cli.daemon_name import add_name, running_daemon
from remapd.cli.failure import CommandFailed

if TYPE_CHECKING:
    from remapd.language.shelf import Shelved


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the layout and `--name`."""
    parser.add_argument(
        "layout",
        nargs="?",
        metavar="LAYOUT",
        help="its name (that of its file, or its title), or a path; without it, all are listed",
    )
    # for the shells' completion: the names alone, whether or not a daemon runs
    parser.add_argument("--names", action="store_true", help=argparse.SUPPRESS)
    add_name(parser)


def run(args: argparse.Namespace) -> int:
    """Ask for it; a layout with errors is refused and the one in force stays."""
    from remapd.cli.layout_shelf import folders_of, shelves

    if args.names:
        return tell_names(args.name)
    with running_daemon(args.name) as daemon:
        status = daemon.ask("status")["status"]
        folders = shelves(folders_of(status))
        in_force = status["layout"]["path"]
        if args.layout is None:
            print("\n".join(listing(folders, in_force)))
            return 0
        path = meant(args.layout, [each for _, shelf in folders for each in shelf])
        answer = daemon.ask("use", path=str(path))
    if answer["warnings"]:
        print(answer["warnings"])
    lasts = ", and will be after a restart" if answer.get("remembered") else ""
    print(f"“{answer['title']}” is in force{lasts}.")
    return 0


def tell_names(daemon_name: str) -> int:
    """Print what can be typed as a name, one a line."""
    from remapd.cli.layout_shelf import folders_of, own_folders, shelves

    try:
        with running_daemon(daemon_name) as daemon:
            folders = folders_of(daemon.ask("status")["status"])
    except CommandFailed:
        folders = own_folders()
    names = [each.name for _, shelf in shelves(folders) for each in shelf]
    print("\n".join(name for name in dict.fromkeys(names) if len(name.split()) == 1))
    return 0


def meant(written: str, shelf: list[Shelved]) -> Path:
    """The file that a person means by a name or a path.

    Raises:
        CommandFailed: no layout has that name, or several have.
    """
    from remapd.language.shelf import NotOnShelf, choose

    path = Path(written)
    if "/" in written or (path.suffix in {".yaml", ".yml"} and path.is_file()):
        return path.absolute()
    try:
        return choose(written, shelf).path
    except NotOnShelf as error:
        more = "" if shelf else "; name a file, such as ./harbour.yaml"
        raise CommandFailed(f"{error}{more}") from error


def listing(folders: list[tuple[Path, list[Shelved]]], in_force: str | None) -> list[str]:
    """All layouts that can be chosen, by folder; the one in force is marked and says so."""
    from remapd.show.live.readable import columns_of, readable

    if not folders:
        return ["No layouts are found; `remapd use ./FILE` names one by its path."]
    lines = []
    every = [each for _, shelf in folders for each in shelf]
    wide = max(columns_of(readable(each.name)) for each in every)
    for folder, shelf in folders:
        lines += ["", f"{folder}:"]
        for each in shelf:
            name, title = readable(each.name), readable(each.title)
            mark, note = ("*", ", in force") if str(each.path) == in_force else (" ", "")
            if not each.is_readable:
                note += f" (has errors: remapd check {each.path})"
            lines.append(f"{mark} {name}{' ' * (wide - columns_of(name))}  {title}{note}")
    return [*lines[1:], "", "remapd use NAME changes to another one, by its name or its title."]
