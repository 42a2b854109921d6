"""A failed trial as a picture in text: hands, expected and actual above each other in time.

Marks tell everything, no colour: `[===]` is a press from its beginning to its end, `|` one that is
too short for two marks; `>--o` is a stick that goes right and then home, `*` any other place, and
`+--o` a trigger. Numbers below a lane point to the sentences under the picture.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from remapd.engine.pad_controls import STICK_NAMES, TARGET_NAMES
from remapd.recording.pad_changes import MOVE, PRESS, RELEASE, STICK_FULL, Change
from remapd.recording.trial_comparison import Mismatch
from remapd.recording.trials import TrialResult
from remapd.trial import Expectation, Input, InputKind

WIDTH: Final = 80
_NARROWEST: Final = 20
_AT_REST: Final = "."
_PRESSED: Final = "="
_AWAY: Final = "-"
_MOST_SENTENCES: Final = 20
#: Steps of the axis in microseconds, of which the smallest that leaves room is taken.
_TICK_STEPS_US: Final = tuple(n * 10**power for power in range(3, 10) for n in (1, 2, 5))
_TICK_ROOM: Final = 9


@dataclass(frozen=True, slots=True)
class _Mark:
    """Something that happens in a lane: what is drawn there, and what fills the lane after it."""

    us: int
    sign: str
    fill: str


def draw(result: TrialResult, width: int = WIDTH) -> str:
    """The picture of one trial, with the sentences about its mismatches below."""
    trial, names = result.trial, result.names
    hands = _hand_lanes(trial.inputs)
    controls = _controls(result)
    labels = [*hands, *(names.short(control) for control in controls)]
    label_width = min(max(map(len, labels), default=0), width // 3)
    second_width = len("expected")
    room = max(width - label_width - second_width - 4, _NARROWEST)
    until_us = _until_us(result)
    scale = _Scale(until_us, room)

    def line(label: str, kind: str, lane: str) -> str:
        short = label if len(label) <= label_width else label[: label_width - 1] + "~"
        return f"  {short:<{label_width}} {kind:<{second_width}} {lane}".rstrip()

    drawn = [line("", "", text) for text in scale.axis()]
    drawn += [line(name, "hand", scale.lane(marks)) for name, marks in hands.items()]
    numbers = {id(each): number for number, each in enumerate(result.mismatches, 1)}
    for control in controls:
        expected = [each for each in trial.expect if each.control == control]
        actual = [change for change in result.actual if change.control == control]
        label = names.short(control)
        drawn.append("")
        drawn.append(line(label, "expected", scale.lane(_expected_marks(expected))))
        drawn.append(line("", "actual", scale.lane(_actual_marks(actual))))
        wrong = [each for each in result.mismatches if each.control == control]
        if wrong:
            pointers = scale.pointers((each.us, numbers[id(each)]) for each in wrong)
            drawn.append(line("", "", pointers))
    drawn.append("")
    drawn += _sentences(result.mismatches, width)
    return "\n".join(drawn)


class _Scale:
    """Times to columns."""

    def __init__(self, until_us: int, columns: int) -> None:
        self._until_us = until_us
        self._columns = columns

    def column(self, us: int) -> int:
        return min(self._columns - 1, max(0, us) * self._columns // self._until_us)

    def axis(self) -> list[str]:
        """Ticks with their times, and a line of marks below."""
        most = max(1, self._columns // _TICK_ROOM)
        step_us = next(
            (step for step in _TICK_STEPS_US if self._until_us <= step * most), self._until_us
        )
        figures = [" "] * (self._columns + _TICK_ROOM)
        ruler = ["-"] * self._columns
        unit = "s" if step_us >= 100_000 else "ms"
        for us in range(0, self._until_us, step_us):
            column = self.column(us)
            ruler[column] = "+"
            text = f"{us / (1_000_000 if unit == 's' else 1_000):g} {unit}"
            if column + len(text) <= self._columns:
                figures[column : column + len(text)] = text
        return ["".join(figures).rstrip(), "".join(ruler)]

    def lane(self, marks: Sequence[_Mark]) -> str:
        """A lane from its marks, in the order of time; two in one column leave the later one."""
        lane: list[str] = []
        fill = _AT_REST
        by_column: dict[int, list[_Mark]] = {}
        for mark in marks:
            by_column.setdefault(self.column(mark.us), []).append(mark)
        for column in range(self._columns):
            here = by_column.get(column)
            if here is None:
                lane.append(fill)
                continue
            is_short_press = any(mark.sign == "[" for mark in here) and here[-1].sign == "]"
            lane.append("|" if is_short_press else here[-1].sign)
            fill = here[-1].fill
        return "".join(lane)

    def pointers(self, places: Iterable[tuple[int, int]]) -> str:
        """Numbers below their places, moved on to the right where there is no room.

        Where too many crowd together for the width, the rest is counted: the sentences have them.
        """
        text = ""
        ordered = sorted(places)
        for done, (us, number) in enumerate(ordered):
            column = self.column(us)
            longer = text + "," if len(text) > column else text
            longer = f"{longer:<{column}}{number}"
            rest = f" +{len(ordered) - done}"
            if len(longer) + len(rest) > self._columns and done < len(ordered) - 1:
                return text + rest
            text = longer
        return text


def _until_us(result: TrialResult) -> int:
    """The end of the picture: of all that was done, expected, or came, and some room behind it."""
    trial = result.trial
    ends = [
        *(each.at_us + (each.for_us or 0) for each in trial.inputs),
        *(each.at_us for each in trial.expect),
        *(change.us for change in result.actual),
        1_000,
    ]
    return max(ends) * 21 // 20 + 1


def _controls(result: TrialResult) -> list[str]:
    """Pad controls to draw: all that were expected, came and are looked at, or are at fault."""
    only = result.trial.only
    wanted = {each.control for each in result.trial.expect}
    wanted |= {change.control for change in result.actual if not only or change.control in only}
    wanted |= {each.control for each in result.mismatches}
    return [name for name in (*TARGET_NAMES, *STICK_NAMES) if name in wanted]


def _hand_lanes(inputs: Sequence[Input]) -> dict[str, list[_Mark]]:
    lanes: dict[str, list[_Mark]] = {}
    for each in sorted(inputs, key=lambda each: each.at_us):
        marks = lanes.setdefault(each.name, [])
        match each.kind:
            case InputKind.PRESS | InputKind.PLUG:
                marks.append(_Mark(each.at_us, "[", _PRESSED))
            case InputKind.RELEASE | InputKind.UNPLUG:
                marks.append(_Mark(each.at_us, "]", _AT_REST))
            case InputKind.MOVE | InputKind.TURN:
                marks.append(_place_mark(each.at_us, each.to, is_stick=True))
            case InputKind.COUNT:
                marks.append(_Mark(each.at_us, "#", _AT_REST))
        if each.for_us is not None:
            is_press = each.kind is InputKind.PRESS
            marks.append(_Mark(each.at_us + each.for_us, "]" if is_press else "o", _AT_REST))
    for marks in lanes.values():
        marks.sort(key=lambda mark: mark.us)
    return lanes


def _expected_marks(expected: Sequence[Expectation]) -> list[_Mark]:
    marks = []
    for each in sorted(expected, key=lambda each: each.at_us):
        if each.kind is InputKind.PRESS:
            marks.append(_Mark(each.at_us, "[", _PRESSED))
        elif each.kind is InputKind.RELEASE:
            marks.append(_Mark(each.at_us, "]", _AT_REST))
        else:
            is_stick = each.control in STICK_NAMES
            marks.append(_place_mark(each.at_us, each.to or (0.0, 0.0), is_stick=is_stick))
    return marks


def _actual_marks(changes: Sequence[Change]) -> list[_Mark]:
    marks = []
    for change in changes:
        if change.what == PRESS:
            marks.append(_Mark(change.us, "[", _PRESSED))
        elif change.what == RELEASE:
            marks.append(_Mark(change.us, "]", _AT_REST))
        elif change.what == MOVE and isinstance(change.value, tuple):
            x, y = change.value
            marks.append(_place_mark(change.us, (x / STICK_FULL, y / STICK_FULL), is_stick=True))
        else:
            value = float(change.value) if isinstance(change.value, int) else 0.0
            marks.append(_place_mark(change.us, (value, 0.0), is_stick=False))
    return marks


def _place_mark(us: int, to: tuple[float, float], *, is_stick: bool) -> _Mark:
    x, y = to
    if not x and not y:
        return _Mark(us, "o", _AT_REST)
    if not is_stick:
        return _Mark(us, "+", _AWAY)
    if abs(x) > 2 * abs(y):
        return _Mark(us, ">" if x > 0 else "<", _AWAY)
    if abs(y) > 2 * abs(x):
        return _Mark(us, "v" if y > 0 else "^", _AWAY)
    return _Mark(us, "*", _AWAY)


def _sentences(mismatches: Sequence[Mismatch], width: int) -> list[str]:
    lines: list[str] = []
    for number, each in enumerate(mismatches[:_MOST_SENTENCES], 1):
        line = f"{number:>4}"
        for word in each.text.split():
            if len(line) + 1 + len(word) > width:
                lines.append(line)
                line = " " * 4
            line += f" {word}"
        lines.append(line)
    left_out = len(mismatches) - _MOST_SENTENCES
    if left_out > 0:
        lines.append(f"     and {left_out} more")
    return lines
