"""One control of one layer as a box: its name, and in large words what it does.

All sizes follow from one, `size`: that of the words that are read from a chair.
"""

from __future__ import annotations

from dataclasses import dataclass

from remapd.show.card_marks import BLACK, GREY, WHITE, Arrow, Block, Box, Text, paragraph
from remapd.show.card_model import Card, Cell, CellLine, person_name
from remapd.show.card_words import Line
from remapd.show.text_width import CAPITAL, LINE, width, wrap

#: What is passed through from below is smaller by this than what the layer itself says.
PASSED = 0.7
_ITEM = 0.82


def small(size: float) -> float:
    """The size of what is read from near: millimetres of the font, 9 points at the least."""
    return min(max(0.36 * size, 3.2), 4.8)


def name_size(size: float) -> float:
    """The size of a control's name."""
    return min(max(0.52 * size, 3.4), 7.5)


def padding(size: float) -> float:
    """Between a cell's frame and what stands in it."""
    return 0.9 + 0.16 * size


@dataclass(frozen=True, slots=True)
class CellBlock:
    """A cell that has been measured: its name above, what it does below."""

    cell: Cell
    width: float
    head: Block
    body: Block
    pad: float
    gap: float

    @property
    def height(self) -> float:
        """The least height that it needs."""
        return 2 * self.pad + self.head.height + self.gap + self.body.height

    def block(self, height: float) -> Block:
        """The cell in a frame of this height, what it does in the middle of the room left."""
        passed = self.cell.is_passed_through
        is_helpers = self.cell.person != 0
        frame = Block(self.width, height, is_cramped=self.head.is_cramped or self.body.is_cramped)
        stroke = 0.25 if passed else 0.55
        frame.marks.append(
            Box(0.0, 0.0, self.width, height, WHITE, stroke, "0.9 0.9" if passed else None)
        )
        if is_helpers:
            inset = 0.9
            frame.marks.append(
                Box(inset, inset, self.width - 2 * inset, height - 2 * inset, "none", 0.25)
            )
        frame.put(self.head, self.pad, self.pad)
        top = self.pad + self.head.height + self.gap
        room = height - top - self.pad
        frame.put(self.body, self.pad, top + max(0.0, (room - self.body.height) * 0.2))
        return frame


def cell_block(card: Card, cell: Cell, room: float, size: float) -> CellBlock:
    """A cell of this width."""
    pad = padding(size)
    inner = room - 2 * pad
    return CellBlock(
        cell,
        room,
        _head(card, cell, inner, size),
        _body(card, cell, inner, size),
        pad,
        gap=0.12 * size,
    )


def _head(card: Card, cell: Cell, room: float, size: float) -> Block:
    """The control's name, and who holds it where two play."""
    letters = name_size(size)
    tag_room = 0.0
    block = Block(room)
    if card.is_for_two and cell.person:
        label = person_name(cell.person)
        tag_size = 0.72 * letters
        tag_width = width(label, tag_size) + 1.2 * tag_size
        if tag_width < 0.6 * room:
            tag_room = tag_width + 1.0
            x = room - tag_width
            block.marks.append(Box(x, 0.0, tag_width, 1.35 * tag_size, WHITE, 0.25))
            block.marks.append(Text(x + 0.6 * tag_size, 1.0 * tag_size, label, tag_size))
    name = paragraph(cell.name, letters, room - tag_room, ink=GREY)
    block.put(name, 0.0, 0.0)
    block.height = name.height
    return block


def _body(card: Card, cell: Cell, room: float, size: float) -> Block:
    block = Block(room)
    if not cell.lines:
        return _words("nothing", room, PASSED * size, bold=False, ink=GREY)
    passed_from = {each.from_layer for each in cell.lines}
    whole_from = next(iter(passed_from)) if len(passed_from) == 1 else None
    inline = _fits_inline(cell, room, size)
    for count, each in enumerate(cell.lines):
        note = None if whole_from is not None else each.from_layer
        line = _line_block(card, each, room, size, inline=inline, note=note)
        block.put_below(line, gap=0.22 * size if count else 0.0)
    if whole_from is not None:
        as_in = paragraph(f"as in {card.layer_name(whole_from)}", small(size), room, ink=GREY)
        block.put_below(as_in, gap=0.15 * size)
    return block


def _main(each: CellLine, size: float) -> tuple[float, bool]:
    """The size and weight of a line's main words."""
    if each.from_layer is not None or each.line.does_nothing:
        return PASSED * size, False
    return size, True


def _fits_inline(cell: Cell, room: float, size: float) -> float:
    """How far to the right the main words begin if `when` stands before them; 0: it does not."""
    whens = [each for each in cell.lines if each.line.when and each.line.way is None]
    if len(whens) < len(cell.lines) or any(each.line.layer is not None for each in whens):
        return 0.0
    if not whens:
        return 0.0
    indent = max(width(each.line.when, 0.5 * _main(each, size)[0]) for each in whens) + 0.4 * size
    for each in whens:
        letters, bold = _main(each, size)
        needed = width(each.line.what, letters, bold=bold)
        if indent + needed > room or each.line.items:
            return 0.0
    return indent


