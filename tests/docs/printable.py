"""Pages in HTML for people without a terminal: the hand-over sheet, and the player's guide.

It knows what those pages use, no more: headings, paragraphs, lists, tables, quotes, pictures,
`code`, **strong**, *emphasis* and links (of which the words stay).
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator, Mapping
from typing import Final

_SHEET: Final = """\
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
table + table { margin-top: 2mm }
thead th { height: auto; font-size: 9.5pt; font-weight: bold }
tbody th { width: 38%; font-size: 10pt }
.once { break-before: page }
@media print { body { padding: 0 } }
"""
_GUIDE: Final = """\
body { font: 1.25rem/1.5 "DejaVu Sans", Verdana, Arial, sans-serif; max-width: 46rem;
  margin: 1.5rem auto; padding: 0 1rem; color: #111; background: #fff }
h1 { font-size: 2rem } h2 { font-size: 1.5rem; margin-top: 2.2rem; break-after: avoid }
li { margin: 0.5rem 0 }
table { border-collapse: collapse; width: 100% }
th, td { border: 2px solid #111; padding: 0.4rem 0.7rem; text-align: left; vertical-align: top;
  font-weight: normal; width: 50% }
thead th { font-weight: bold }
blockquote { margin: 0 0 0 1rem; padding-left: 1rem; border-left: 0.4rem solid #111 }
figure { margin: 1rem 0; background: #fff; border: 2px solid #111 }
svg { display: block; width: 100%; height: auto }
@media (prefers-color-scheme: dark) { body { color: #eee; background: #111 }
  th, td, blockquote { border-color: #eee } }
@media print { body { font-size: 12pt; color: #000; background: #fff }
  figure, table { break-inside: avoid } th, td, blockquote { border-color: #000 } }
"""
#: The second side begins here.
_SECOND_SIDE: Final = "How to start"


def sheet(page: str) -> str:
    """The sheet, without what its page says about itself before its first heading."""
    title, _, rest = page.partition("\n")
    return _whole(title, _parts(rest[rest.index("\n## ") :], {}), _SHEET)


def guide(page: str, pictures: Mapping[str, str]) -> str:
    """The player's guide, up to what leads to other pages; `pictures` are SVG, by their paths."""
    title, _, rest = page.partition("\n")
    return _whole(title, _parts(rest[: rest.index("\n## More")], pictures), _GUIDE)


def _whole(title: str, parts: Iterator[str], style: str) -> str:
    name = html.escape(title.removeprefix("# "))
    body = "\n".join(parts)
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width">\n'
        f"<title>{name}</title>\n<style>\n{style}</style>\n</head>\n<body>\n"
        f"<h1>{name}</h1>\n{body}\n</body>\n</html>\n"
    )


def _parts(body: str, pictures: Mapping[str, str]) -> Iterator[str]:
    for block in filter(None, (each.strip() for each in body.split("\n\n"))):
        if block.startswith("## "):
            heading = block[3:]
            once = ' class="once"' if heading == _SECOND_SIDE else ""
            yield f"<h2{once}>{_words(heading)}</h2>"
        elif block.startswith("|"):
            yield _table(block.splitlines())
        elif block.startswith("1. "):
            yield _list("ol", re.split(r"\n\d+\. ", f"\n{block}")[1:])
        elif block.startswith("- "):
            yield _list("ul", re.split(r"\n- ", f"\n{block}")[1:])
        elif block.startswith("> "):
            yield f"<blockquote>{_words(block[2:])}</blockquote>"
        elif picture := re.fullmatch(r"!\[[^\]]*\]\(([^)]+)\)", block):
            yield f"<figure>{pictures[picture[1]]}</figure>"
        else:
            yield f"<p>{_words(' '.join(block.splitlines()))}</p>"


def _list(kind: str, items: list[str]) -> str:
    inside = "".join(f"<li>{_words(' '.join(item.split()))}</li>" for item in items)
    return f"<{kind}>{inside}</{kind}>"


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
