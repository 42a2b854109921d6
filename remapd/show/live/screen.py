"""The live picture in a terminal.

Every sign says what it means without a colour; colours only add to it. Nothing moves while nothing
happens, so that what changes is what catches the eye.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from remapd.show.demo_screen import Row
from remapd.show.live.picture import ControlShown, Picture
from remapd.show.live.readable import columns_of, cut, filled
from remapd.show.marks import Signs, Style

#: The smallest terminal that the picture fits in.
COLUMNS: Final = 80
ROWS: Final = 24

_WIDEST: Final = 140
_NAME: Final = 16
_PERSON: Final = 8
_TOLD_LEAST: Final = 2
_REFUSED_MOST: Final = 6

Rows = list[Row]


def live_rows(picture: Picture, columns: int, rows: int, signs: Signs) -> Rows:
    """The picture in so many columns and rows; never more of them."""
    return _LiveRows(picture, min(columns, _WIDEST), signs).in_rows(rows)


class _LiveRows:
    def __init__(self, picture: Picture, columns: int, signs: Signs) -> None:
        self._picture = picture
        self._columns = columns
        self._signs = signs

    def in_rows(self, rows: int) -> Rows:
        head = [self._head()]
        devices = [self._caption("devices"), *self._devices()]
        layers = [self._caption("layers, the newest on top"), *self._layers()]
        foot = [*self._layout(), self._legend()]
        fixed = len(head) + len(devices) + len(layers) + len(foot) + 2
        room = max(2, rows - fixed - _TOLD_LEAST)
        controls = self._controls(room)
        told = self._told(max(1, rows - fixed - len(controls)))
        picture = [
            *head,
            *devices,
            self._caption("what the hands do", "what the game sees"),
            *controls,
            *layers,
            self._caption("what became of the last presses"),
            *told,
            *foot,
        ]
        return picture[:rows]

    # ---------------------------------------------------------------- parts
    def _head(self) -> Row:
        picture = self._picture
        if picture.trouble:
            text = f" {self._signs.refused} {picture.trouble}"
            return [(cut(text, self._columns), Style.STRONG)]
        name = " remapd watch  "
        room = self._columns - len(name) - columns_of(picture.layout) - 2
        return [
            (name, Style.STRONG),
            (filled(picture.title, room), Style.PLAIN),
            (f" {picture.layout}", Style.FAINT),
        ]

    def _devices(self) -> Rows:
        devices = self._picture.devices
        if not devices:
            words = "given back while it is paused" if self._picture.trouble else "none"
            return [[(f"   {words}", Style.FAINT)]]
        width = max(_NAME, *(len(each.name) for each in devices[:4]))
        rows: Rows = []
        for each in devices[:4]:
            sign = self._signs.active if each.state == "here" else self._signs.refused
            style = Style.HANDS if each.state == "here" else Style.STRONG
            start = f"{filled(each.name, min(width, 24))} {filled(each.person, _PERSON)}"
            room = self._columns - 4 - columns_of(start)
            rows.append(
                [(f" {sign} ", style), (f"{start} ", Style.PLAIN), (cut(each.words, room), style)]
            )
        if devices[4:]:
            missing = sum(each.state != "here" for each in devices[4:])
            rows.append([(f"   and {len(devices) - 4} more, {missing} not here", Style.FAINT)])
        if self._picture.others:
            others = f"   plugged in and not used: {', '.join(self._picture.others)}"
            rows.append([(cut(others, self._columns), Style.FAINT)])
        return rows

    def _controls(self, room: int) -> Rows:
        """Hands on the left, the pad on the right."""
        half = self._columns // 2
        left = self._column(self._picture.hands, room, half - 1, Style.HANDS, "controls")
        right = self._column(
            self._picture.pad, room, self._columns - half, Style.GAME, "of the pad"
        )
        rows: Rows = []
        for number in range(max(len(left), len(right))):
            row = left[number] if number < len(left) else []
            used = sum(columns_of(text) for text, _ in row)
            gap: Row = [(" " * (half - used), Style.PLAIN)]
            rows.append([*row, *gap, *(right[number] if number < len(right) else [])])
        return rows

    def _column(
        self, controls: Sequence[ControlShown], room: int, width: int, style: Style, what: str
    ) -> Rows:
        shown = list(controls)
        if len(shown) > room:
            # Those used last stay in sight, each in its own order, so that rows seldom move.
            by_use = sorted(shown, key=lambda each: (each.is_lit, each.used_us), reverse=True)
            keep = {id(each) for each in by_use[: room - 1]}
            shown = [each for each in shown if id(each) in keep]
        rows = [self._control(each, width, style) for each in shown]
        if len(controls) > len(shown):
            rest = len(controls) - len(shown)
            rows.append([(f"   and {rest} more {what}, at rest", Style.FAINT)])
        return rows

    def _control(self, control: ControlShown, width: int, style: Style) -> Row:
        sign = self._signs.active if control.is_lit else " "
        value = self._value(control)
        room = width - 4 - 8
        name = cut(control.name, room)
        beside = cut(control.beside, max(0, room - columns_of(name) - 1))
        gap = " " * max(0, room - columns_of(name) - columns_of(beside) - bool(beside))
        return [
            (f" {sign} ", style),
            (name, Style.STRONG if control.is_lit else Style.PLAIN),
            (f" {beside}{gap} " if beside else f"{gap} ", Style.FAINT),
            (filled(value, 7), style),
        ]

    def _value(self, control: ControlShown) -> str:
        if control.moves:
            if control.way is None:
                return self._signs.rest
            way = self._signs.ways[control.way]
            return way if control.share is None else f"{way} {control.share} %"
        if control.share is not None and 0 < control.share < 100:
            return f"{control.share} %"
        return self._signs.held * 2 if control.is_lit else ""

    def _layers(self) -> Rows:
        layers = self._picture.layers
        active = sorted((each for each in layers if each.order), key=lambda each: -each.order)
        rows: Rows = []
        for each in active[:4]:
            beside = "always on" if each.is_base else ""
            rows.append(
                [
                    (f" {self._signs.active} ", Style.LAYERS),
                    (filled(each.name, 24), Style.STRONG),
                    (beside, Style.FAINT),
                ]
            )
        if active[4:]:
            below = ", ".join(each.name for each in active[4:])
            rows.append([(cut(f"   below these: {below}", self._columns), Style.FAINT)])
        stays = [*self._picture.lasting, *(f"offered: {each}" for each in self._picture.offered)]
        for text in stays[:3]:
            line = cut(f"stays on: {text}", self._columns - 3)
            rows.append([(f" {self._signs.active} ", Style.LAYERS), (line, Style.STRONG)])
        off = ", ".join(each.name for each in layers if not each.order)
        if off:
            rows.append([(cut(f"   off: {off}", self._columns), Style.FAINT)])
        return rows or [[("   none", Style.FAINT)]]

    def _told(self, room: int) -> Rows:
        told = self._picture.told
        if not told:
            return [[("   nothing yet", Style.FAINT)]]
        rows: Rows = []
        for number, each in enumerate(told[:room]):
            sign = self._signs.refused if each.is_refusal else " "
            style = Style.STRONG if number == 0 else Style.PLAIN
            start = f"{each.time}  "
            text = cut(f"{each.subject}: {each.text}", self._columns - 3 - len(start))
            rows.append([(f" {sign} ", Style.STRONG), (start, Style.FAINT), (text, style)])
        return rows

    def _layout(self) -> Rows:
        picture = self._picture
        if not picture.refused:
            return []
        rows: Rows = [
            self._caption("the layout"),
            [(cut(f" {self._signs.refused} {picture.refused}", self._columns), Style.STRONG)],
        ]
        rows += [
            [(cut(f"   {line}", self._columns), Style.PLAIN)]
            for line in picture.refused_lines[:_REFUSED_MOST]
        ]
        if picture.refused_lines[_REFUSED_MOST:]:
            rows.append([("   and more: `remapd status` shows all", Style.FAINT)])
        return rows

    def _legend(self) -> Row:
        signs = self._signs
        words = [
            f"{signs.active} pressed, on or here",
            f"{signs.refused} ignored, refused or missing",
            f"{signs.ways[0]} moved",
            "Ctrl-C ends",
        ]
        return [(cut(" " + "   ".join(words), self._columns), Style.FAINT)]

    def _caption(self, left: str, right: str = "") -> Row:
        rule = self._signs.rule
        half = self._columns // 2
        text = f" {rule * 2} {left} "
        if right:
            text = f"{text:{rule}<{half}}{rule * 2} {right} "
        return [(f"{text:{rule}<{self._columns}}", Style.FAINT)]
