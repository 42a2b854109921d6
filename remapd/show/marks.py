"""The signs of a picture in a terminal, and styles that add to them and never replace them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final

from remapd.show.lanes import Kind, Mark


class Style(Enum):
    """What a stretch of text is; the number is the terminal's own (ECMA-48 SGR).

    Of the eight colours only magenta (and red, which says "wrong") can be read well on black and on
    white with the palettes that terminals come with: yellow, cyan and green fade on white, blue on
    black. So there is one colour, and the rest is the terminal's own ink.
    """

    PLAIN = "0"
    STRONG = "1"
    FAINT = "2"
    HANDS = "39"
    LAYERS = "35"
    GAME = "1;39"


@dataclass(frozen=True, slots=True)
class Signs:
    """One set of signs. `ways` begin at the right and go round clockwise."""

    rest: str
    press: str
    held: str
    refused: str
    ways: str
    active: str
    rule: str
    tick: str

    def sign(self, mark: Mark) -> str:
        """One character for a column."""
        match mark.kind:
            case Kind.FUTURE:
                return " "
            case Kind.REST:
                return self.rest
            case Kind.HELD:
                return self.held
            case Kind.REFUSED:
                return self.refused
            case Kind.MOVED:
                return self.ways[mark.number]
            case Kind.PRESS:
                return self.press if mark.number == 1 else str(min(mark.number, 9))


FULL: Final = Signs("·", "●", "━", "×", "→↘↓↙←↖↑↗", "◆", "─", "┬")
#: For terminals without these: the diagonals are the slants of what they point along.
ASCII: Final = Signs(".", "o", "=", "x", ">\\v/<\\^/", "*", "-", "+")


def signs_for(encoding: str | None, terminal: str) -> Signs:
    """The set that a terminal can show: `encoding` is that of its stream, `terminal` its TERM."""
    if terminal == "linux":  # the console's own letters have no diagonal arrows
        return ASCII
    try:
        "".join((FULL.rest, FULL.press, FULL.held, FULL.ways, FULL.active)).encode(
            encoding or "ascii"
        )
    except (UnicodeEncodeError, LookupError):
        return ASCII
    return FULL
