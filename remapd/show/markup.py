"""Markup of our own: SVG and HTML as text in which nothing can be left unescaped.

`Markup` is what has been escaped or made here; mypy refuses a plain text in its place.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final, NewType
from xml.sax.saxutils import escape, quoteattr

Markup = NewType("Markup", str)

NOTHING: Final = Markup("")
#: What no XML 1.0 document may hold (its section 2.2), however it is written.
_NOT_XML: Final = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

Attribute = str | int | float | None


def clean(text: str) -> str:
    """The text with a replacement character for each that XML cannot hold."""
    return _NOT_XML.sub("\N{REPLACEMENT CHARACTER}", text)


def plain(text: str) -> Markup:
    """A text as markup, with all signs of markup in it escaped."""
    return Markup(escape(clean(text), {'"': "&quot;"}))


def joined(parts: Iterable[Markup], between: str = "") -> Markup:
    """Pieces of markup one after the other."""
    return Markup(between.join(parts))


def tag(name: str, *children: Markup, **attributes: Attribute) -> Markup:
    """An element; `font_size=3` is written `font-size="3"`, `class_` is `class`, None is left out.

    Numbers are written with at most two decimals: hundredths of a millimetre are enough.
    """
    written = "".join(
        f" {key.rstrip('_').replace('_', '-')}={quoteattr(_value(value))}"
        for key, value in attributes.items()
        if value is not None
    )
    if len(children) == 0:
        return Markup(f"<{name}{written}/>")
    return Markup(f"<{name}{written}>{''.join(children)}</{name}>")


def _value(value: str | float) -> str:
    if isinstance(value, str):
        return clean(value)
    return f"{value:.2f}".rstrip("0").rstrip(".")
