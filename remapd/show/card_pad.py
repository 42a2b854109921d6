"""The pad as the game sees it: a plain grid of its controls, by their places in the specification.

Controls that the layout does not use stand there too, faintly, where they make the places clear.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Final

from remapd.show.card_marks import BLACK, GREY, Block, Box, Text, paragraph
from remapd.show.card_model import PadControl
from remapd.show.card_words import spoken
from remapd.show.text_width import LINE, shortened, width, wrap

_WORD: Final = 3.5
_OWN: Final = 2.7
_ROW: Final = 8.2
_GAP: Final = 0.8
_LEAST: Final = 2.1
_NARROWEST: Final = 13.0
_WIDEST: Final = 26.0
#: (column, row) of the three parts of a pad: its left, the middle, its right.
_LEFT: Final[Mapping[str, tuple[int, int]]] = {
    "left-trigger": (1, 1),
    "left-shoulder": (1, 2),
    "dpad-up": (1, 3),
    "dpad-left": (0, 4),
    "dpad": (1, 4),
    "dpad-right": (2, 4),
    "dpad-down": (1, 5),
    "left-stick": (1, 6),
    "left-stick-press": (1, 7),
}
_MIDDLE: Final[Mapping[str, tuple[int, int]]] = {
    "select": (3, 2),
    "mode": (4, 2),
    "start": (5, 2),
}
_RIGHT: Final[Mapping[str, tuple[int, int]]] = {
    "right-trigger": (7, 1),
    "right-shoulder": (7, 2),
    "north": (7, 3),
    "west": (6, 4),
    "east": (8, 4),
    "south": (7, 5),
    "right-stick": (7, 6),
    "right-stick-press": (7, 7),
}
_PLACES: Final = {**_LEFT, **_MIDDLE, **_RIGHT}
#: Where one of these is used, the others are shown too.
_COMPANIONS: Final = (
    ("south", "east", "west", "north"),
    ("dpad-up", "dpad-down", "dpad-left", "dpad-right"),
    ("left-trigger", "right-trigger"),
    ("left-shoulder", "right-shoulder"),
    ("select", "start"),
)


def pad_block(controls: Sequence[PadControl], room: float) -> Block:
    """The grid, in no more than `room`; columns and rows in which nothing stands are left out.

    There is none where the game's own words are not known: it would say nothing new.
    """
    used = {control.name: control for control in controls}
    if all(control.word == control.own for control in controls):
        return Block(0.0)
    shown = set(used)
    for companions in _COMPANIONS:
        if not shown.isdisjoint(companions):
            shown.update(companions)
    places = _places(shown)
    columns = sorted({column for column, _ in places.values()})
    rows = sorted({row for _, row in places.values()})
    wanted = max(
        max(width(each.word, _WORD, bold=True), width(each.own, _OWN)) + 2.0 for each in controls
    )
    most = (room + _GAP) / len(columns) - _GAP
    cell = min(max(wanted, _NARROWEST), _WIDEST, most)
    block = Block(len(columns) * (cell + _GAP) - _GAP)
    block.put_below(paragraph("The pad, as the game sees it", _WORD, block.width, bold=True))
    top = block.height + 1.0
    for name, (column, row) in sorted(places.items(), key=lambda item: item[1]):
        x = columns.index(column) * (cell + _GAP)
        y = top + rows.index(row) * (_ROW + _GAP)
        drawn = _control(used[name], cell) if name in used else _unused(spoken(name), cell)
        block.put(drawn, x, y)
    block.height = top + len(rows) * (_ROW + _GAP) - _GAP
    return block


def _places(shown: Collection[str]) -> dict[str, tuple[int, int]]:
    """Where each stands; where there is room above, things move up."""
    places = {name: _PLACES[name] for name in shown}
    if "left-shoulder" not in shown:
        places.update({name: (_MIDDLE[name][0], 1) for name in _MIDDLE if name in shown})
    if not any(name.startswith("dpad") for name in shown):
        for name, row in (("left-stick", 4), ("left-stick-press", 5)):
            if name in shown:
                places[name] = (_LEFT[name][0], row)
    return places


def _control(control: PadControl, room: float) -> Block:
    block = _framed(room, 0.4)
    if control.word == control.own:
        block.put(_centred(control.own, _WORD, room, _ROW, bold=True), 0.0, 0.0)
        return block
    word = _centred(control.word, _WORD, room, 0.54 * _ROW, bold=True)
    block.put(word, 0.0, 0.3)
    block.put(_centred(control.own, _OWN, room, 0.44 * _ROW, ink=GREY), 0.0, 0.53 * _ROW)
    return block


def _unused(name: str, room: float) -> Block:
    block = _framed(room, 0.1)
    block.put(_centred(name, _OWN, room, _ROW, ink=GREY), 0.0, 0.0)
    return block


def _framed(room: float, stroke: float) -> Block:
    return Block(room, _ROW, [Box(0.0, 0.0, room, _ROW, "none", stroke)])


def _centred(
    text: str, size: float, room: float, height: float, *, bold: bool = False, ink: str = BLACK
) -> Block:
    """A text in the middle of a room: smaller, in two lines, or cut, where it would not fit."""
    inner = room - 1.2
    while size > _LEAST and not _has_room(text, size, inner, height, bold=bold):
        size -= 0.1
    most = max(1, int(height / (LINE * size)))
    lines = shortened(text, size, inner, most, bold=bold)
    block = Block(room, height)
    top = (height - LINE * size * len(lines)) / 2
    for count, line in enumerate(lines):
        baseline = top + size * (LINE * count + 0.92)
        block.marks.append(Text(room / 2, baseline, line, size, bold, ink, "middle"))
    return block


def _has_room(text: str, size: float, room: float, height: float, *, bold: bool) -> bool:
    wrapped = wrap(text, size, room, bold=bold)
    return not wrapped.broken and len(wrapped.lines) * LINE * size <= height
