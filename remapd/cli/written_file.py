"""A file that a command writes is never one that it reads, nor one of another kind."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, Final

from remapd.cli.failure import CommandFailed
from remapd.recording.lines import FORMAT_KEY
from remapd.recording.pad_description import PAD_PORT

#: So much of the first line tells whether it is a recording's.
_HEAD_BYTES: Final = 512


def keep_inputs(output: Path | None, *inputs: Path | None) -> None:
    """Refuse an output that is one of the inputs, by whatever name: it would be lost.

    A recording is often the only one of its moment.

    Raises:
        CommandFailed: the output is one of the inputs.
    """
    if output is None:
        return
    for source in inputs:
        try:
            same = source is not None and output.samefile(source)
        except OSError:
            continue  # one of the two is not there, or cannot be looked at: told where it is opened
        if same:
            raise CommandFailed(
                f"{output} would be written over, and it is read here; name another file"
            )


def keep_others(output: Path | None, is_of_its_kind: Callable[[bytes], bool], kind: str) -> None:
    """Refuse to replace a file that is not what this command writes: a slip of the name.

    One that it wrote itself is replaced, as whoever tries one value after another expects. An empty
    file holds nothing to be lost; what is no plain file (a pipe, /dev/null) is only written to.
    `kind` is as in "a recording".

    Raises:
        CommandFailed: the output is something else, or cannot be looked at.
    """
    try:
        if output is None or not output.is_file():
            return
        with output.open("rb") as file:
            head = file.read(_HEAD_BYTES)
    except OSError as error:
        raise CommandFailed(f"{output} cannot be written over: {error.strerror}") from error
    if head and not is_of_its_kind(head):
        raise CommandFailed(
            f"{output} exists and is not {kind}, so it is kept; name another file, or remove it "
            "first"
        )


def write_whole(path: Path, content: bytes) -> None:
    """Write a file whole or not at all, see `written_whole`.

    Raises:
        CommandFailed: it cannot be written.
    """
    try:
        with written_whole(path) as file:
            file.write(content)
    except OSError as error:
        raise CommandFailed(f"{path} cannot be written: {error.strerror}") from error


@contextmanager
def written_whole(path: Path) -> Iterator[BinaryIO]:
    """A file to be written: it is there at the end, and if that is not reached it never was.

    So on a full disk what was there before is kept. A link stays one, and what is no plain file (a
    pipe, a device) is only written to. What cannot be done is an OSError.
    """
    # asked of the name as it is: /dev/stdout may lead to a pipe, which has no path of its own
    in_place = path.exists() and not (path.is_file() and os.access(path, os.W_OK))
    target = Path(os.path.realpath(path))
    temporary = target.with_name(f".{target.name}-{os.getpid()}")
    # a folder that takes no new file may have one that can be changed
    if in_place or not os.access(target.parent, os.W_OK):
        with path.open("wb") as file:
            yield file
        return
    try:
        with temporary.open("wb") as file:
            yield file
        if target.exists():
            temporary.chmod(target.stat().st_mode & 0o7777)
        try:
            temporary.replace(target)
        except PermissionError:  # another user's file in a folder such as /tmp (sticky(7))
            shutil.copyfile(temporary, target)
    finally:
        temporary.unlink(missing_ok=True)


def is_pads_recording(head: bytes) -> bool:
    """Whether a file that begins so is what a replay wrote: the pad's, and nobody's own play."""
    return f'{{"{FORMAT_KEY}"'.encode() in head and f'"port": "{PAD_PORT}"'.encode() in head


def is_page(head: bytes) -> bool:
    """Whether a file that begins so is a page for a browser."""
    return head[:14].lower() == b"<!doctype html"
