"""The demo's picture: hands above, layers in the middle, the pad as the game sees it below.

    screen = DemoScreen(layout, end_us, cast, signs)
    screen.show(moment, sentences)   each moment, in the order of time
    screen.rows(us, columns)         the picture as it is at that time, with the last sentences
    screen.score(us, columns)        the same without them

All of the session has its place from the beginning; time fills it in from left to right.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final

from remapd.engine.layout import ButtonControl, Layout
from remapd.engine.pad_controls import PERSON_NAMES, PLAYER
from remapd.recording.pad_changes import LEVER, MOVE, PRESS, STICK_FULL, Change
from remapd.show.lanes import Kind, Lane, LayerLane, Mark, MoveLane, PressLane
from remapd.show.marks import Signs, Style
from remapd.show.sentences import verb_by_control
from remapd.show.session import Moment

#: The smallest terminal that the picture fits in.
COLUMNS: Final = 80
ROWS: Final = 24

_LABEL: Final = 26  # columns for names, with the mark for "active" before them
_SENTENCES: Final = 3
_TICK_US: Final = 5_000_000

#: A row of the picture: stretches of text, each with its style.
Row = list[tuple[str, Style]]


@dataclass(slots=True)
class Cast:
    """Who appears in a session: controls by number, and pad controls by name."""

    controls: set[int] = field(default_factory=set)
    pad: set[str] = field(default_factory=set)

    @classmethod
    def of(cls, moments: Iterable[Moment]) -> Cast:
        """Those that move or are pressed at any moment."""
        cast = cls()
        for moment in moments:
            cast.controls.update(change.control for change in moment.hands)
            cast.pad.update(change.control for change in moment.pad)
        return cast


@dataclass(frozen=True, slots=True)
class _Line:
    """A lane with its name, and a word behind the name."""

    name: str
    beside: str
    lane: Lane
    style: Style


class DemoScreen:
    """The picture of one session, filled in moment by moment."""

    def __init__(self, layout: Layout, end_us: int, cast: Cast, signs: Signs) -> None:
        self._layout = layout
        self._end_us = end_us
        self._signs = signs
        self._sentences: list[tuple[int, str]] = []
        self._hands: dict[int, PressLane | MoveLane] = {
            number: PressLane() if isinstance(control, ButtonControl) else MoveLane()
            for number, control in enumerate(layout.controls)
            if number in cast.controls
        }
        self._layers = [LayerLane() for _ in layout.layers]
        verbs = verb_by_control(layout)
        shown = [*layout.verbs.values(), *sorted(cast.pad - set(layout.verbs.values()))]
        self._pad: dict[str, PressLane | MoveLane] = {
            control: MoveLane() if control.endswith("stick") else PressLane() for control in shown
        }
        self._hand_lines = [
            _Line(layout.controls[number].name, self._person(number), lane, Style.HANDS)
            for number, lane in self._hands.items()
        ]
        self._layer_lines = [
            _Line(layer.name, "" if number else "always on", self._layers[number], Style.LAYERS)
            for number, layer in reversed(list(enumerate(layout.layers)))
        ]
        self._pad_lines = [
            _Line(
                verbs.get(control, control), control if control in verbs else "", lane, Style.GAME
            )
            for control, lane in self._pad.items()
        ]

    # ---------------------------------------------------------------- what happens
    def show(self, moment: Moment, sentences: Sequence[str]) -> None:
        """Takes a moment in, with what is said of it."""
        for change in moment.hands:
            lane = self._hands[change.control]
            if isinstance(lane, MoveLane):
                lane.move(change.us, change.x, change.y)
            elif change.x:
                lane.press(change.us)
            else:
                lane.release(change.us)
        for line in moment.decisions:
            if line.text.startswith("ignored"):
                self._refuse(line.subject)
        if moment.layers is not None:
            for number, layer_lane in enumerate(self._layers):
                layer_lane.switch(moment.us, on=number in moment.layers)
        for pad_change in moment.pad:
            self._change_pad(pad_change)
        self._sentences += [(moment.us, sentence) for sentence in sentences]

    def _refuse(self, name: str) -> None:
        for number, lane in self._hands.items():
            if self._layout.controls[number].name == name and isinstance(lane, PressLane):
                lane.refuse()

    def _change_pad(self, change: Change) -> None:
        lane = self._pad[change.control]
        if isinstance(lane, MoveLane):
            if isinstance(change.value, tuple):
                x, y = change.value
                lane.move(change.us, x / STICK_FULL, y / STICK_FULL)
        elif change.what == PRESS or (change.what == LEVER and change.value):
            lane.press(change.us)
        elif change.what != MOVE:
            lane.release(change.us)

    def _person(self, number: int) -> str:
        person = self._layout.devices[self._layout.controls[number].device].person
        return "" if person == PLAYER else PERSON_NAMES[person]

    # ---------------------------------------------------------------- the picture
    def rows(self, us: int, columns: int = COLUMNS) -> list[Row]:
        """The whole picture at this time, no row wider than `columns`."""
        return [
            *self.score(us, columns),
            self._caption("", columns - _LABEL - 2),
            *self._told(columns),
            self.legend(),
        ]

    def score(self, us: int, columns: int = COLUMNS) -> list[Row]:
        """Hands, layers and pad under one ruler."""
        width = columns - _LABEL - 2
        clock = f"{us // 1_000_000} of {round(self._end_us / 1_000_000)} s"
        title = _cut(self._layout.title, columns - len(clock) - 16)
        gap = " " * (columns - 15 - len(title) - len(clock))
        return [
            [
                (" remapd demo", Style.STRONG),
                (f"  {title}{gap}", Style.PLAIN),
                (clock, Style.FAINT),
            ],
            [(" " * _LABEL + self._figures(width), Style.FAINT)],
            self._caption("what the hands do", width, ticks=True),
            *(self._row(line, us, width) for line in self._hand_lines),
            self._caption("layers that are on", width),
            *(self._row(line, us, width) for line in self._layer_lines),
            self._caption("what the game sees", width),
            *(self._row(line, us, width) for line in self._pad_lines),
        ]

    def legend(self) -> Row:
        """What the marks mean."""
        signs = self._signs
        words = [
            f"{signs.press} press",
            f"{signs.held} held or on",
            "2 presses so close",
            f"{signs.refused} ignored",
            f"{signs.ways[0]} moved",
            f"{signs.active} now",
        ]
        return [(" " + "   ".join(words), Style.FAINT)]

    def _row(self, line: _Line, us: int, width: int) -> Row:
        sign = self._signs.active if line.lane.is_active(us) else " "
        beside = f" {line.beside}" if line.beside else ""
        name = _cut(line.name, _LABEL - 4 - len(beside))
        padding = " " * (_LABEL - 3 - len(name) - len(beside))
        return [
            (f" {sign} ", line.style),
            (name, Style.STRONG if sign.strip() else Style.PLAIN),
            (f"{beside}{padding}", Style.FAINT),
            *self._lane(line, us, width),
        ]

    def _lane(self, line: _Line, us: int, width: int) -> Row:
        """Marks of one style stand together."""
        row: Row = []
        for column in range(width):
            from_us, until_us = self._time(column, width), self._time(column + 1, width)
            is_ahead = from_us > us or us >= self._end_us <= from_us
            mark = Mark(Kind.FUTURE) if is_ahead else line.lane.mark(from_us, until_us)
            style = Style.FAINT if mark.kind in {Kind.FUTURE, Kind.REST} else line.style
            if row and row[-1][1] is style:
                row[-1] = (row[-1][0] + self._signs.sign(mark), style)
            else:
                row.append((self._signs.sign(mark), style))
        return row

    def _time(self, column: int, width: int) -> int:
        return self._end_us * column // width

    def _figures(self, width: int) -> str:
        """Seconds, above their ticks."""
        text = ""
        for us in range(0, self._end_us, _TICK_US):
            figure = f"{us // 1_000_000} s" if us == 0 else str(us // 1_000_000)
            column = us * width // self._end_us
            if column + len(figure) <= width:
                text = f"{text:<{column}}{figure}"
        return text

    def _caption(self, text: str, width: int, *, ticks: bool = False) -> Row:
        rule = self._signs.rule
        words = f"{rule * 2} {text} " if text else rule * 2
        line = [rule] * width
        if ticks:
            for us in range(0, self._end_us, _TICK_US):
                line[us * width // self._end_us] = self._signs.tick
        return [(" " + words + rule * (_LABEL - 1 - len(words)) + "".join(line), Style.FAINT)]

    def _told(self, columns: int) -> list[Row]:
        """The last sentences, the newest first."""
        rows: list[Row] = []
        for us, sentence in reversed(self._sentences[-_SENTENCES:]):
            text = _cut(sentence, columns - 10)
            style = Style.PLAIN if rows else Style.STRONG
            rows.append([(f" {us / 1_000_000:>5.1f} s  ", Style.FAINT), (text, style)])
        return rows + [[] for _ in range(_SENTENCES - len(rows))]


def _cut(text: str, room: int) -> str:
    """A text that fits, with a sign where it is cut."""
    return text if len(text) <= room else text[: max(0, room - 1)] + "~"


def plain(row: Row) -> str:
    """A row without its styles."""
    return "".join(text for text, _ in row).rstrip()
