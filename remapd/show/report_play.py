"""A recording played through its layout, and all that a report tells of it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Final

from remapd.engine import Layout, OutputFrame
from remapd.engine.notices import Notice, NoticeKind
from remapd.engine.pad_controls import STICK_NAMES, TARGET_NAMES
from remapd.recording.pad_changes import PRESS, STICK_FULL, Change, PadView
from remapd.recording.player import LoadLayout, Player
from remapd.recording.reader import RecordingReader
from remapd.show.watched_engine import Watched, WatchedEngine

#: A stick's way is kept as the furthest in each so much time.
BUCKET_US: Final = 100_000
_TRIGGER_FULL: Final = 255
_BEGINS: Final = {
    NoticeKind.LATCH_ON: NoticeKind.LATCH_OFF,
    NoticeKind.KEEP_ON: NoticeKind.KEEP_OFF,
    NoticeKind.TURBO_ON: NoticeKind.TURBO_OFF,
    NoticeKind.PUSH_ON: NoticeKind.PUSH_OFF,
}
_PAD_ORDER: Final = (*STICK_NAMES, *TARGET_NAMES)
_ENDS: Final = {end: begin for begin, end in _BEGINS.items()}


@dataclass(slots=True)
class PadTrack:
    """One control of the pad as the game saw it.

    `stretches` are when it was pressed or out of its rest; `levels` the furthest way, 0 to 1, in
    each bucket of time, for sticks and triggers.
    """

    name: str
    stretches: list[tuple[int, int]] = field(default_factory=list)
    levels: dict[int, float] = field(default_factory=dict)
    began_us: int | None = None
    level: float = 0.0
    level_us: int = 0

    def set(self, us: int, level: float) -> None:
        """Where it is from now on: 0 at rest to 1."""
        self._fill(us)
        if level and self.began_us is None:
            self.began_us = us
        elif not level and self.began_us is not None:
            self.stretches.append((self.began_us, us))
            self.began_us = None
        self.level, self.level_us = level, us
        self._fill(us)

    def _fill(self, us: int) -> None:
        if self.level:
            for bucket in range(self.level_us // BUCKET_US, us // BUCKET_US + 1):
                self.levels[bucket] = max(self.levels.get(bucket, 0.0), self.level)


@dataclass(slots=True)
class Lasting:
    """Something that stayed on by itself, and when."""

    label: str
    person: int
    stretches: list[tuple[int, int]] = field(default_factory=list)
    began_us: int | None = None


@dataclass(slots=True)
class Play:
    """A session as a report tells it; times are microseconds from its beginning."""

    layout: Layout
    duration_us: int
    watched: Watched
    pad: dict[str, PadTrack]
    lasting: list[Lasting]
    overruled: int
    marks: list[tuple[int, str]]
    notes: list[str]


class PlayReading:
    """Plays a recording. Iterate, for progress; `play` is there when that is over."""

    def __init__(
        self, recording: RecordingReader, layout: Layout | None, load_layout: LoadLayout
    ) -> None:
        """Raises RecordingError as the player does."""
        self._engines: list[WatchedEngine] = []
        self.player = Player(recording, layout, load_layout=load_layout, make_engine=self._engine)
        self._pad: dict[str, PadTrack] = {}
        self._lasting: dict[tuple[NoticeKind, str, int], Lasting] = {}
        self._overruled = 0

    def _engine(self, layout: Layout) -> WatchedEngine:
        self._engines.append(WatchedEngine(layout))
        return self._engines[0]

    def __iter__(self) -> Iterator[OutputFrame]:
        player, engine = self.player, self._engines[0]
        layout = player.layout
        view = PadView(faces_as_specified=layout.faces_as_specified)
        for frame in player:
            if player.layout is not layout:
                layout = player.layout
                view.use_faces(as_specified=layout.faces_as_specified)
            self._changes(view.apply(frame.us, frame.events))
            self._noticed(engine.drain_notices())
            yield frame
        self._noticed(engine.drain_notices())
        end_us = player.now_us
        engine.finish(end_us)
        for track in self._pad.values():
            track.set(end_us, 0.0)
        for lasting in self._lasting.values():
            _end(lasting, end_us)

    @property
    def play(self) -> Play:
        """All that was seen."""
        return Play(
            self.player.layout,
            self.player.now_us,
            self._engines[0].watched,
            {name: self._pad[name] for name in _PAD_ORDER if name in self._pad},
            list(self._lasting.values()),
            self._overruled,
            self.player.marks,
            self.player.notes,
        )

    def _changes(self, changes: Iterable[Change]) -> None:
        for change in changes:
            track = self._pad.get(change.control)
            if track is None:
                track = self._pad[change.control] = PadTrack(change.control)
            track.set(change.us, _level(change))

    def _noticed(self, notices: Iterable[Notice]) -> None:
        for notice in notices:
            kind = notice.kind
            if kind is NoticeKind.OVERRULED:
                self._overruled += 1
            elif kind in _BEGINS or kind in _ENDS:
                begin = _ENDS.get(kind, kind)
                key = (begin, notice.text, notice.person or 0)
                lasting = self._lasting.setdefault(key, Lasting(notice.text, notice.person or 0))
                _end(lasting, notice.us)
                if kind in _BEGINS:
                    lasting.began_us = notice.us


def _end(lasting: Lasting, us: int) -> None:
    if lasting.began_us is not None:
        lasting.stretches.append((lasting.began_us, us))
        lasting.began_us = None


def _level(change: Change) -> float:
    value = change.value
    if isinstance(value, tuple):
        return min(1.0, math.hypot(*value) / STICK_FULL)
    if value is not None:
        return value / _TRIGGER_FULL
    return float(change.what == PRESS)
