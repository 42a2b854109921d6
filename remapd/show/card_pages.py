"""The pages of a card: paper, title, layers, and at the foot the way to pause and the pad."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from remapd.show.card_foot import foot
from remapd.show.card_marks import GREY, Block, Text, paragraph
from remapd.show.card_model import Card, Panel
from remapd.show.card_panels import PanelBlock, panel_block
from remapd.show.card_places import Grid
from remapd.show.text_width import runs_from_right, wrap

#: ISO 216 and ANSI/ASME Y14.1: millimetres, upright.
PAPERS: Final = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
#: Printers leave this much white at the edges.
MARGIN: Final = 10.0
_LARGEST: Final = 20.0
_SMALLEST: Final = 2.6
_STEP: Final = 0.25
#: Below this a layer gets a page of its own, if that makes it larger.
_CROWDED: Final = 8.5
#: Below this even a page of its own is divided: capitals of 5.5 mm, which stand under 9 minutes of
#: arc at 2 m, where the letters of the 20/20 line have 5 (common practice, no source).
FROM_A_CHAIR: Final = 7.5
#: A word may be broken rather than be smaller than this.
_TOO_SMALL: Final = 4.0
#: More pages than this for one layer are no help: then its words are smaller.
_MOST_PIECES: Final = 8
#: The width that the page's number takes beside the title.
_NUMBER: Final = 22.0
#: Rows grow at most by this to fill a page; more would tear apart what belongs together.
_MOST_STRETCH: Final = 1.7
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
    is_last: bool = True


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
    if single.size < _CROWDED:
        apart = _apart(card, parts, paper)
        if min(plan.size for plan in apart) >= 1.15 * single.size:
            plans = apart
    return [_page(card, plan, paper, number, len(plans)) for number, plan in enumerate(plans, 1)]


def _apart(card: Card, parts: Sequence[_Part], paper: str) -> list[_Plan]:
    """A page for each, or several where it is too crowded still, all of them the same way up."""
    best = max(
        (_apart_this_way(card, parts, paper, landscape) for landscape in (True, False)),
        key=lambda plans: (min(_least(plans), FROM_A_CHAIR), -len(plans), _least(plans)),
    )
    # The same control looks alike on each page, unless there is far more room.
    return [replace(plan, size=min(plan.size, 1.25 * _least(best))) for plan in best]


def _apart_this_way(
    card: Card, parts: Sequence[_Part], paper: str, landscape: bool
) -> Sequence[_Plan]:
    pieces = [piece for part in parts for piece in _divided(card, part, paper, landscape)]
    return [_best(card, (piece,), paper, (landscape,)) for piece in pieces]


def _least(plans: Sequence[_Plan]) -> float:
    return min(plan.size for plan in plans)


def _divided(card: Card, part: _Part, paper: str, landscape: bool) -> Sequence[_Part]:
    """A layer in as few pieces as make its words large enough; else in those that help most."""
    frame = _Frame(card, *_paper(paper, landscape))
    ways = [_pieces(part, across, along) for across, along in _ways_to_divide(part.grid)]
    for parts in ways:
        if all(_fits(card, (each,), frame, 1, FROM_A_CHAIR) for each in parts):
            return parts
    best: Sequence[_Part] = (part,)
    most = 0.0
    for parts in ways:
        size = _least([_best(card, (each,), paper, (landscape,)) for each in parts])
        if size > 1.15 * most:
            best, most = parts, size
    return best


def _ways_to_divide(grid: Grid) -> Sequence[tuple[int, int]]:
    """Into how many pieces beside and below each other, the fewest first."""
    ways = [
        (across, along)
        for across in range(1, len(grid.columns) + 1)
        for along in range(1, len(grid.rows) + 1)
        if across * along <= _MOST_PIECES
    ]
    return sorted(ways, key=lambda way: (way[0] * way[1], way[0]))


def _pieces(part: _Part, across: int, along: int) -> Sequence[_Part]:
    grids = part.grid.divided(across, along)
    count = len(grids)
    return [
        _Part(part.panel, grid, f" {number}/{count}" if count > 1 else "", is_last=number == count)
        for number, grid in enumerate(grids, 1)
    ]


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
    blocks = [
        panel_block(card, each.panel, each.grid, room, size, each.part, is_last=each.is_last)
        for each in parts
    ]
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
        self.foot = foot(card, self.width)
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
        from_right = runs_from_right(card.title)
        x, anchor = (MARGIN, "start") if from_right else (page_width - MARGIN, "end")
        page.marks.append(Text(x, MARGIN + 4.0, label, 4.0, ink=GREY, anchor=anchor))
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
    """The title, large, with room for the page's number beside it, and the notes, small."""
    block = Block(room)
    size, inner = 9.0, room - _NUMBER
    while size > 5.5 and len(wrap(card.title, size, inner, bold=True).lines) > 1:
        size -= 0.5
    title = paragraph(card.title, size, inner, bold=True, most_lines=2)
    block.put(title, _NUMBER if runs_from_right(card.title) else 0.0, 0.0)
    block.height = max(title.height, 6.0)  # the page's number stands beside it
    if card.notes:
        block.put_below(paragraph(card.notes, 3.9, room, ink=GREY, most_lines=2), gap=0.8)
    return block
