"""The pad as the game sees it: a plain grid of its controls, by their places in the specification.

Controls that the layout does not use stand there too, faintly, where they make the places clear.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from remapd.show.card_marks import BLACK, GREY, Block, Box, Text, paragraph
from remapd.show.card_model import PadControl
from remapd.show.card_words import spoken
from remapd.show.text_width import LINE, shortened, width, wrap

#: Sizes in millimetres at the least scale: the game's word, and the pad control's own name, which
#: is as small print may be (9 points; common practice, no source). It is read from near.
_WORD: Final = 3.7
_OWN: Final = 3.2
#: Only words that even so have no room are smaller.
_LEAST: Final = 2.6
_GAP: Final = 0.8
#: What stands in the middle keeps so many columns from what stands at its sides.
_APART: Final = 0.15
_NARROWEST: Final = 13.0
#: From the least scale up, where there is room.
_SCALES: Final = tuple(1.0 + 0.05 * step for step in range(13))
#: Where one of these is used, the others are shown too.
_COMPANIONS: Final = (
    ("south", "east", "west", "north"),
    ("dpad-up", "dpad-down", "dpad-left", "dpad-right"),
    ("left-trigger", "right-trigger"),
    ("left-shoulder", "right-shoulder"),
    ("select", "start"),
)

Place = tuple[float, float]


def pad_block(controls: Sequence[PadControl], room: float, height: float = 0.0) -> Block:
    """The grid, in no more than `room`, and as large as can be in this height.

    Where its least size needs more, it takes more. Rows in which nothing stands are left out.
    There is no grid where the game's own words are not known: it would say nothing new.
    """
    if all(control.word == control.own for control in controls):
        return Block(0.0)
    used = {control.name: control for control in controls}
    shown = set(used)
    for companions in _COMPANIONS:
        if not shown.isdisjoint(companions):
            shown.update(companions)
    places = _places(shown)
    names = {name: used.get(name) or spoken(name) for name in sorted(shown)}
    block = _grid(places, names, room, _SCALES[0])
    for scale in _SCALES[1:]:
        larger = _grid(places, names, room, scale)
        if larger.is_cramped or larger.height > height:
            break
        block = larger
    return block


# ---------------------------------------------------------------- where they stand
def _places(shown: Collection[str]) -> Mapping[str, Place]:
    """Columns, of which halves are used, and rows, from 0, none of them empty."""
    has_dpad = any(name.startswith("dpad") for name in shown)
    left_is_wide = _is_wide(shown, "dpad-left", "left-stick")
    right_is_wide = _is_wide(shown, "west", "right-stick")
    left = 0.5 if left_is_wide else 0.0
    middle = 2.0 if "select" in shown else 1.0 if "mode" in shown else 0.0
    has_left = any(name.startswith(("left", "dpad")) for name in shown)
    first_middle = left + 1.0 + _APART if has_left else 0.0
    right = first_middle + (middle + _APART if middle else 0.0)
    if has_left:  # what stands to the left and right of both keeps clear of each other
        right = max(right, (2.25 if left_is_wide else 1.25) + (0.5 if right_is_wide else 0.0))
    elif right_is_wide:
        right = max(right, 0.5)
    middle_row = 1 if "left-shoulder" in shown else 0
    mode_row = middle_row if "select" not in shown else 0 if middle_row else 2
    places: dict[str, Place] = {
        "left-trigger": (left, 0),
        "left-shoulder": (left, 1),
        "right-trigger": (right, 0),
        "right-shoulder": (right, 1),
        "select": (first_middle, middle_row),
        "start": (first_middle + 1.0, middle_row),
        "mode": (first_middle + (0.5 if "select" in shown else 0.0), mode_row),
        **_cross("dpad-up", "dpad-left", "dpad-right", "dpad-down", left),
        "dpad": (left, 3),
        **_cross("north", "west", "east", "south", right),
        **_stick("left-stick", shown, left, 5 if has_dpad else 3),
        **_stick("right-stick", shown, right, 5),
    }
    rows = sorted({row for name, (_, row) in places.items() if name in shown})
    return {name: (x, rows.index(y)) for name, (x, y) in places.items() if name in shown}


def _is_wide(shown: Collection[str], side: str, stick: str) -> bool:
    """Whether two stand beside each other in this half."""
    return side in shown or {stick, f"{stick}-press"} <= set(shown)


def _cross(up: str, left: str, right: str, down: str, x: float) -> dict[str, Place]:
    return {up: (x, 2), left: (x - 0.5, 3), right: (x + 0.5, 3), down: (x, 4)}


def _stick(name: str, shown: Collection[str], x: float, row: int) -> dict[str, Place]:
    """A stick, and beside it its press."""
    aside = 0.5 if {name, f"{name}-press"} <= set(shown) else 0.0
    return {name: (x - aside, row), f"{name}-press": (x + aside, row)}


# ---------------------------------------------------------------- how they are drawn
@dataclass(frozen=True, slots=True)
class _Line:
    """Lines of a cell, all of one size."""

    lines: tuple[str, ...]
    size: float
    bold: bool
    ink: str
    is_cramped: bool

    @property
    def height(self) -> float:
        return LINE * self.size * len(self.lines)


def _grid(
    places: Mapping[str, Place], names: Mapping[str, PadControl | str], room: float, scale: float
) -> Block:
    columns = max(x for x, _ in places.values()) + 1.0
    most = (room + _GAP) / columns - _GAP
    cell = min(max(_wanted(names, scale), _NARROWEST), most)
    drawn = {name: _words(control, cell - 1.8, scale) for name, control in names.items()}
    tallest = max(sum(each.height for each in lines) for lines in drawn.values())
    row_height = tallest + 0.8
    block = Block(columns * (cell + _GAP) - _GAP)
    block.put_below(
        paragraph("The pad, as the game sees it", _WORD * scale, block.width, bold=True)
    )
    top = block.height + 1.0
    for name, (column, row) in sorted(places.items(), key=lambda item: item[1][::-1]):
        is_used = isinstance(names[name], PadControl)
        made = _cell(drawn[name], cell, row_height, 0.4 if is_used else 0.1)
        block.put(made, column * (cell + _GAP), top + row * (row_height + _GAP))
    rows = max(row for _, row in places.values()) + 1
    block.height = top + rows * (row_height + _GAP) - _GAP
    return block


def _wanted(names: Mapping[str, PadControl | str], scale: float) -> float:
    """The width in which every name has one line."""
    widths = []
    for control in names.values():
        if isinstance(control, PadControl):
            widths.append(width(control.word, _WORD * scale, bold=True))
        own = control if isinstance(control, str) else control.own
        widths.append(width(own, _OWN * scale))
    return max(widths) + 2.0


def _words(control: PadControl | str, room: float, scale: float) -> tuple[_Line, ...]:
    """The game's word, and below it the control's own name; only the name where both are one."""
    word, own = _WORD * scale, _OWN * scale
    if isinstance(control, str):
        return (_line(control, own, room, ink=GREY),)
    if control.word == control.own:
        return (_line(control.own, word, room, bold=True),)
    return _line(control.word, word, room, bold=True), _line(control.own, own, room, ink=GREY)


def _line(text: str, size: float, room: float, *, bold: bool = False, ink: str = BLACK) -> _Line:
    """A text in two lines at most: smaller, or cut, where it would not fit."""
    wished = size
    while size > _LEAST and not _has_room(text, size, room, bold=bold):
        size -= 0.1
    lines = shortened(text, size, room, 2, bold=bold)
    return _Line(lines, size, bold, ink, is_cramped=size < wished)


def _has_room(text: str, size: float, room: float, *, bold: bool) -> bool:
    wrapped = wrap(text, size, room, bold=bold)
    return not wrapped.broken and len(wrapped.lines) <= 2


def _cell(lines: Sequence[_Line], room: float, height: float, stroke: float) -> Block:
    """A frame with its words in the middle."""
    block = Block(
        room,
        height,
        [Box(0.0, 0.0, room, height, "none", stroke)],
        is_cramped=any(each.is_cramped for each in lines),
    )
    y = (height - sum(each.height for each in lines)) / 2
    for each in lines:
        for text in each.lines:
            baseline = y + 0.92 * each.size
            block.marks.append(
                Text(room / 2, baseline, text, each.size, each.bold, each.ink, "middle")
            )
            y += LINE * each.size
    return block
