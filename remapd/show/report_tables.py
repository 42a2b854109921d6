"""Tables of a report."""

from __future__ import annotations

from collections.abc import Sequence

from remapd.show.markup import Markup, plain, tag


def table(caption: str, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> Markup:
    """A table whose first column names its rows; it scrolls by itself where it is too wide."""
    head = tag("tr", *(_head(text, "col") for text in heads))
    body = [
        tag("tr", _head(row[0], "row"), *(tag("td", plain(cell)) for cell in row[1:]))
        for row in rows
    ]
    drawn = tag(
        "table", tag("caption", plain(caption)), tag("thead", head), tag("tbody", *body, Markup(""))
    )
    return tag("div", drawn, class_="wide", tabindex=0, role="region", aria_label=caption)


def _head(text: str, scope: str) -> Markup:
    return tag("th", plain(text), scope=scope) if text else tag("td", plain(""))
