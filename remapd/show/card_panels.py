"""One layer of a card: its name, how to come there and away, and its controls where they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from remapd.show.card_cells import CellBlock, cell_block, layer_tag, name_size, padding
from remapd.show.card_marks import BLACK, GREY, Block, Box, Text, labelled, paragraph
from remapd.show.card_model import Card, Panel, WholeDevice, person_name
from remapd.show.card_places import Grid
from remapd.show.text_width import width

#: The way to a layer and the way back stand beside each other where there is so much room.
_ROOM_FOR_TWO = 150.0
_GAP = 8.0


@dataclass(frozen=True, slots=True)
class Row:
    """Cells beside each other, each with its left edge."""

    cells: tuple[tuple[float, CellBlock], ...]

    @property
    def height(self) -> float:
        """That of the highest cell."""
        return max(cell.height for _, cell in self.cells)


@dataclass(frozen=True, slots=True)
class PanelBlock:
    """A layer that has been measured."""

    width: float
    head: Block
    rows: tuple[Row, ...]
    foot: Block
    gutter: float

    @property
    def height(self) -> float:
        """The least height that it needs."""
        return self._fixed + self._least

    @property
    def _fixed(self) -> float:
        feet = self.foot.height + self.gutter if self.foot.height else 0.0
        return self.head.height + self.gutter * max(len(self.rows) - 1, 0) + feet

    @property
    def is_cramped(self) -> bool:
        """Whether a word had to be broken somewhere."""
        cells = (cell for row in self.rows for _, cell in row.cells)
        return self.head.is_cramped or any(
            cell.head.is_cramped or cell.body.is_cramped for cell in cells
        )

    def height_at(self, stretch: float) -> float:
        """The height without the head when the rows are so much higher than they need."""
        return self.height - self.head.height + (stretch - 1.0) * self._least

    @property
    def _least(self) -> float:
        return sum(row.height for row in self.rows)

    def block(self, height: float, head: float) -> Block:
        """The layer in this height, its rows stretched to fill it.

        `head` is how high the head of the highest layer beside it is.
        """
        fixed = self._fixed - self.head.height + head
        stretch = (height - fixed) / self._least if self._least else 1.0
        block = Block(self.width)
        block.put_below(self.head)
        block.height = head
        for count, row in enumerate(self.rows):
            top = block.height + (self.gutter if count else 0.0)
            row_height = row.height * max(1.0, stretch)
            for left, cell in row.cells:
                block.put(cell.block(row_height), left, top)
            block.height = top + row_height
        if self.foot.height:
            block.put_below(self.foot, gap=self.gutter)
        return block


def panel_block(
    card: Card,
    panel: Panel,
    grid: Grid,
    room: float,
    size: float,
    part: str = "",
    *,
    is_last: bool = True,
) -> PanelBlock:
    """A layer in this width; `part` says which part of it this is, where it is divided.

    Chords and gamepads told in a few words stand on the last part.
    """
    gutter = 1.2 + 0.1 * size
    rows = []
    for row in grid.rows:
        cells = []
        for column, control in row:
            left, share = grid.columns[column]
            x = left * (room + gutter)
            cell_width = share * (room + gutter) - gutter
            cells.append((x, cell_block(card, panel.cells[control], cell_width, size)))
        rows.append(Row(tuple(cells)))
    rows += [
        Row(((0.0, cell_block(card, chord, room, size)),)) for chord in panel.chords if is_last
    ]
    return PanelBlock(
        room,
        _head(panel, room, size, part),
        tuple(rows),
        _foot(card, panel, room, size) if is_last else Block(room),
        gutter,
    )


def _head(panel: Panel, room: float, size: float, part: str) -> Block:
    """The layer's name as a tab on a thick line, with the way there and back below it."""
    letters = min(max(0.92 * size, 5.0), 13.0)
    tab = layer_tag(panel.name + part, room, letters)
    block = Block(room, is_cramped=tab.is_cramped)
    block.put_below(tab)
    block.height -= 0.06 * letters
    block.marks.append(Box(0.0, block.height - 0.8, room, 0.8, BLACK))
    told = _order_words(panel, min(max(0.42 * size, 3.2), 5.0), room)
    if told.height:
        block.put_below(told, gap=1.3)
    block.height += 0.3 * size
    return block


def _order_words(panel: Panel, near: float, room: float) -> Block:
    """How to come there and what is heard; how to get away, beside it where there is room."""
    order = panel.order
    there = [("Get there: " if order.number else "", order.get_there)]
    if panel.hears:
        there.append(("You hear: ", f"“{panel.hears}”"))
    back = [("Back: ", order.get_away)]
    if room < _ROOM_FOR_TWO or not order.get_away:
        return _paragraphs(there + back, near, room)
    half = (room - _GAP) / 2
    first, second = _paragraphs(there, near, half), _paragraphs(back, near, half)
    block = Block(room, max(first.height, second.height))
    block.put(first, 0.0, 0.0)
    block.put(second, half + _GAP, 0.0)
    return block


def _paragraphs(texts: Sequence[tuple[str, str]], near: float, room: float) -> Block:
    block = Block(room)
    for label, text in texts:
        if text:
            block.put_below(_hung(label, text, near, room))
    return block


def _hung(label: str, text: str, near: float, room: float) -> Block:
    """A text with a heavier word before it, as one paragraph."""
    indent = width(label, near, bold=True)
    block = Block(room)
    if label:
        block.marks.append(Text(0.0, near * 0.85, label.rstrip(), near, bold=True))
    told = paragraph(text, near, room - indent)
    block.put(told, indent, 0.0)
    block.height = told.height
    return block


def _foot(card: Card, panel: Panel, room: float, size: float) -> Block:
    """Gamepads that are told in a few words, dashed where they are wholly passed through."""
    block = Block(room)
    base = card.layer_name(0) if panel.order.number else ""
    for device in panel.devices:
        is_passed = bool(base) and not device.others
        drawn = _device(card, device, base, room, size, is_passed=is_passed)
        block.put_below(drawn, gap=1.5 if block.height else 0.0)
    return block


def _device(
    card: Card, device: WholeDevice, base: str, room: float, size: float, *, is_passed: bool
) -> Block:
    pad = padding(size)
    letters = min(max(0.42 * size, 3.4), 5.2)
    inner = Block(room - 2 * pad)
    holder = f" ({person_name(device.person)})" if card.is_for_two else ""
    name, words = f"{device.name}{holder}", device.in_words(base)
    if is_passed:
        inner.put_below(labelled(f"{name}:", words, letters, inner.width))
    else:
        inner.put_below(paragraph(name, name_size(size), inner.width, ink=GREY))
        told = [paragraph(words, letters, inner.width)]
        others = [paragraph(each, letters, inner.width, bold=True) for each in device.others]
        for each in [*others, *told] if base else [*told, *others]:
            inner.put_below(each, gap=0.1 * size)
    framed = Block(room, inner.height + 2 * pad)
    stroke, dashes = (0.25, "0.9 0.9") if is_passed else (0.55, None)
    framed.marks.append(Box(0.0, 0.0, room, framed.height, "none", stroke, dashes))
    if device.person:
        framed.marks.append(Box(0.9, 0.9, room - 1.8, framed.height - 1.8, "none", 0.25))
    framed.put(inner, pad, pad)
    return framed
