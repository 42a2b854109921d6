"""How a terminal is told what to do: the control sequences that ncurses knows it by.

They come from terminfo, through the `curses` of the standard library, so that each terminal gets
its own. Where it is not known there, ECMA-48 is spoken, with two words of xterm's that terminals
have in common: the second screen (1049), which leaves what was there before as it was, and the
hidden cursor (25).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Final

from remapd.show.marks import Style

_LAYERS_COLOUR: Final = 5  # magenta, see Style
#: Terminfo's waits, which terminals of paper needed.
_WAIT: Final = re.compile(rb"\$<[0-9.*/]+>")


@dataclass(frozen=True, slots=True)
class TerminalWords:
    """What to write so that a terminal does something."""

    enter: str  #: begin a picture on a screen of its own, without a cursor
    leave: str
    clear: str
    end_of_row: str  #: empties the rest of the row
    plain: str  #: ends every style
    styles: Mapping[Style, str]
    row: Callable[[int], str]  #: goes to the beginning of a row, from 0


STANDARD: Final = TerminalWords(
    enter="\x1b[?1049h\x1b[?25l\x1b[2J",
    leave="\x1b[0m\x1b[?25h\x1b[?1049l",
    clear="\x1b[2J",
    end_of_row="\x1b[K",
    plain="\x1b[0m",
    styles={s: "" if s is Style.PLAIN else f"\x1b[{s.value}m" for s in Style},
    row=lambda row: f"\x1b[{row + 1};1H",
)


@cache
def words_for(terminal: str) -> TerminalWords:
    """The words of a terminal by its name, which is TERM.

    A process can ask for one terminal only: ncurses keeps the first.
    """
    try:
        import curses  # noqa: PLC0415 - a Python may have been built without it

        curses.setupterm(terminal, 1)
    except (ImportError, curses.error, ValueError):
        return STANDARD

    def word(name: str) -> bytes:
        return _WAIT.sub(b"", curses.tigetstr(name) or b"")

    place = word("cup")
    if not place or not word("el") or not word("clear"):
        return STANDARD
    strong, faint = word("bold").decode(), word("dim").decode()
    colour = word("setaf") if curses.tigetnum("colors") > _LAYERS_COLOUR else b""
    return TerminalWords(
        enter=(word("smcup") + word("civis") + word("clear")).decode(),
        leave=(word("sgr0") + word("cnorm") + word("rmcup")).decode(),
        clear=word("clear").decode(),
        end_of_row=word("el").decode(),
        plain=word("sgr0").decode(),
        styles={
            Style.PLAIN: "",
            Style.STRONG: strong,
            Style.FAINT: faint,
            Style.HANDS: "",
            Style.LAYERS: curses.tparm(colour, _LAYERS_COLOUR).decode() if colour else "",
            Style.GAME: strong,
        },
        row=lambda row: curses.tparm(place, row, 0).decode(),
    )
