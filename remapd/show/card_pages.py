"""The pages of a card: paper, title, layers, and at the foot the way to pause and the pad."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from remapd.show.card_marks import BLACK, GREY, WHITE, Block, Box, Text, labelled, paragraph
from remapd.show.card_model import Card, Panel
from remapd.show.card_pad import pad_block
from remapd.show.card_panels import PanelBlock, panel_block
from remapd.show.card_places import Grid
from remapd.show.card_text import CAUTION
from remapd.show.text_width import width, wrap

#: ISO 216 and ANSI/ASME Y14.1: millimetres, upright.
PAPERS: Final = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
#: Printers leave this much white at the edges.
MARGIN: Final = 10.0
_LARGEST: Final = 20.0
_SMALLEST: Final = 2.6
_STEP: Final = 0.25
#: Below this a layer gets a page of its own, if that makes it larger.
_CROWDED: Final = 8.5
#: Below this even a page of its own is divided.
_TOO_SMALL: Final = 4.0
#: Rows grow at most by this to fill a page; more would tear apart what belongs together.
_MOST_STRETCH: Final = 1.3
#: The size of what is read from near.
_NEAR: Final = 3.7
#: One column of layers more, or a place left empty, has to be worth so much.
_ORDERLY: Final = 0.05


@dataclass(frozen=True, slots=True)
class Page:
    """One drawn page, in millimetres."""

    width: float
    height: float
    marks: Block
    panels: tuple[Panel, ...]
    size: float  #: of the main words

    @property
    def is_landscape(self) -> bool:
        """Whether it lies on its long side."""
        return self.width > self.height


@dataclass(frozen=True, slots=True)
class _Part:
    """A layer, or a part of it, to stand on a page."""

    panel: Panel
    grid: Grid
    part: str = ""


@dataclass(frozen=True, slots=True)
class _Plan:
    """Layers on one page in so many columns, with the largest words that fit."""

    parts: tuple[_Part, ...]
    landscape: bool
    columns: int
    size: float


def pages_of(card: Card, paper: str = "a4") -> list[Page]:
    """The pages: one where that can be read from a chair, else one a layer."""
    parts = tuple(_Part(panel, card.grid) for panel in card.panels)
    single = _best(card, parts, paper)
    plans = [single]
    if single.size < _CROWDED and len(parts) > 1:
        apart = _apart(card, parts, paper)
        if min(plan.size for plan in apart) >= 1.15 * single.size:
            plans = apart
    if any(plan.size < _TOO_SMALL for plan in plans):
        divided = [piece for part in parts for piece in _divided(card, part, paper)]
        plans = _apart(card, divided, paper)
    return [_page(card, plan, paper, number, len(plans)) for number, plan in enumerate(plans, 1)]


def _apart(card: Card, parts: Sequence[_Part], paper: str) -> list[_Plan]:
    """A page for each, all of them the same way up."""
    ways = [
        [_best(card, (part,), paper, (landscape,)) for part in parts] for landscape in (True, False)
    ]
    best = max(ways, key=lambda plans: min(plan.size for plan in plans))
    least = min(plan.size for plan in best)
    # The same control looks alike on each page, unless there is far more room.
    return [replace(plan, size=min(plan.size, 1.25 * least)) for plan in best]


def _divided(card: Card, part: _Part, paper: str) -> Iterator[_Part]:
    """A layer in as many pieces as make its words large enough."""
    rows = part.grid.rows
    for count in range(1, len(rows) + 1):
        each = -(-len(rows) // count)
        pieces = [rows[at : at + each] for at in range(0, len(rows), each)]
        parts = [
            _Part(
                part.panel,
                Grid(part.grid.columns, piece),
                f" {number}/{len(pieces)}" if len(pieces) > 1 else "",
            )
            for number, piece in enumerate(pieces, 1)
        ]
        if count == len(rows) or all(
            _best(card, (each_part,), paper).size >= _TOO_SMALL for each_part in parts
        ):
            yield from parts
            return
    yield part


def _best(
    card: Card,
    parts: tuple[_Part, ...],
    paper: str,
    ways: Sequence[bool] = (True, False),
) -> _Plan:
    """The way up and the number of columns that give the largest words."""
    plans = [
        _Plan(parts, landscape, columns, _largest(card, parts, paper, landscape, columns))
        for landscape in ways
        for columns in range(1, min(len(parts), 4) + 1)
    ]
    return max(plans, key=_worth)


def _worth(plan: _Plan) -> float:
    """The size of the words, less what disorder costs."""
    empty = -len(plan.parts) % plan.columns
    return plan.size * (1.0 - _ORDERLY * (plan.columns - 1 + 2 * empty))


def _largest(
    card: Card, parts: tuple[_Part, ...], paper: str, landscape: bool, columns: int
) -> float:
    page_width, page_height = _paper(paper, landscape)
    frame = _Frame(card, page_width, page_height)
    steps = int((_LARGEST - _SMALLEST) / _STEP)
    low, high = 0, steps  # in steps; low fits always, as far as it can
    while low < high:
        middle = (low + high + 1) // 2
        if _fits(card, parts, frame, columns, _SMALLEST + middle * _STEP):
            low = middle
        else:
            high = middle - 1
    return _SMALLEST + low * _STEP


def _fits(card: Card, parts: tuple[_Part, ...], frame: _Frame, columns: int, size: float) -> bool:
    rows = _rows(card, parts, frame, columns, size)
    needed = sum(_row_height(row) for row in rows)
    needed += _between(size) * (len(rows) - 1)
    cramped = any(each.is_cramped for row in rows for each in row)
    return needed <= frame.room and not (cramped and size > _TOO_SMALL)


def _rows(
    card: Card, parts: tuple[_Part, ...], frame: _Frame, columns: int, size: float
) -> list[list[PanelBlock]]:
    room = (frame.width - _between(size) * (columns - 1)) / columns
    blocks = [panel_block(card, each.panel, each.grid, room, size, each.part) for each in parts]
    return [blocks[at : at + columns] for at in range(0, len(blocks), columns)]


def _row_height(row: Sequence[PanelBlock]) -> float:
    """That of layers beside each other, whose grids begin at one height."""
    head = max(each.head.height for each in row)
    return head + max(each.height - each.head.height for each in row)


def _between(size: float) -> float:
    """Between two layers."""
    return 3.0 + 0.35 * size


def _paper(paper: str, landscape: bool) -> tuple[float, float]:
    short, long = PAPERS[paper]
    return (long, short) if landscape else (short, long)


class _Frame:
    """What stands above and below the layers, and the room that is left for them."""

    def __init__(self, card: Card, page_width: float, page_height: float) -> None:
        self.width = page_width - 2 * MARGIN
        self.title = _title(card, self.width)
        self.foot = _foot(card, self.width)
        self.top = MARGIN + self.title.height + 4.0
        self.foot_top = page_height - MARGIN - self.foot.height
        self.room = self.foot_top - 4.0 - self.top


def _page(card: Card, plan: _Plan, paper: str, number: int, count: int) -> Page:
    page_width, page_height = _paper(paper, plan.landscape)
    frame = _Frame(card, page_width, page_height)
    page = Block(page_width, page_height)
    page.put(frame.title, MARGIN, MARGIN)
    page.put(frame.foot, MARGIN, frame.foot_top)
    if count > 1:
        label = f"{number} of {count}"
        right = page_width - MARGIN
        page.marks.append(Text(right, MARGIN + 4.0, label, 4.0, ink=GREY, anchor="end"))
    rows = _rows(card, plan.parts, frame, plan.columns, plan.size)
    between = _between(plan.size)
    spare = frame.room - between * (len(rows) - 1) - sum(map(_row_height, rows))
    y = frame.top
    for row in rows:
        head = max(each.head.height for each in row)
        most = max(each.height_at(_MOST_STRETCH) for each in row)
        height = head + min(_row_height(row) - head + max(0.0, spare) / len(rows), most)
        x = MARGIN
        for each in row:
            page.put(each.block(height, head), x, y)
            x += each.width + between
        y += height + between
    panels = tuple(each.panel for each in plan.parts)
    return Page(page_width, page_height, page, panels, plan.size)


def _title(card: Card, room: float) -> Block:
    """The title, large, and the notes, small."""
    block = Block(room)
    size = 9.0
    while size > 5.5 and len(wrap(card.title, size, room - 22.0, bold=True).lines) > 1:
        size -= 0.5
    block.put_below(paragraph(card.title, size, room - 22.0, bold=True, most_lines=2))
    block.height = max(block.height, 6.0)  # the page's number stands beside the title
    if card.notes:
        block.put_below(paragraph(card.notes, 3.9, room, ink=GREY, most_lines=2), gap=0.8)
    return block


def _foot(card: Card, room: float) -> Block:
    """The way to pause at the left, the pad at the right, and what the signs mean below."""
    block = Block(room)
    block.marks.append(Box(0.0, 0.0, room, 0.3, BLACK))
    block.height = 2.6
    pad = pad_block(card.pad, 0.56 * room)
    gap = 8.0 if pad.height else 0.0
    told = _pause_words(card, room - pad.width - gap)
    block.put(told, 0.0, block.height)
    block.put(pad, room - pad.width, block.height)
    block.height += max(told.height, pad.height)
    block.put_below(_legend(card, room), gap=2.0)
    return block


def _pause_words(card: Card, room: float) -> Block:
    block = Block(room)
    block.put_below(paragraph("To pause", 5.6, room, bold=True))
    for text in card.pauses:
        label, _, rest = text.partition(": ")
        block.put_below(labelled(f"{label}:", rest, _NEAR, room), gap=0.8)
    block.put_below(paragraph(CAUTION, _NEAR, room, bold=True), gap=1.4)
    for count, (person, held) in enumerate(card.people):
        block.put_below(
            labelled(f"{person.capitalize()}:", ", ".join(held), _NEAR, room),
            gap=0.3 if count else 1.6,
        )
    for rule in card.rules:
        label, _, rest = rule.partition(": ")
        block.put_below(labelled(f"{label}:", rest, _NEAR, room), gap=0.3)
    return block


def _legend(card: Card, room: float) -> Block:
    """What the signs mean, as far as they stand on the card."""
    size = 3.2
    block = Block(room, 1.3 * size)
    x = 0.0
    if len(card.panels) > 1:
        sample = width("word", size, bold=True) + 1.6
        block.marks.append(Box(x, 0.0, sample, 1.3 * size, BLACK))
        block.marks.append(Text(x + 0.8, 0.95 * size, "word", size, True, WHITE))
        x += sample + 1.2
        text = "another layer"
        block.marks.append(Text(x, 0.95 * size, text, size, ink=GREY))
        x += width(text, size) + 6.0
        block.marks.append(Box(x, 0.1, 8.0, 1.2 * size, "none", 0.25, "0.9 0.9"))
        x += 9.2
        text = "passed through from the layer below"
        block.marks.append(Text(x, 0.95 * size, text, size, ink=GREY))
        x += width(text, size) + 6.0
    if card.is_for_two:
        block.marks.append(Box(x, 0.0, 8.0, 1.3 * size, "none", 0.4))
        block.marks.append(Box(x + 0.7, 0.7, 6.6, 1.3 * size - 1.4, "none", 0.25))
        x += 9.2
        text = "held by the helper"
        block.marks.append(Text(x, 0.95 * size, text, size, ink=GREY))
    return block