def _line_block(
    card: Card, each: CellLine, room: float, size: float, *, inline: float, note: int | None
) -> Block:
    line = each.line
    letters, bold = _main(each, size)
    block = Block(room)
    indent = 0.0
    if line.way is not None:
        arrow = 0.62 * letters
        block.marks.append(Arrow(0.0, letters * (CAPITAL + 0.12) - arrow, arrow, line.way))
        indent = 0.95 * letters
    when = _when_left(line)
    if when and inline:
        baseline = letters * (CAPITAL + 0.12)
        block.marks.append(Text(0.0, baseline, when, 0.5 * letters))
        indent = inline
    elif when:
        over = paragraph(when, max(0.42 * letters, small(size)), room)
        block.put_below(over)
    if line.items:
        block.put_below(_items(line, room, size))
    else:
        block.put_below(_indented(_what(line, room - indent, letters, bold), indent))
    pad = "" if line.items else _pad_below(line, room - indent, letters, size)
    details = [part for part in (pad, line.detail) if part]
    if note is not None:
        details.append(f"as in {card.layer_name(note)}")
    if details:
        below = paragraph(", ".join(details), small(size), room - indent, ink=GREY)
        block.put_below(_indented(below, indent))
    return block


def _when_left(line: Line) -> str:
    """What is left to say of when, where an arrow says the direction."""
    if line.way is None:
        return line.when
    return line.when.partition(", ")[2]


def _indented(block: Block, indent: float) -> Block:
    moved = Block(block.width + indent, block.height)
    moved.put(block, indent, 0.0)
    return moved


def _words(text: str, room: float, letters: float, *, bold: bool, ink: str = BLACK) -> Block:
    """Main words in lines."""
    return paragraph(text, letters, room, bold=bold, ink=ink, leading=1.08)


def _what(line: Line, room: float, letters: float, bold: bool) -> Block:
    """The main words, white on black where they are a layer, with the pad's own word behind."""
    if line.layer is not None:
        return layer_tag(line.what, room, letters, bold=bold, is_faint=not bold)
    block = _words(line.what, room, letters, bold=bold, ink=GREY if line.does_nothing else BLACK)
    if line.pad and not _pad_below(line, room, letters, letters):
        first = block.marks[-1]
        if isinstance(first, Text):
            near = small(letters)
            block.marks.append(Text(first.right + 0.3 * letters, first.y, line.pad, near, ink=GREY))
    return block


def _pad_below(line: Line, room: float, letters: float, size: float) -> str:
    """The pad's own word where it has no room behind the main words."""
    if not line.pad:
        return ""
    last = wrap(line.what, letters, room, bold=True).lines[-1]
    near = small(size)
    used = width(last, letters, bold=True) + 0.3 * letters + width(line.pad, near)
    return line.pad if used > room or line.layer is not None else ""


def layer_tag(
    name: str, room: float, letters: float, *, bold: bool = True, is_faint: bool = False
) -> Block:
    """A layer's name, white on black; in a mere frame where it is passed through from below."""
    side = 0.28 * letters
    lines = wrap(name, letters, room - 2 * side, bold=bold)
    block = Block(room, is_cramped=lines.broken)
    height = letters * (1.08 * len(lines.lines) + 0.14)
    widest = max(width(each, letters, bold=bold) for each in lines.lines)
    box_width = min(room, widest + 2 * side)
    stroke = 0.4 if is_faint else 0.0
    block.marks.append(
        Box(
            stroke / 2,
            stroke / 2,
            box_width - stroke,
            height - stroke,
            WHITE if is_faint else BLACK,
            stroke,
        )
    )
    for count, text in enumerate(lines.lines):
        baseline = letters * (CAPITAL + 0.22 + 1.08 * count)
        block.marks.append(Text(side, baseline, text, letters, bold, BLACK if is_faint else WHITE))
    block.height = height + 0.06 * letters
    return block


def _items(line: Line, room: float, size: float) -> Block:
    """What is offered, one below the other, with numbers."""
    block = Block(room)
    letters = _ITEM * size
    number_room = width(f"{len(line.items)}", 0.62 * letters) + 0.45 * letters
    for count, item in enumerate(line.items, 1):
        row = Block(room)
        baseline = letters * (CAPITAL + (0.22 if item.layer is not None else 0.12))
        row.marks.append(
            Text(number_room - 0.45 * letters, baseline, f"{count}", 0.62 * letters, anchor="end")
        )
        inner = room - number_room
        what = item.what if not item.when else f"{item.when}: {item.what}"
        shown = Line(what, pad=item.pad, layer=item.layer)
        row.put_below(_indented(_what(shown, inner, letters, True), number_room))
        pad = _pad_below(shown, inner, letters, letters)
        details = [part for part in (pad, item.detail) if part]
        if details:
            below = paragraph(", ".join(details), small(size), inner, ink=GREY)
            row.put_below(_indented(below, number_room))
        block.put_below(row, gap=0.14 * size if count > 1 else 0.0)
    block.height += 0.1 * LINE * size
    return block
