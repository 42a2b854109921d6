"""Texts from outside made safe to print, and cut to the columns of a terminal.

Names of devices come from hardware and titles from files: neither may move the cursor, hide what
follows, or turn round the text behind it.
"""

from __future__ import annotations

import unicodedata
from typing import Final

#: Embeddings, overrides and isolates that reach past the text they stand in (Unicode UAX 9).
_BIDIRECTIONAL: Final = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
#: General categories that show nothing, or are no characters.
_UNSEEN: Final = frozenset({"Cc", "Cs", "Co", "Cn", "Zl", "Zp"})


def readable(text: str) -> str:
    """The text on one line, with a `?` for each sign that a terminal would not show as itself."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(_shown(sign) for sign in text)


def _shown(sign: str) -> str:
    if sign in "\t\n\r":
        return " "
    if sign in _BIDIRECTIONAL or unicodedata.category(sign) in _UNSEEN:
        return "?"
    return sign


def columns_of(text: str) -> int:
    """How many columns a terminal needs for it (Unicode UAX 11: wide signs need two)."""
    if text.isascii():
        return len(text)
    return sum(_columns(sign) for sign in text)


def _columns(sign: str) -> int:
    if unicodedata.combining(sign) or unicodedata.category(sign) in {"Mn", "Me", "Cf"}:
        return 0
    return 2 if unicodedata.east_asian_width(sign) in "WF" else 1


def cut(text: str, room: int) -> str:
    """The text in at most `room` columns, with a `~` where it is cut."""
    if columns_of(text) <= room:
        return text
    kept, used = "", 0
    for sign in text:
        used += _columns(sign)
        if used >= room:
            break
        kept += sign
    return f"{kept}~" if room > 0 else ""


def filled(text: str, room: int) -> str:
    """The text in exactly `room` columns, cut or followed by spaces."""
    shown = cut(text, room)
    return shown + " " * (room - columns_of(shown))
