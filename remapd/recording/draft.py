"""A trial drafted from a recording: what the hands did, and what the layout makes of it now.

Hands are simplified as far as the pad's presses stay what they were in the recording; what is
expected is what the simplified hands give, so a draft passes. A recording can hold more than a
trial can say (another layout, a pause, a release from outside): there the draft ends.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from remapd.engine import Engine, Layout
from remapd.recording.draft_expect import expectations
from remapd.recording.excerpt import Excerpt
from remapd.recording.finding import check_found
from remapd.recording.lines import (
    FrameLine,
    LayoutLine,
    Line,
    MarkLine,
    PausedLine,
    PluggedLine,
    RecordedDevice,
    RecordingError,
    ReleaseLine,
    UnpluggedLine,
)
from remapd.recording.movements import Movements
from remapd.recording.pad_changes import LEVER, MOVE, PRESS, RELEASE, TRIGGER_FULL, Change, PadView
from remapd.recording.simplify import GRAINS, Grain, inputs_of
from remapd.recording.trials import run_trial
from remapd.trial import Input, InputKind, Trial

#: A trial is for seconds; nobody reads one that is longer than this.
LONGEST_US: Final = 600_000_000
#: Nobody reads more inputs or expectations either.
_MOST_PARTS: Final = 1_000
#: How much earlier or later the simplified hands may press than those of the recording.
_NEAR_US: Final = 50_000

Press = tuple[int, str, str]  #: us, press or release, pad control


@dataclass(slots=True)
class Draft:
    """A trial that passes, and what its reader should know.

    `marks` are the recording's remarks as (us, text). `notes` are whole sentences: where the draft
    ends before the recording does, and what of the recording it does not give again.
    """

    trial: Trial
    grain: Grain
    marks: list[tuple[int, str]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def draft_trial(recording: Excerpt, layout: Layout, name: str, *, own: bool) -> Draft:
    """Drafts a trial called `name`.

    `own`: the layout is the recording's, so that one which the recording changes to ends the draft.
    Raises RecordingError where nothing can be made of it.
    """
    session = _Session(recording, layout, own=own)
    best: Draft | None = None
    for grain in GRAINS:
        inputs = sorted(session.inputs(grain), key=lambda each: each.at_us)
        if not inputs:
            raise _nothing(recording, "nothing that the layout names is pressed or moved in it")
        if len(inputs) > _MOST_PARTS:
            break
        trial = _with_expectations(layout, Trial(name, tuple(inputs), ()))
        if trial is None or len(trial.expect) > _MOST_PARTS:
            continue
        draft = Draft(trial, grain, session.marks, session.notes)
        result = run_trial(layout, trial)
        until_us = min(session.until_us, result.end_us)
        if _alike(_presses(result.actual), _presses(session.changes), until_us):
            return draft
        best = best or draft
    if best is None:
        raise RecordingError(
            recording.file,
            None,
            f"too much happens in it for a trial that somebody reads ({_MOST_PARTS} lines at most)",
            "take a part of it: --between 10s 20s",
        )
    best.notes.append(
        "What the pad presses here is not what it pressed in the recording: a trial begins with "
        "everything at rest, and that did perhaps not."
    )
    return best


def _nothing(recording: Excerpt, what: str) -> RecordingError:
    return RecordingError(recording.file, None, what, "take another recording or another layout")


class _Session:
    """The recording, played once with the layout: what hands did, and what the pad did."""

    def __init__(self, recording: Excerpt, layout: Layout, *, own: bool) -> None:
        self.marks: list[tuple[int, str]] = []
        self.notes: list[str] = []
        self.changes: list[Change] = []
        self.until_us = 0
        self._layout = layout
        self._own = own
        self._engine = Engine(layout)
        self._view = PadView(faces_as_specified=layout.faces_as_specified)
        self._movements = Movements(layout)
        self._devices: dict[int, RecordedDevice] = {}
        self._taken: dict[int, int] = {}
        self._plugs: list[Input] = []
        for device in recording.devices:
            self._plug(0, device)
        sources = [device.source for device in recording.devices]
        self.notes += check_found(layout, recording.file, sources, self._engine.taken)
        for line in recording:
            if line.us > LONGEST_US:
                self._end(LONGEST_US, "a trial is for seconds")
                break
            self.until_us = line.us
            if not self._take(line):
                break
            self._see()
        self._engine.advance(self.until_us)
        self._see()
        self.notes += recording.warnings

    def inputs(self, grain: Grain) -> Iterator[Input]:
        """What hands did, control by control, then what happened to devices."""
        for track in self._movements.tracks:
            until_us = self.until_us if track.until_us is None else track.until_us
            yield from inputs_of(track, until_us, grain)
        yield from self._plugs

    def _take(self, line: Line) -> bool:
        """One line; False where a trial cannot follow."""
        match line:
            case FrameLine():
                self._engine.feed(line.us, line.device, line.events)
                self._movements.frame(line.us, line.device, line.events)
            case PluggedLine():
                self._plug(line.us, line.device)
            case UnpluggedLine():
                self._engine.unplug(line.us, line.device)
                self._devices.pop(line.device)
                self._follow(line.us)
            case MarkLine():
                self.marks.append((line.us, line.text))
            case LayoutLine() if self._own and line.us > 0:
                return self._end(line.us, f"the layout changes to `{line.path}`")
            case PausedLine(paused=True):
                return self._end(line.us, "remapping is paused")
            case ReleaseLine():
                return self._end(line.us, "everything is released from outside the layout")
            case _:
                pass
        return True

    def _end(self, us: int, why: str) -> bool:
        self.until_us = us
        self.notes.append(f"The draft ends at {us / 1e6:.1f} s of the recording: {why}.")
        return False

    def _plug(self, us: int, device: RecordedDevice) -> None:
        self._devices[device.source.id] = device
        self._engine.plug(us, device.source, device.held, device.axes)
        self._follow(us)

    def _follow(self, us: int) -> None:
        """Which nodes the layout has taken now: what has changed was plugged or pulled out."""
        taken = dict(self._engine.taken)
        for source_id, number in self._taken.items():
            if taken.get(source_id) != number:
                self._movements.unplug(us, source_id)
                self._plugs.append(self._plug_input(us, InputKind.UNPLUG, number))
        for source_id, number in taken.items():
            if self._taken.get(source_id) == number:
                continue
            if us > 0:
                if not any(each.name == self._layout.devices[number].name for each in self._plugs):
                    # A trial begins with every device there; this one came only later.
                    self._plugs.append(self._plug_input(0, InputKind.UNPLUG, number))
                self._plugs.append(self._plug_input(us, InputKind.PLUG, number))
            self._movements.plug(us, number, self._devices[source_id])
        self._taken = taken

    def _plug_input(self, us: int, kind: InputKind, number: int) -> Input:
        return Input(us, kind, self._layout.devices[number].name)

    def _see(self) -> None:
        for frame in self._engine.drain():
            self.changes += self._view.apply(frame.us, frame.events)


def _with_expectations(layout: Layout, trial: Trial) -> Trial | None:
    """The trial with what comes of its inputs; None where it would not pass."""
    actual = run_trial(layout, trial).actual
    hands_end_us = max(each.at_us + (each.for_us or 0) for each in trial.inputs)
    until_then = [change for change in actual if change.us <= hands_end_us]
    for changes, ends_held in ((actual, False), (until_then, True)):
        expect = expectations(changes, layout.verbs)
        whole = replace(trial, expect=expect, ends_held=ends_held)
        if run_trial(layout, whole).passed:
            return whole
    return None


def _presses(changes: Sequence[Change]) -> list[Press]:
    """The presses and releases, those of triggers that are driven fully among them."""
    presses: list[Press] = []
    full: set[str] = set()
    for change in changes:
        if change.what == LEVER:
            is_full = change.value == TRIGGER_FULL
            if is_full != (change.control in full):
                (full.add if is_full else full.discard)(change.control)
                presses.append((change.us, PRESS if is_full else RELEASE, change.control))
        elif change.what != MOVE:
            presses.append((change.us, change.what, change.control))
    return presses


def _alike(first: Sequence[Press], second: Sequence[Press], until_us: int) -> bool:
    """Whether the same is pressed in the same order at nearly the same times, up to `until_us`.

    What comes so near to the end that it may be beyond it in the other is left aside.
    """
    shorter, longer = sorted((first, second), key=len)
    pairs = list(zip(shorter, longer, strict=False))
    last_us = until_us - _NEAR_US
    return all(
        one[1:] == other[1:] and abs(one[0] - other[0]) <= _NEAR_US
        for one, other in pairs
        if min(one[0], other[0]) <= last_us
    ) and all(us > last_us for us, _, _ in longer[len(shorter) :])
