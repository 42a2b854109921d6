"""Plays a recording into a pad that games see, each change at its own time.

The engine still runs on virtual time, a change ahead of what is shown; only the writing waits. Each
wait ends at a point of time counted from the beginning, so that lateness never adds up.
"""

from __future__ import annotations

import select
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

from remapd.kernel.pad import Pad
from remapd.kernel.timer import Timer, monotonic_us
from remapd.recording.player import Player

_LOOK_US: Final = 1_000_000
_REPORT: Final = [0, 0, 0]


class RealTime:
    """One playing of `player` into `pad`, `speed` times as fast as it was.

    `frames` counts what was written, `latest_us` is how late the latest of it was. The marks of the
    recording are told on standard error when their time comes.
    """

    def __init__(self, player: Player, pad: Pad, speed: float) -> None:
        self.frames = 0
        self.latest_us = 0
        self._player = player
        self._pad = pad
        self._speed = speed
        self._start_us = 0
        self._driven: dict[tuple[int, int], int] = {}
        self._timer = Timer()
        self._poll = select.poll()
        self._poll.register(self._timer, select.POLLIN)
        self._shows = sys.stderr.isatty()

    def play(self, delay_us: int) -> None:
        """Waits so long, for games to find the pad, then plays to the recording's end.

        However it ends, the pad is at rest afterwards. Raises PadLost.
        """
        with _interrupted_by_sigterm():
            try:
                self._start_us = monotonic_us() + delay_us
                for frame in self._player:
                    self._tell_marks()
                    self._wait_until(frame.us)
                    self._write(frame.events)
                self._tell_marks()
                self._wait_until(self._player.now_us)
            finally:
                self._clear_line()
                self._timer.close()
                self._rest()

    def _write(self, events: list[int]) -> None:
        parts = (events[0:-3:3], events[1:-3:3], events[2:-3:3])
        for event_type, code, value in zip(*parts, strict=True):
            self._driven[event_type, code] = value
        self._pad.write(events)
        self.frames += 1

    def _rest(self) -> None:
        """Everything let go: a pad that vanishes while pressed stays pressed in some games."""
        driven = [place for place, value in self._driven.items() if value]
        if driven:
            self._driven.clear()
            self._pad.write([part for place in driven for part in (*place, 0)] + _REPORT)

    def _wait_until(self, us: int) -> None:
        """Until the recording's time `us` has come."""
        due_us = self._start_us + round(us / self._speed)
        while (now_us := monotonic_us()) < due_us:
            self._timer.arm(min(due_us, now_us + _LOOK_US) if self._shows else due_us)
            if self._poll.poll():
                self._timer.acknowledge()
            self._show()
        self.latest_us = max(self.latest_us, monotonic_us() - due_us)

    def _tell_marks(self) -> None:
        for us, text in self._player.marks:
            self._wait_until(us)
            self._clear_line()
            print(f"{us / 1e6:.1f} s --- {text} ---", file=sys.stderr)
        self._player.marks.clear()

    # ---------------------------------------------------------------- the terminal's last line
    def _show(self) -> None:
        if not self._shows:
            return
        wait_us = self._start_us - monotonic_us()
        if wait_us > 0:
            text = f"the pad is there; playing begins in {wait_us / 1e6:.0f} s, Ctrl-C ends it"
        else:
            text = f"playing: {-wait_us * self._speed / 1e6:.0f} s, Ctrl-C ends it"
        print(f"\r{text:<64}", end="", file=sys.stderr, flush=True)

    def _clear_line(self) -> None:
        if self._shows:
            print(f"\r{'':<64}\r", end="", file=sys.stderr, flush=True)


@contextmanager
def _interrupted_by_sigterm() -> Iterator[None]:
    """Whoever is told to end by a signal lets go of the pad too."""
    before = signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)
