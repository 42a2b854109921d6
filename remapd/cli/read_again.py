"""A recording that a command reads more than once has to be a file, not a pipe."""

from __future__ import annotations

from pathlib import Path

from remapd.cli.failure import CommandFailed


def must_be_readable_again(recording: Path) -> None:
    """Refuse a pipe, which is empty after its first reading: the second would wait for ever.

    Raises:
        CommandFailed: the recording is a pipe.
    """
    if recording.is_fifo():
        raise CommandFailed(
            f"{recording} is a pipe, and the recording is read more than once here; save it as a "
            "file first, and name that"
        )
