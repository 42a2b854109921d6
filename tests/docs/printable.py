"""The hand-over sheet as a page for paper, from the page that says what is on it.

It knows what that page uses, no more: headings, paragraphs, numbered lines, tables, `code`,
**strong**, *emphasis* and links.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from typing import Final

_STYLE: Final = """\
@page { size: A4; margin: 13mm 14mm }
* { box-sizing: border-box }
body { font: 11pt/1.35 "DejaVu Sans", Verdana, Arial, sans-serif; color: #000; background: #fff;
  max-width: 182mm; margin: 0 auto; padding: 4mm 0 }
h1 { font-size: 20pt; margin: 0 0 3mm; border-bottom: 0.8mm solid; padding-bottom: 1.5mm }
h2 { font-size: 12.5pt; margin: 4mm 0 1.2mm; break-after: avoid }
p { margin: 1.5mm 0 }
ol { margin: 0; padding-left: 6mm }
li { margin: 0.7mm 0 }
table { border-collapse: collapse; width: 100%; table-layout: fixed; break-inside: avoid }
th, td { border: 0.25mm solid #000; padding: 1mm 2mm; text-align: left; height: 8.4mm;
  vertical-align: top; font-weight: normal; overflow-wrap: break-word }
thead th { height: auto; font-size: 9.5pt; font-weight: bold }
tbody th { width: 38%; font-size: 10pt }
.once { break-before: page }
@media print { body { padding: 0 } }
"""
#: The second side begins here.
_SECOND_SIDE: Final = "How to start"


def printable(page: str) -> str:
    """The sheet as HTML, without what the page says about itself before its first heading."""
    title, _, rest = page.partition("\n")
    body = rest[rest.index("\n## ") :]
    parts = "\n".join(_parts(body))
    name = html.escape(title.removeprefix("# "))
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f"<title>{name}</title>\n<style>\n{_STYLE}</style>\n</head>\n<body>\n"
        f"<h1>{name}</h1>\n{parts}\n</body>\n</html>\n"
    )


def _parts(body: str) -> Iterator[str]:
    for block in filter(None, (each.strip() for each in body.split("\n\n"))):
        if block.startswith("## "):
            heading = block[3:]
            once = ' class="once"' if heading == _SECOND_SIDE else ""
            yield f"<h2{once}>{_words(heading)}</h2>"
        elif block.startswith("|"):
            yield _table(block.splitlines())
        elif block.startswith("1. "):
            items = (line.partition(". ")[2] for line in block.splitlines())
            yield "<ol>" + "".join(f"<li>{_words(item)}</li>" for item in items) + "</ol>"
        else:
            yield f"<p>{_words(' '.join(block.splitlines()))}</p>"


def _table(lines: list[str]) -> str:
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]
    head, rows = rows[0], rows[2:]  # between them is the rule
    written = any(head)
    told = ""
    if written:
        cells = "".join(f'<th scope="col">{_words(cell)}</th>' for cell in head)
        told = f"<thead><tr>{cells}</tr></thead>"
    body = "".join(f"<tr>{_row(row, labelled=bool(row[0]))}</tr>" for row in rows)
    return f"<table>{told}<tbody>{body}</tbody></table>"


def _row(cells: list[str], *, labelled: bool) -> str:
    first = f'<th scope="row">{_words(cells[0])}</th>' if labelled else "<td></td>"
    return first + "".join(f"<td>{_words(cell)}</td>" for cell in cells[1:])


def _words(text: str) -> str:
    text = html.escape(text, quote=False)
    text = re.sub(r"`([^`]+)`", r"<code>\1</code>", text)
    text = re.sub(r"\*\*([^*]+)\*\*", r"<strong>\1</strong>", text)
    text = re.sub(r"\*([^*]+)\*", r"<em>\1</em>", text)
    return re.sub(r"\[([^\]]+)\]\([^)]+\)", r"\1", text)
