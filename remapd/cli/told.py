"""What is told of texts from outside: device names and remarks of a recording, a layout's path.

They are printed so that none of them can move the cursor or change the terminal's title.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable

from remapd.show.live.readable import readable


def readable_lines(text: str) -> str:
    """The text with its lines, and a `?` for each sign that a terminal would not show as itself."""
    return "\n".join(readable(line) for line in text.split("\n"))


def print_notes(notes: Iterable[str]) -> None:
    """What the user should know beside the result."""
    for note in notes:
        print(f"remapd: note: {readable(note)}", file=sys.stderr)
