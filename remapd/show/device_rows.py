"""The picture of what is pressed and moved just now, for `remapd devices` on a terminal.

Every sign says what it means without a colour: `[X]` is pressed, `[ ]` was pressed before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from remapd.analysis.input_seen import InputSeen
from remapd.codes import EV_ABS, EV_KEY, code_name
from remapd.engine.source import Source
from remapd.show.demo_screen import Row
from remapd.show.marks import Style

_BAR: Final = 24
_SAID: Final = 4


@dataclass(slots=True)
class ShownDevice:
    """A device in the picture; `said` are its last sentences."""

    source: Source
    words: str
    seen: InputSeen
    said: list[str] = field(default_factory=list)

    def say(self, sentences: Sequence[str]) -> None:
        """Keeps the last few."""
        self.said = [*self.said, *sentences][-_SAID:]

    @property
    def is_touched(self) -> bool:
        """Whether anything has come from it."""
        return bool(self.seen.pressed or self.seen.moved or self.seen.held)


def rows(devices: Sequence[ShownDevice], columns: int, notes: Sequence[str] = ()) -> list[Row]:
    """The picture: a line for each device, and under those that were touched how they stand."""
    picture: list[Row] = [
        [(" Press, push, roll. Ctrl-C ends it and shows lines for a layout.", Style.FAINT)],
        [],
    ]
    for device in devices:
        picture.append(
            [(f" {device.source.name}", Style.STRONG), (f"  {device.words}", Style.PLAIN)]
        )
        if device.is_touched:
            picture += [[(f"   {line}"[:columns], Style.PLAIN)] for line in _state(device)]
    picture += [[(f" {note}"[:columns], Style.FAINT)] for note in notes]
    return picture


def _state(device: ShownDevice) -> list[str]:
    seen = device.seen
    lines = []
    keys = [*seen.pressed, *(code for code in seen.held if code not in seen.pressed)]
    if keys:
        marks = [
            f"[{'X' if code in seen.held else ' '}] {code_name(EV_KEY, code)}" for code in keys
        ]
        lines.append("  ".join(marks))
    values = seen.values()
    for event_type, code in seen.moved:
        if event_type == EV_ABS and code in device.source.axes:
            span = device.source.axes[code]
            lines.append(_bar(code, values[code], span.minimum, span.maximum))
    if device.said:
        lines.append(device.said[-1])
    return lines


def _bar(axis: int, value: int, minimum: int, maximum: int) -> str:
    length = max(maximum - minimum, 1)
    place = round((value - minimum) * (_BAR - 1) / length)
    place = min(max(place, 0), _BAR - 1)
    bar = "-" * place + "O" + "-" * (_BAR - 1 - place)
    return f"{code_name(EV_ABS, axis):<10} {minimum:>7} {bar} {maximum:<7} now {value}"
