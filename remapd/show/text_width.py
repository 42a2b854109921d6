"""How wide a text will be, on the careful side, without asking a font.

The widths are those of DejaVu Sans 2.37, rounded up to the next 0.02 em; Verdana is as wide, and
the other fonts that a browser may take instead are narrower. A script that the table does not hold
counts by classes: full-width signs, marks without a width of their own, and all the rest.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

#: Fonts to ask for, the one that was measured first.
FONTS: Final = "'DejaVu Sans', Verdana, sans-serif"
#: Between the baselines of two lines, in em.
LINE: Final = 1.18
#: How far capitals reach above the baseline, in em (0.729 in DejaVu Sans).
CAPITAL: Final = 0.73

_REGULAR: Final = """
280 ijlìíîïĩīĭįıĵĺļ|300 IJÌÍÎÏĨĪĬĮİĴł'|320  ,.·‘’|340 /:;\\¦|360 fŀſ|380 -\u00adľ|400 ()[]tţťŧ
420 !r¡²³¹ŕŗř|460 "|480 ªº|500 *_`§¨¯°´¸–|520 “”|540 ?sz¿śŝşšźżž|560 LcçćĉċčĳĹĻĽĿ|580 FkķĸŁ
600 vxyýÿĲŷ•|620 PTYaeo«»ÝÞàáâãäåèéêëðòóôõöøāăąēĕėęěōŏőŢŤŦŶŸ
640 $0123456789ESbdghnpqu{}¢£¤¥µ¶ÈÉÊËßñùúûüþďđĒĔĖĘĚĝğġģĥńņňŋŚŜŞŠũūŭůűų|660 KĶ
700 ABCRVXZÀÁÂÃÄÅÇĀĂĄĆĈĊČħŔŖŘŹŻŽ|740 UÙÚÛÜŨŪŬŮŰŲ|760 HNÑĤŃŅŇŊ|780 &DGÐĎĐĜĞĠĢ|800 OQÒÓÔÕÖØŌŎŐ
820 wŉŵ|840 #+<=>^~¬±×÷|880 M|920 Ħ|960 %|980 m¼½¾Æ|1000 @W©®æŴ—…|1040 œ|1080 Œ
"""
_BOLD: Final = """
320 '|360  ijlìíîïĩīĭįıĵĺļ|380 ,./IJ\\¦·ÌÍÎÏĨĪĬĮİĴł‘’|400 :;|420 -\u00ad|440 f²³¹ſ|460 !()[]¡
480 tľţťŧ|500 _`r§¨¯°´¸ŕŗř–|540 "*|560 ŀ|580 ªº|600 ?csz¿çćĉċčśŝşšźżž|640 L¤¶ĹĻĽĿ•
660 vxy«»ýÿŁŷ“”|680 aekàáâãäåèéêëāăąēĕėęěķĸ|700 $0123456789EFTo¢£¥ÈÉÊËðòóôõöøĒĔĖĘĚĳōŏőŢŤŦ
720 bdghnpqu{}ßñùúûüþďđĝğġģĥńņňŋũūŭůűų|740 CPSYZµÇÝÞĆĈĊČŚŜŞŠŶŸŹŻŽ|760 Ĳ|780 ABKRVXÀÁÂÃÄÅĀĂĄĶŔŖŘ
800 ħ|820 UÙÚÛÜŨŪŬŮŰŲ|840 #+<=>DGHN^~¬±ÐÑ×÷ĎĐĜĞĠĢĤŃŅŇŊ|860 OQÒÓÔÕÖØŌŎŐ|880 &|940 wŵ|980 Ħ
1000 @M©®ŉ—…|1020 %|1040 ¼½¾|1060 mæ|1100 Æœ|1120 WŴ|1180 Œ
"""
_ANY_OTHER: Final = 0.95
_SPACES: Final = re.compile(r"[ \t\r\n]+")


def _table(text: str) -> dict[str, float]:
    widths: dict[str, float] = {"|": 0.38, "\u00a0": 0.36}
    for group in text.strip("\n").replace("\n", "|").split("|"):
        number, _, characters = group.partition(" ")
        for character in characters:
            widths[character] = int(number) / 1000
    return widths


_WIDTHS: Final = (_table(_REGULAR), _table(_BOLD))


def width(text: str, size: float, *, bold: bool = False) -> float:
    """The width of a text in one line, in the unit of `size`."""
    return size * _ems(text, bold)


@lru_cache(maxsize=20_000)  # the same words are measured at every size that is tried
def _ems(text: str, bold: bool) -> float:
    table = _WIDTHS[bold]
    return sum(table[c] if c in table else _width_by_class(c) for c in text)


def _width_by_class(character: str) -> float:
    if unicodedata.category(character) in {"Mn", "Me", "Cf"}:
        return 0.0
    if unicodedata.east_asian_width(character) in {"W", "F"}:
        return 1.1
    return 1.2 if unicodedata.category(character) == "So" else _ANY_OTHER


@dataclass(frozen=True, slots=True)
class Wrapped:
    """A text in lines; `broken` where a word had to be broken for want of room."""

    lines: tuple[str, ...]
    broken: bool = False


def wrap(text: str, size: float, room: float, *, bold: bool = False) -> Wrapped:
    """Lines none of which is wider than `room` (but one character at least stands in each)."""
    lines: list[str] = []
    line = ""
    broken = False
    for word in filter(None, _SPACES.split(text)):  # a no-break space holds its words together
        longer = f"{line} {word}" if line else word
        if width(longer, size, bold=bold) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        line = word
        while width(line, size, bold=bold) > room and len(line) > 1:
            broken = True
            cut = _fitting(line, size, room, bold=bold)
            lines.append(line[:cut])
            line = line[cut:]
    return Wrapped((*lines, line) if line or not lines else tuple(lines), broken)


def _fitting(text: str, size: float, room: float, *, bold: bool) -> int:
    """How many characters have room, one at least."""
    count = 1
    while count < len(text) and width(text[: count + 1], size, bold=bold) <= room:
        count += 1
    return count


def shortened(
    text: str, size: float, room: float, most_lines: int, *, bold: bool = False
) -> tuple[str, ...]:
    """At most so many lines; what has no room is left out, and an ellipsis says so."""
    lines = wrap(text, size, room, bold=bold).lines
    if len(lines) <= most_lines:
        return lines
    last = lines[most_lines - 1]
    while last and width(f"{last}…", size, bold=bold) > room:
        last = last[:-1].rstrip()
    return (*lines[: most_lines - 1], f"{last}…")


def runs_from_right(text: str) -> bool:
    """Whether a text begins, with its first letter, in a script that runs from the right."""
    for character in text:
        kind = unicodedata.bidirectional(character)
        if kind in {"R", "AL"}:
            return True
        if kind == "L":
            return False
    return False
