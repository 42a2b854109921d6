"""Plays a recording into the engine on virtual time: nothing waits, nothing reads a clock.

The same recording and layout give the same output every time. Timers due by the time of the last
line fire, later ones do not.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import chain
from typing import Final

from remapd.engine import Engine, Layout, Notice, OutputFrame, TraceLine
from remapd.recording.finding import check_found
from remapd.recording.lines import (
    FrameLine,
    LayoutLine,
    Line,
    MarkLine,
    PausedLine,
    PluggedLine,
    RecordingError,
    ReleaseLine,
    UnpluggedLine,
)
from remapd.recording.reader import RecordingReader

#: Builds a layout from the path and the text that a recording holds; raises what it likes.
LoadLayout = Callable[[str, str], Layout]

NO_LAYOUT: Final = "the recording does not begin with a layout of its own"


class Player:
    """One playing of a recording.

    With `layout` given, that layout plays throughout, and the recording's own are left aside (a
    note says so where it changes layouts). Without, `load_layout` builds the recording's own, of
    which the first has to stand before anything happens.

    Iterate for the output frames, once. `notes` is what the user should know of it, filled on the
    way; `marks` are the remarks in the recording as (us, text); `now_us` is how far time has come.
    """

    def __init__(
        self,
        recording: RecordingReader,
        layout: Layout | None = None,
        *,
        load_layout: LoadLayout | None = None,
        explain: bool = False,
        make_engine: Callable[[Layout], Engine] | None = None,
    ) -> None:
        """Raises RecordingError where the layout finds none of the recording's devices.

        `make_engine` makes an engine that is watched while it plays.
        """
        self.recording = recording
        self.notes: list[str] = []
        self.marks: list[tuple[int, str]] = []
        self.now_us = 0
        self._lines: Iterator[Line] = iter(recording)
        self._load_layout = load_layout if layout is None else None
        self._left_aside = 0
        self.layout = self._own_layout() if layout is None else layout
        self.engine = (
            Engine(self.layout, explain=explain)
            if make_engine is None
            else make_engine(self.layout)
        )
        for device in recording.devices:
            self.engine.plug(0, device.source, device.held, device.axes)
        sources = [device.source for device in recording.devices]
        self.notes += check_found(self.layout, recording.file, sources, self.engine.taken)

    def __iter__(self) -> Iterator[OutputFrame]:
        engine = self.engine
        feed = engine.feed
        yield from engine.drain()
        for line in self._lines:
            self.now_us = line.us
            if line.__class__ is FrameLine:
                feed(line.us, line.device, line.events)
            else:
                self._play(line)
            if engine.output:
                yield from engine.drain()
        engine.advance(self.now_us)
        yield from engine.drain()
        self.notes.extend(self.recording.warnings)

    def drain_trace(self) -> list[TraceLine]:
        """The engine's decisions since the last call."""
        return self.engine.drain_trace()

    def drain_notices(self) -> list[Notice]:
        """The engine's notices since the last call."""
        return self.engine.drain_notices()

    # ---------------------------------------------------------------- the lines
    def _play(self, line: Line) -> None:
        engine = self.engine
        match line:
            case PluggedLine():
                device = line.device
                engine.plug(line.us, device.source, device.held, device.axes)
            case UnpluggedLine():
                engine.unplug(line.us, line.device)
            case LayoutLine():
                self._change_layout(line)
            case PausedLine(paused=True):
                engine.pause(line.us)
            case PausedLine():
                engine.resume(line.us)
            case ReleaseLine():
                engine.release_everything(line.us)
            case MarkLine():
                self.marks.append((line.us, line.text))
            case _:
                pass  # the end, and what this version does not know: time goes on to it

    def _change_layout(self, line: LayoutLine) -> None:
        if self._load_layout is not None:
            self.layout = self._load_layout(line.path, line.text)
            self.engine.swap_layout(line.us, self.layout)
            return
        if line.us == 0 and not self._left_aside:
            return  # the one that was in force when the recording began
        self._left_aside += 1
        if self._left_aside == 1:
            self.notes.append(
                f"{self.recording.file}:{self.recording.line_number}: the recording changes to the "
                f"layout `{line.path}` here; the layout given is played throughout"
            )

    def _own_layout(self) -> Layout:
        """The layout that the recording begins with; lines read on the way are played later."""
        seen: list[Line] = []
        for line in self._lines:
            if isinstance(line, LayoutLine) and self._load_layout is not None:
                self._lines = chain(seen, self._lines)
                return self._load_layout(line.path, line.text)
            if not isinstance(line, MarkLine):
                break
            seen.append(line)
        raise RecordingError(
            self.recording.file,
            None,
            NO_LAYOUT,
            "give a layout to play it with: remapd replay LAYOUT RECORDING",
        )
