"""A layout whose presses and leans are written down while hands play it on virtual time."""

from __future__ import annotations

from remapd.analysis.why.account import Entry, account
from remapd.analysis.why.leaning import LeanLog
from remapd.engine.layout import Layout
from remapd.recording.driver import ControlDriver
from tests.support.layouts import load_or_fail


class Logged:
    """One log with the layout's stand-in devices plugged in at time 0; times in milliseconds."""

    def __init__(self, layout: str | Layout) -> None:
        self.layout = load_or_fail(layout) if isinstance(layout, str) else layout
        self.driver = ControlDriver(self.layout)
        self.log = LeanLog(self.layout)
        for stand_in in self.driver.stand_ins:
            self.log.plug(0, stand_in.source, stand_in.held, stand_in.axes)

    def tap(self, name: str, at: int, length: int) -> Logged:
        """A press and its release."""
        self._feed(self.driver.press(name), at)
        self._feed(self.driver.release(name), at + length)
        return self

    def press(self, name: str, at: int) -> Logged:
        """A press."""
        self._feed(self.driver.press(name), at)
        return self

    def release(self, name: str, at: int) -> Logged:
        """A release."""
        self._feed(self.driver.release(name), at)
        return self

    def move(self, name: str, x: float, y: float, at: int) -> Logged:
        """A stick or lever deflected, shares of the way."""
        self._feed(self.driver.move(name, x, y), at)
        return self

    def entries(self, until: int) -> list[Entry]:
        """The account from the beginning, when time has come so far."""
        self.log.advance(until * 1000)
        return account(self.log, 0, until * 1000)

    def _feed(self, what: tuple[int, list[tuple[int, int, int]]], at: int) -> None:
        device, events = what
        self.log.feed(at * 1000, self.driver.stand_in(device).source.id, events)
