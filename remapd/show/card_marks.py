"""What a card is drawn with: texts, boxes and arrowheads, in millimetres, y down.

Everything is data until the end, so that it can be measured before it is drawn.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final

from remapd.show.markup import Markup, plain, tag
from remapd.show.text_width import CAPITAL, LINE, runs_from_right, shortened, width, wrap

BLACK: Final = "#000000"
#: 7:1 on white, so that it counts for small text too (WCAG 2.2, 1.4.6).
GREY: Final = "#555555"
WHITE: Final = "#ffffff"


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; `y` is its baseline, `x` its left, middle or right, as `anchor` says."""

    x: float
    y: float
    text: str
    size: float
    bold: bool = False
    ink: str = BLACK
    anchor: str = "start"

    @property
    def left(self) -> float:
        """Its left edge, on the careful side."""
        share = {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor]
        return self.x - share * width(self.text, self.size, bold=self.bold)

    @property
    def right(self) -> float:
        """Its right edge, on the careful side."""
        return self.left + width(self.text, self.size, bold=self.bold)


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle."""

    x: float
    y: float
    width: float
    height: float
    fill: str = "none"
    stroke: float = 0.0  #: width of its line, 0 for none
    dashes: str | None = None


@dataclass(frozen=True, slots=True)
class Arrow:
    """A filled arrowhead that points up, down, left or right (0 to 3) within a square."""

    x: float
    y: float
    size: float
    way: int
    ink: str = BLACK


Mark = Text | Box | Arrow


@dataclass(slots=True)
class Block:
    """Marks with the room that they take, from (0, 0)."""

    width: float
    height: float = 0.0
    marks: list[Mark] = field(default_factory=list)
    #: Whether a word had to be broken for want of room.
    is_cramped: bool = False

    def put(self, block: Block, x: float, y: float) -> None:
        """Another block at a place in this one."""
        self.marks += [moved(mark, x, y) for mark in block.marks]
        self.is_cramped = self.is_cramped or block.is_cramped

    def put_below(self, block: Block, gap: float = 0.0) -> None:
        """Another block under what is there."""
        self.put(block, 0.0, self.height + gap)
        self.height += gap + block.height


def moved(mark: Mark, x: float, y: float) -> Mark:
    """The mark at another place."""
    left, top = mark.x + x, mark.y + y
    match mark:  # by hand: `replace` takes four times as long, and a card is measured many times
        case Text():
            return Text(left, top, mark.text, mark.size, mark.bold, mark.ink, mark.anchor)
        case Box():
            return Box(left, top, mark.width, mark.height, mark.fill, mark.stroke, mark.dashes)
        case Arrow():
            return Arrow(left, top, mark.size, mark.way, mark.ink)


def paragraph(
    text: str,
    size: float,
    room: float,
    *,
    bold: bool = False,
    ink: str = BLACK,
    most_lines: int = 0,
    leading: float = LINE,
) -> Block:
    """A text in as many lines as it needs; one that runs from the right stands at the right."""
    wrapped = wrap(text, size, room, bold=bold)
    lines = wrapped.lines
    if most_lines and len(lines) > most_lines:
        lines = shortened(text, size, room, most_lines, bold=bold)
    block = Block(room, is_cramped=wrapped.broken)
    from_right = runs_from_right(text)
    for count, line in enumerate(lines):
        baseline = size * (CAPITAL + 0.12 + leading * count)
        anchor, x = ("end", room) if from_right else ("start", 0.0)
        block.marks.append(Text(x, baseline, line, size, bold, ink, anchor))
    block.height = size * leading * len(lines) if text else 0.0
    return block


def labelled(label: str, text: str, size: float, room: float) -> Block:
    """A paragraph that begins with a heavier word, in the same line where that has room."""
    indent = width(f"{label} ", size, bold=True)
    if indent > 0.8 * room or runs_from_right(text):
        block = paragraph(label, size, room, bold=True)
        block.put_below(paragraph(text, size, room))
        return block
    words = text.split(" ")
    count = 0
    while count < len(words) and width(" ".join(words[: count + 1]), size) <= room - indent:
        count += 1
    baseline = size * (CAPITAL + 0.12)
    block = Block(room, size * LINE, [Text(0.0, baseline, label, size, bold=True)])
    if count:
        block.marks.append(Text(indent, baseline, " ".join(words[:count]), size))
    if words[count:]:
        block.put_below(paragraph(" ".join(words[count:]), size, room))
    return block


def drawn(marks: Iterable[Mark]) -> Iterable[Markup]:
    """The marks as SVG, boxes under what stands in them."""
    ordered = sorted(marks, key=lambda mark: not isinstance(mark, Box))
    for mark in ordered:
        match mark:
            case Box():
                yield _box(mark)
            case Arrow():
                yield _arrow(mark)
            case Text():
                yield _text(mark)


def _box(box: Box) -> Markup:
    return tag(
        "rect",
        x=box.x,
        y=box.y,
        width=max(box.width, 0.0),
        height=max(box.height, 0.0),
        fill=box.fill,
        stroke=BLACK if box.stroke else None,
        stroke_width=box.stroke or None,
        stroke_dasharray=box.dashes,
    )


def _arrow(arrow: Arrow) -> Markup:
    corners = {
        0: ((0.5, 0.1), (0.95, 0.85), (0.05, 0.85)),
        1: ((0.5, 0.9), (0.95, 0.15), (0.05, 0.15)),
        2: ((0.1, 0.5), (0.85, 0.05), (0.85, 0.95)),
        3: ((0.9, 0.5), (0.15, 0.05), (0.15, 0.95)),
    }[arrow.way]
    points = " ".join(
        f"{arrow.x + arrow.size * x:.2f},{arrow.y + arrow.size * y:.2f}" for x, y in corners
    )
    return tag("polygon", points=points, fill=arrow.ink)


def _text(text: Text) -> Markup:
    from_right = runs_from_right(text.text)
    # With direction rtl the "start" of a text is its right.
    anchor = {"start": "end", "end": "start"}.get(text.anchor, text.anchor)
    return tag(
        "text",
        plain(text.text),
        x=text.x,
        y=text.y,
        font_size=text.size,
        font_weight="bold" if text.bold else None,
        fill=None if text.ink == BLACK else text.ink,
        text_anchor=(anchor if from_right else text.anchor).replace("start", "") or None,
        direction="rtl" if from_right else None,
    )
