"""Runs a trial on a layout: stand-in hands, and the engine on virtual time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from remapd.engine import Engine, Layout
from remapd.recording.driver import ControlDriver
from remapd.recording.hands import HandFrame, Hands
from remapd.recording.pad_changes import MOVE, Change, PadView, Value
from remapd.recording.trial_comparison import (
    Mismatch,
    PadNames,
    compare,
    find_held,
    find_nevers,
)
from remapd.trial import Trial

#: How long a trial goes on after all that is written in it, for what may still come.
RUN_ON_US: Final = 5_000_000
#: A pointer that is sent new counts reads double for a few microseconds; no game looks so often.
_REFILL_US: Final = 10


@dataclass(frozen=True, slots=True)
class TrialResult:
    """What came of a trial: `actual` are the pad's changes of all controls, in order."""

    trial: Trial
    names: PadNames
    mismatches: tuple[Mismatch, ...]
    actual: tuple[Change, ...]
    end_us: int

    @property
    def passed(self) -> bool:
        """Whether all came as expected."""
        return not self.mismatches


def run_trial(layout: Layout, trial: Trial) -> TrialResult:
    """Runs one trial; raises NoSuchControl where it names what the layout has not."""
    driver = ControlDriver(layout)
    expected_us = max((each.at_us + each.within_us for each in trial.expect), default=0)
    hands = Hands(driver, trial.inputs, until_us=expected_us)
    last_us = max(expected_us, hands.end_us)
    run = _Run(layout, driver)
    for frame in hands.frames:
        if not trial.ends_held or frame.us <= last_us:
            run.play(frame)
    run.advance(last_us)
    if not trial.ends_held:
        run.run_on(last_us + RUN_ON_US)

    actual = _without_refills(run.changes, hands.refills_us)
    names = PadNames(layout, trial)
    looked_at = [each for each in actual if not trial.only or each.control in trial.only]
    mismatches = [*compare(trial.expect, looked_at, names), *find_nevers(trial, actual, names)]
    if not trial.ends_held:
        mismatches += find_held(trial, run.view, run.now_us, names)
    mismatches.sort(key=lambda each: each.us)
    return TrialResult(trial, names, tuple(mismatches), tuple(actual), run.now_us)


class _Run:
    """The engine, its stand-in devices, and what came out so far."""

    def __init__(self, layout: Layout, driver: ControlDriver) -> None:
        self.driver = driver
        self.engine = Engine(layout)
        self.view = PadView(faces_as_specified=layout.faces_as_specified)
        self.changes: list[Change] = []
        self.now_us = 0
        for stand_in in driver.stand_ins:
            self.engine.plug(0, stand_in.source, stand_in.held, stand_in.axes)
        self._drain()

    def play(self, frame: HandFrame) -> None:
        stand_in = self.driver.stand_in(frame.device)
        self.now_us = frame.us
        if frame.plug is None:
            self.engine.feed(frame.us, stand_in.source.id, frame.events)
        elif frame.plug:
            self.engine.plug(frame.us, stand_in.source, stand_in.held, stand_in.axes)
        else:
            self.engine.unplug(frame.us, stand_in.source.id)
        self._drain()

    def advance(self, us: int) -> None:
        self.now_us = max(self.now_us, us)
        self.engine.advance(self.now_us)
        self._drain()

    def run_on(self, until_us: int) -> None:
        """Lets what is still running come to its end, if it comes to one in time."""
        while (due_us := self.engine.next_deadline_us) is not None and due_us <= until_us:
            self.advance(due_us)

    def _drain(self) -> None:
        for frame in self.engine.drain():
            self.changes.extend(self.view.apply(frame.us, frame.events))


def _without_refills(changes: Sequence[Change], refills_us: set[int]) -> list[Change]:
    """The changes without a stick's short ways there and back when a pointer is sent new counts."""
    gone: set[int] = set()
    stands: dict[str, Value] = {}
    last_moves: dict[str, tuple[int, Value]] = {}  # which change, and where the stick was before
    for number, change in enumerate(changes):
        if change.what != MOVE:
            continue
        name = change.control
        last, stood = last_moves.get(name, (number, None))
        left_us = changes[last].us
        if change.value == stood and left_us in refills_us and change.us - left_us < _REFILL_US:
            gone |= {last, number}
            del last_moves[name]
        else:
            last_moves[name] = (number, stands.get(name, (0, 0)))
        stands[name] = change.value
    return [change for number, change in enumerate(changes) if number not in gone]
