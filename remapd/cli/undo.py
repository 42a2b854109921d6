"""Take the last change of a layout back, or go to an earlier version; nothing is ever lost."""

from __future__ import annotations

import argparse
import difflib
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Final

from remapd.cli.failure import CommandFailed
from remapd.cli.layout_meant import add_layout, layout_meant

if TYPE_CHECKING:
    from remapd.history import Version

#: More changed lines than this are only counted.
_LINES_SHOWN: Final = 8


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the version and which layout is meant."""
    parser.add_argument(
        "--to",
        type=int,
        metavar="N",
        help="the version of this number, as `remapd history LAYOUT` counts them",
    )
    add_layout(parser)


def run(args: argparse.Namespace) -> int:
    """Write the files as they were; what they are now stays in the history."""
    from remapd import history
    from remapd.cli.history import number_of, when
    from remapd.cli.written_layout import write_layout
    from remapd.language import load, render

    path = layout_meant(args.layout, args.name)
    now = _contents(path)
    known = known_versions(path)
    number = len(known) if args.to is None else number_of(known, args.to, path)
    if args.to is None and _is_as(known[-1], now):
        number -= 1
    if number == 0:
        raise CommandFailed(f"only one version of {path} is kept; there is nothing to take back")
    target = known[number - 1]
    if _is_as(target, now):
        print(f"{path.name} is as in version {number} already; nothing is changed.")
        return 0
    try:
        wanted = {file: target.content(file) for file in target.files}
        if now and not _is_as(known[-1], now):
            history.remember(path, now, history.FOUND)
    except OSError as error:
        raise CommandFailed(
            f"nothing is changed: the kept versions cannot be used ({error})"
        ) from error
    loaded = load(path, {Path(file): wanted[history.real(file)] for file in _named(path, wanted)})
    for file, content in wanted.items():
        if _content(file) != content:
            write_layout(Path(file), content, _content(file))
    what = f"as it was on {when(target)}"
    history.remember(path, wanted, history.UNDO, what)
    print(f"{path.name} is {what} (version {number}):")
    print("\n".join(_difference(now, wanted)))
    if loaded.layout is None:
        print("That version has an error, so it does not come into force:")
        print(render(loaded.errors[0]))
    print("To take this back in turn: remapd undo; all versions: remapd history")
    return 0


def known_versions(path: Path) -> list[Version]:
    """The versions of a layout, at least one; raises CommandFailed."""
    from remapd import history

    try:
        known = history.versions(path)
    except OSError as error:
        raise CommandFailed(f"the versions of {path} cannot be read: {error}") from error
    if not known:
        raise CommandFailed(
            f"no version of {path} is kept yet; `remapd set` and playing with it keep them"
        )
    return known


def _contents(path: Path) -> dict[str, bytes]:
    """What the layout's files hold now, by their real paths; none where there is no such file."""
    from remapd import history
    from remapd.language import load

    files = [history.real(file) for file in load(path).files]
    found = {file: _content(file) for file in files}
    return {file: content for file, content in found.items() if content is not None}


def _content(file: str) -> bytes | None:
    path = Path(file)
    try:
        return path.read_bytes() if path.is_file() else None  # a device or pipe may have no end
    except OSError:
        return None


def _is_as(version: Version, contents: Mapping[str, bytes]) -> bool:
    from remapd.history import digest_of

    return dict(version.files) == {file: digest_of(each) for file, each in contents.items()}


def _named(path: Path, wanted: Mapping[str, bytes]) -> list[Path]:
    """The paths by which the layout that is to come speaks of those files."""
    from remapd import history
    from remapd.language import load

    named = {path} if history.real(path) in wanted else set()
    while True:
        instead = {each: wanted[history.real(each)] for each in named}
        files = {each for each in load(path, instead).files if history.real(each) in wanted}
        if files <= named:
            return sorted(named)
        named |= files


def _difference(now: Mapping[str, bytes], wanted: Mapping[str, bytes]) -> list[str]:
    """The lines that differ, `-` as it was until now, `+` as it is."""
    lines: list[str] = []
    for file in wanted:
        old, new = (each.get(file, b"").decode(errors="replace") for each in (now, wanted))
        compared = list(difflib.unified_diff(old.splitlines(), new.splitlines(), n=0, lineterm=""))
        lines += [f"  {line}" for line in compared[2:] if not line.startswith("@@")]
    if len(lines) > _LINES_SHOWN:
        return [*lines[:_LINES_SHOWN], f"  … and {len(lines) - _LINES_SHOWN} more lines"]
    return lines
