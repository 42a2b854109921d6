"""The reading of layouts as the running daemon sees it: orders out, readings in."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Mapping
from typing import Final

from remapd.daemon.layout_reader import LayoutReader, ReaderLost
from remapd.daemon.loop import Loop
from remapd.daemon.reading import Reading
from remapd.remembered import MovedPlug

_RETRY_US: Final = 1_000_000

Then = Callable[[Reading], None]


class Layouts:
    """Orders layouts from the process that reads them; `then` is called with what became of one."""

    def __init__(self, reader: LayoutReader, remember: tuple[str, str] | None = None) -> None:
        """`remember` are the daemon's name and what it was started with; None: no choice lasts."""
        self.remember = remember
        self._reader: LayoutReader | None = reader
        self._awaited: dict[int, Then] = {}
        self._chosen: set[int] = set()
        self._followed: str | None = None

    def serve(self, loop: Loop, take: Then, lost: Callable[[], None]) -> None:
        """From now on readings are collected by the loop: `take` is called with each.

        `lost` is called when the process has ended; another is started a second later.
        """
        self._loop = loop
        self._take = take
        self._lost = lost
        self._alarm = loop.alarm(self._start_again)
        if self._reader is not None:
            loop.add(self._reader.fileno(), self._collect)

    def follow(self, path: str | None) -> None:
        """The file that a new process is to be given; None: there is none."""
        self._followed = path

    def choose(self, path: str, then: Then, *, beside: str | None = None) -> None:
        """Reads another layout file, which a person has chosen: followed and remembered if valid.

        `beside` is the layout in which `path` is written, for one that an action names.
        """

        def order(reader: LayoutReader) -> int:
            ticket = reader.choose(path, self.remember, beside)
            self._chosen.add(ticket)
            return ticket

        self._order(order, then)

    def is_chosen(self, reading: Reading) -> bool:
        """Whether a person has chosen this layout, rather than saved it."""
        return reading.ticket in self._chosen

    def remember_plugs(self, daemon: str, plugs: Mapping[str, MovedPlug]) -> None:
        """The plugs that moved, to be known at the next start of the daemon of that name."""
        if self._reader is not None:
            with contextlib.suppress(ReaderLost):
                ports = {name: (plug.said, plug.is_at) for name, plug in plugs.items()}
                self._reader.remember_plugs(daemon, ports)

    def use_text(self, text: str, name: str, then: Then) -> None:
        """Reads a layout that is in no file."""
        self._order(lambda reader: reader.text(text, name), then)

    def read_again(self, then: Then) -> None:
        """Reads the followed layout once more, changed or not."""
        self._order(lambda reader: reader.again(), then)

    def close(self) -> None:
        """Ends the process."""
        if self._reader is not None:
            self._reader.close()
            self._reader = None

    def _order(self, order: Callable[[LayoutReader], int], then: Then) -> None:
        if self._reader is not None:
            try:
                self._awaited[order(self._reader)] = then
            except ReaderLost:
                pass  # the poll finds it out too
            else:
                return
        then(_failed("the part that reads layouts is being started again; try once more"))

    def _collect(self, mask: int) -> None:
        del mask
        if self._reader is None:
            return
        try:
            reading = self._reader.collect()
        except ReaderLost:
            self._loop.remove(self._reader.fileno())
            self.close()
            self._lost()
            self._alarm.set(self._loop.now() + _RETRY_US)
            awaited, self._awaited = self._awaited, {}
            self._chosen.clear()
            for then in awaited.values():
                then(_failed("the part that reads layouts has ended"))
            return
        if reading is None:
            return
        self._take(reading)
        self._chosen.discard(reading.ticket)
        awaited_by = self._awaited.pop(reading.ticket, None)
        if awaited_by is not None:
            awaited_by(reading)

    def _start_again(self, now_us: int) -> None:
        del now_us
        self._reader = LayoutReader()
        self._loop.add(self._reader.fileno(), self._collect)
        if self._followed is not None:
            self._reader.use(self._followed)


def _failed(why: str) -> Reading:
    return Reading("", 0, None, problems=why, summary=why)
