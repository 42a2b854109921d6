"""What a found control does when it is used as in play, and the settings that this asks for: pure.

A switch is pressed a few times; what moves is in `measuring_moves`.
Each measure is told frames and time, says when it has enough, and gives settings as a layout writes
them, each with its reason in words.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final, Protocol

from remapd.analysis.switch_bench import (
    Edge,
    advice_for,
    bench_report,
    milliseconds,
    pulse_length_us,
    settings_for,
    split_presses,
)
from remapd.codes import EV_KEY

Events = Iterable[tuple[int, int, int]]

PRESSES: Final = 5
#: After the last release, for its chatter.
_AFTER_US: Final = 400_000
#: Two presses closer than this, where a pause between them was asked for, are one that came double.
_DOUBLE_US: Final = 350_000


@dataclass(frozen=True, slots=True)
class Measured:
    """What came of a measure.

    Attributes:
        settings: What to write into the control's line: `acceptance-delay: 80ms`.
        notes: Sentences for the person who fits.
        small_range: Whether it moved only a little.
        presses_us: How long each press lasted.
        first_way: Of a lever: the end, `low` or `high`, that it was first used toward.
    """

    settings: Mapping[str, str] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    small_range: bool = False
    presses_us: tuple[int, ...] = ()
    first_way: str = ""


class Measure(Protocol):
    """One control while it is tried; times in microseconds of the monotonic clock."""

    @property
    def due_us(self) -> int | None:
        """When `advance` should be called next, or None."""

    @property
    def done(self) -> bool:
        """Whether it has enough."""

    @property
    def progress(self) -> str:
        """How far it is, in a few words; empty for nothing to say."""

    def feed(self, us: int, events: Events) -> None:
        """One frame of the control's device."""

    def advance(self, us: int) -> None:
        """Time has come to `us`."""

    def result(self) -> Measured:
        """What came of it so far."""


# ---------------------------------------------------------------------------- a switch


class SwitchMeasure:
    """A switch that is pressed a few times as in play, with a pause between two presses."""

    def __init__(self, code: int, presses: int = PRESSES) -> None:
        self._code = code
        self._wanted = presses
        self._edges: list[Edge] = []
        self._now_us = 0

    @property
    def came(self) -> int:
        """How many presses have come to their end."""
        return sum(press.end_us is not None for press in split_presses(self._edges))

    @property
    def due_us(self) -> int | None:  # noqa: D102 - as Measure says
        if not self._edges or self._edges[-1][1] or self.done:
            return None
        return self._edges[-1][0] + _AFTER_US

    @property
    def done(self) -> bool:  # noqa: D102
        if not self._edges or self._edges[-1][1] or self.came < self._wanted:
            return False
        return self._now_us >= self._edges[-1][0] + _AFTER_US

    @property
    def progress(self) -> str:  # noqa: D102
        return f"{self.came} of {self._wanted}" if self.came else ""

    def feed(self, us: int, events: Events) -> None:  # noqa: D102
        self._now_us = max(us, self._now_us)
        for event_type, code, value in events:
            if event_type == EV_KEY and code == self._code:
                self._edges.append((us, bool(value)))

    def advance(self, us: int) -> None:  # noqa: D102
        self._now_us = max(us, self._now_us)

    def result(self) -> Measured:  # noqa: D102
        report = bench_report(self._edges, [])
        settings = {}
        notes = []
        for setting in settings_for(report):
            name, _, value = setting.text.partition(": ")
            settings[name] = value
            notes.append(f"{setting.text}, because {setting.because}.")
        notes += advice_for(report)
        presses = [press for press in report.presses if press.end_us is not None]
        gaps_us = [after.begin_us - (before.end_us or 0) for before, after in pairwise(presses)]
        doubles = sum(gap < _DOUBLE_US for gap in gaps_us)
        if doubles:
            settings["repeat-guard"] = "300ms"
            notes.append(
                "repeat-guard: 300ms, because a press came double "
                f"{'once' if doubles == 1 else f'{doubles} times'}: what follows so soon is "
                "no new press."
            )
        return Measured(
            settings,
            tuple(notes),
            presses_us=tuple(press.length_us or 0 for press in presses),
        )


def acceptance_for(presses_us: Iterable[int]) -> str | None:
    """How long a touch must last to count, where the switch is brushed by accident at times.

    Half of the shortest press that was meant, at most 80 ms: longer would be felt in play (common
    practice, no source). None where even that would be too short to tell a touch from a press.
    """
    shortest_us = min(presses_us, default=200_000)
    delay_ms = min(80, shortest_us // 2_000 // 10 * 10)
    return f"{delay_ms}ms" if delay_ms >= 20 else None


def pulse_note(held_us: int, *, released: bool) -> tuple[str, ...]:
    """What there is to say where a switch that was to be held sent only a pulse."""
    edges = [(0, True), (held_us, False)] if released else [(0, True)]
    pulse_us = pulse_length_us(edges, 1_000_000)
    if pulse_us is None:
        return ()
    return (
        f"It was pressed for {milliseconds(pulse_us)} only. If it was held for longer, the box "
        "sends pulses: nothing can last while it is held.",
    )
