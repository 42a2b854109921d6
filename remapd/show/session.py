"""A recorded session played moment by moment, with all that each brings about."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from remapd.engine import Engine, Layout, Notice, OutputFrame, TraceLine
from remapd.engine.source import Source
from remapd.recording.lines import EndLine, Event, FrameLine, LayoutLine, RecordingError
from remapd.recording.pad_changes import Change, PadView
from remapd.recording.player import LoadLayout
from remapd.recording.reader import RecordingReader
from remapd.show.hands_seen import HandChange, HandsSeen


@dataclass(slots=True)
class Moment:
    """All that happens at one time: what hands did, and what came of it."""

    us: int
    hands: list[HandChange] = field(default_factory=list)
    #: The layers that are on, the base first; None where they are as they were.
    layers: list[int] | None = None
    notices: list[Notice] = field(default_factory=list)
    decisions: list[TraceLine] = field(default_factory=list)
    pad: list[Change] = field(default_factory=list)
    frames: list[OutputFrame] = field(default_factory=list)

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to show or to tell."""
        return not (self.hands or self.layers or self.notices or self.decisions or self.frames)


class Moments:
    """An engine that explains itself, and what comes of each time that it is told."""

    def __init__(self, layout: Layout) -> None:
        self.engine = Engine(layout, explain=True)
        self.hands = HandsSeen(layout)
        self._pad = PadView(faces_as_specified=layout.faces_as_specified)
        self._layers: list[int] = []

    @property
    def next_due_us(self) -> int | None:
        """When something happens by itself, or None."""
        due = (self.engine.next_deadline_us, self.hands.next_due_us)
        return min((each for each in due if each is not None), default=None)

    def plug(self, us: int, source: Source, held: frozenset[int], axes: Mapping[int, int]) -> None:
        """A device is plugged in."""
        self.engine.plug(us, source, held, axes)
        taken = self.engine.taken.get(source.id)
        if taken is not None:
            self.hands.plug(taken, source)

    def feed(self, us: int, source_id: int, events: list[Event]) -> list[HandChange]:
        """One frame; what hands did by it, for `moment`."""
        self.engine.feed(us, source_id, events)
        device = self.engine.taken.get(source_id)
        return [] if device is None else self.hands.feed(us, device, events)

    def moment(self, us: int, hands: list[HandChange]) -> Moment:
        """What has come since the last one."""
        engine = self.engine
        moment = Moment(
            us,
            hands,
            notices=engine.drain_notices(),
            decisions=[each for each in engine.drain_trace() if each.subject != "pad"],
            frames=engine.drain(),
        )
        for frame in moment.frames:
            moment.pad += self._pad.apply(frame.us, frame.events)
        layers = list(engine.active_layers)
        if layers != self._layers:
            self._layers = moment.layers = layers
        return moment


class Session:
    """A recording with the layout that it holds; iterate for its moments, in the order of time.

    The recording is read whole: it has to be one of minutes, not of hours. Devices are those of its
    first line; they stay plugged in throughout.
    """

    def __init__(self, recording: RecordingReader, load_layout: LoadLayout) -> None:
        """Raises RecordingError as reading does, and what `load_layout` raises."""
        lines = list(recording)
        own = next((line for line in lines if isinstance(line, LayoutLine)), None)
        if own is None:
            raise RecordingError(
                recording.file, None, "it has no layout of its own", "record it with a layout"
            )
        self.layout_path = own.path
        self.layout: Layout = load_layout(own.path, own.text)
        self.end_us = lines[-1].us if isinstance(lines[-1], EndLine) else 0
        self._moments = Moments(self.layout)
        self.engine = self._moments.engine
        self._lines = [line for line in lines if isinstance(line, FrameLine)]
        for device in recording.devices:
            self._moments.plug(0, device.source, device.held, device.axes)

    def __iter__(self) -> Iterator[Moment]:
        engine, moments = self.engine, self._moments
        yield moments.moment(0, [])
        place = 0
        while True:
            due = [
                self._lines[place].us if place < len(self._lines) else None,
                moments.next_due_us,
            ]
            us = min((each for each in due if each is not None), default=self.end_us)
            if us >= self.end_us:
                break
            changes = list(moments.hands.settle(us))
            engine.advance(us)
            while place < len(self._lines) and self._lines[place].us == us:
                line = self._lines[place]
                changes += moments.feed(us, line.device, line.events)
                place += 1
            moment = moments.moment(us, changes)
            if not moment.is_empty:
                yield moment
        engine.pause(self.end_us)
        yield moments.moment(self.end_us, [])
