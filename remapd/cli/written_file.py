"""A file that a command writes is never one of those that it reads."""

from __future__ import annotations

from pathlib import Path

from remapd.cli.failure import CommandFailed


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
