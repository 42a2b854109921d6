"""The one loop: one poll, one clock, one timer for the engine and one for everything else.

The way of a frame is short and flat on purpose: one read gives frames, the engine takes each, and
what it answers goes out in one write. A frame of moving axes, which nearly all are, goes an even
shorter one (`Engine.feed_axes`). Whatever else happens (a client, a layout, a plug) comes after
the input that the same poll has found.
"""

from __future__ import annotations

import heapq
import itertools
import select
import time
from collections.abc import Callable, Sequence
from typing import Any, Final, TypeAlias

from remapd.daemon.figures import Figures
from remapd.daemon.memory import CHUNK_FRAMES, Memory
from remapd.engine.machine import LONG_WAY, Engine
from remapd.engine.timers import NEVER_US
from remapd.kernel.frames import PlainKind, frame_us
from remapd.kernel.pad import Pad
from remapd.kernel.source import SourceDevice
from remapd.kernel.timer import Timer, monotonic_us

Events = list[tuple[int, int, int]]

#: A source is read until it is empty, so the kernel need not look again whether it is: that would
#: cost it a look at each source that has just been read, in every turn.
_WHEN_MORE_COMES: Final = select.EPOLLIN | select.EPOLLET

#: So many descriptors at most are looked at in one turn; the next one looks at the others.
_MOST_READY: Final = 16


class OpenedDevice:
    """A source that the loop reads. `on_frame` is called after each frame, where there is one."""

    __slots__ = ("device", "id", "on_frame", "path", "source")

    def __init__(self, device: SourceDevice) -> None:
        self.device = device
        self.source = device.source
        self.id = device.source.id
        self.path = device.path
        self.on_frame: Callable[[int, Events], None] | None = None


#: When, after how many others, from which device; its kind and its bytes where it is plain, else
#: None and its events.
Arrived: TypeAlias = tuple[int, int, OpenedDevice, PlainKind | None, Any]


class Alarm:
    """A call that the loop makes at a set time; `set` again puts it off."""

    __slots__ = ("_loop", "call", "due_us")

    def __init__(self, loop: Loop, call: Callable[[int], None]) -> None:
        self._loop = loop
        #: Called with the time now (µs).
        self.call = call
        self.due_us: int | None = None

    def set(self, due_us: int | None) -> None:
        """Makes it ring at `due_us`; None: not at all."""
        self.due_us = due_us
        if due_us is not None:
            self._loop.remember(due_us, self)


class Loop:
    """Polls, and hands on what has come, until `stop` is called.

    `lost` is called with a device that is gone; `after_turn` after each turn in which the engine
    had something to tell or there was another event than input.
    """

    def __init__(self, engine: Engine, pad: Pad, memory: Memory, figures: Figures) -> None:
        self.engine = engine
        self.pad = pad
        self.figures = figures
        self.memory = memory
        # at hand, as a look into another module costs as much as a good part of the engine
        self._remembered = memory.pending
        self._monotonic_ns: Callable[[], int] = time.monotonic_ns
        self.lost: Callable[[OpenedDevice], None] = _ignore
        self.after_turn: Callable[[], None] = _nothing
        #: Whoever wants to see input and output as they pass; None while nobody does. See `watch`.
        self.watch_input: Callable[[int, int, Events], None] | None = None
        self.watch_output: Callable[[int, list[int]], None] | None = None
        #: The time up to which the engine has been brought; it never falls.
        self.reached_us = 0
        self._watched = False
        #: How many turns had input; `resting` is set by whoever wants `on_wake` at the next one.
        self.turns_with_input = 0
        self.resting = True
        self.on_wake: Callable[[], None] = _nothing
        self._poll = select.epoll()
        self._sources: dict[int, OpenedDevice] = {}
        self._handlers: dict[int, Callable[[int], None]] = {}
        self._timer = Timer()
        self._armed_us = NEVER_US
        self._handlers[self._timer.fileno()] = self._time_is_up
        self._poll.register(self._timer.fileno(), select.EPOLLIN)
        self._alarm_timer = Timer()
        self.add(self._alarm_timer.fileno(), self._ring)
        self._alarms: list[tuple[int, int, Alarm]] = []
        self._alarm_order = itertools.count()
        self._stopped = False

    # ---------------------------------------------------------------- what is polled
    def add(self, fd: int, handler: Callable[[int], None], mask: int = select.EPOLLIN) -> None:
        """From now on `handler` is called with the poll's mask when `fd` has something."""
        self._handlers[fd] = handler
        self._poll.register(fd, mask)

    def change(self, fd: int, mask: int) -> None:
        """Polls `fd` for something else."""
        self._poll.modify(fd, mask)

    def remove(self, fd: int) -> None:
        """`fd` is polled no more; call it before the descriptor is closed."""
        if self._handlers.pop(fd, None) is not None:
            self._poll.unregister(fd)

    def add_source(self, opened: OpenedDevice) -> None:
        """Reads this device from now on."""
        fd = opened.device.fileno()
        self._sources[fd] = opened
        self._poll.register(fd, _WHEN_MORE_COMES)

    def remove_source(self, opened: OpenedDevice) -> None:
        """Reads it no more; call it before the device is closed."""
        fd = opened.device.fileno()
        if self._sources.pop(fd, None) is not None:
            self._poll.unregister(fd)

    def alarm(self, call: Callable[[int], None]) -> Alarm:
        """A new alarm, not set."""
        return Alarm(self, call)

    def remember(self, due_us: int, alarm: Alarm) -> None:
        """For `Alarm.set`."""
        heapq.heappush(self._alarms, (due_us, next(self._alarm_order), alarm))
        self._alarm_timer.arm(self._alarms[0][0])

    def watch(
        self,
        watch_input: Callable[[int, int, Events], None] | None,
        watch_output: Callable[[int, list[int]], None] | None,
    ) -> None:
        """From now on these see input and output as they pass."""
        self.watch_input = watch_input
        self.watch_output = watch_output
        self._watched = watch_input is not None or watch_output is not None

    # ---------------------------------------------------------------- time
    def now(self) -> int:
        """The time for what happens beside input: never before what the engine has seen."""
        return max(monotonic_us(), self.reached_us)

    def at(self, us: int) -> int:
        """Notes that the engine is about to be told of something at `us`; the time to tell it."""
        self.reached_us = max(us, self.reached_us)
        return self.reached_us

    # ---------------------------------------------------------------- running
    def run(self) -> None:
        """Runs until `stop`."""
        poll = self._poll.poll
        sources = self._sources
        while not self._stopped:
            ready = poll(-1, _MOST_READY)
            if len(ready) == 1:  # nearly always
                fd, mask = ready[0]
                opened = sources.get(fd)
                if opened is not None:
                    self._take(opened)
                else:
                    self._handle(fd, mask)
            else:
                several: list[OpenedDevice] = []
                others: list[tuple[int, int]] = []
                for fd, mask in ready:
                    opened = sources.get(fd)
                    if opened is not None:
                        several.append(opened)
                    else:
                        others.append((fd, mask))
                if several:
                    self._take_several(several)
                for fd, mask in others:
                    if not self._stopped:
                        self._handle(fd, mask)
            if len(self._remembered) >= CHUNK_FRAMES:
                self.memory.turn_over()

    def stop(self) -> None:
        """Ends `run` after this turn."""
        self._stopped = True

    def flush(self) -> None:
        """Writes what the engine has given out beside input, and tells of its notices."""
        self._write(())
        self._arm()
        self.after_turn()

    def close(self) -> None:
        """Gives the descriptors back."""
        self._timer.close()
        self._alarm_timer.close()
        self._poll.close()

    # ---------------------------------------------------------------- the hot path
    def _take(self, opened: OpenedDevice) -> None:
        """Reads one device and passes its frames on."""
        device = opened.device
        data = device.read()
        if data is None:
            self.lost(opened)
            return
        kind = device.splitter.plain(data)
        if kind is None:
            self._take_frames(opened, data)
        else:  # one frame of moving axes: nearly all there is
            us = frame_us(data)
            if us < self.reached_us or self._watched or opened.on_frame is not None:
                self._play([(us, 0, opened, kind, data)])
            else:
                self.reached_us = us
                moved = self.engine.feed_axes(us, opened.id, kind.axes, data)
                if moved > 0:
                    self.pad.write_axes(moved, self.engine.positions)
                    self.figures.add(self._monotonic_ns() // 1000 - us)
                elif moved == LONG_WAY:
                    self._write((us,))
                    self._finish()
                self._remembered.append((opened.id, data))
        self.turns_with_input += 1
        if self.resting:
            self.resting = False
            self.on_wake()

    def _take_frames(self, opened: OpenedDevice, data: bytes) -> None:
        """Whatever else one device gives."""
        arrived: list[Arrived] = []
        is_there = _sort_in(opened, data, arrived)
        self._play(arrived)
        if not is_there:
            self.lost(opened)

    def _take_several(self, several: list[OpenedDevice]) -> None:
        """Reads several devices and passes their frames on in the order of time."""
        arrived: list[Arrived] = []
        gone: list[OpenedDevice] = []
        for opened in several:
            data = opened.device.read()
            if data is None:
                gone.append(opened)
                continue
            kind = opened.device.splitter.plain(data)
            if kind is not None:
                arrived.append((frame_us(data), len(arrived), opened, kind, data))
            elif not _sort_in(opened, data, arrived):
                gone.append(opened)
        arrived.sort()
        self._play(arrived)
        for opened in gone:
            self.lost(opened)
        self.turns_with_input += 1
        if self.resting:
            self.resting = False
            self.on_wake()

    def _play(self, arrived: list[Arrived]) -> None:
        """Frames in the order of time: to the engine, and what it answers to the pad at once."""
        engine = self.engine
        remembered = self._remembered
        causes: list[int] = []
        shown: list[tuple[int, OpenedDevice, Events]] = []
        for stamped_us, _, opened, kind, what in arrived:
            us = max(stamped_us, self.reached_us)  # one may be read after another's later frame
            self.reached_us = us
            answers = len(engine.output)
            watched = self._watched or opened.on_frame is not None
            if kind is not None and us == stamped_us and not watched:
                moved = engine.feed_axes(us, opened.id, kind.axes, what)
                remembered.append((opened.id, what))
                if moved > 0:
                    if causes:
                        self._write(causes)  # what came before it
                        causes.clear()
                    self.pad.write_axes(moved, engine.positions)
                    self.figures.add(self._monotonic_ns() // 1000 - us)
                    continue
            else:
                events = what if kind is None else kind.triples(what)
                engine.feed(us, opened.id, events)
                remembered.append(
                    (us, opened.id, events)
                    if kind is None or us != stamped_us
                    else (opened.id, what)
                )
                if watched:
                    shown.append((us, opened, events))
            if len(engine.output) > answers:
                causes.append(us)
        self._write(causes)
        for us, opened, events in shown:
            if opened.on_frame is not None:
                opened.on_frame(us, events)
            if self.watch_input is not None:
                self.watch_input(us, opened.id, events)
        self._finish()

    def _finish(self) -> None:
        """What may be left to do after input, all of it after the pad has been written."""
        self._arm()
        if self.engine.notices or self.engine.trace:
            self.after_turn()

    def _write(self, causes: Sequence[int]) -> None:
        """Sends what the engine has given out; counts the delay since each input that caused it."""
        frames = self.engine.output
        if not frames:
            return
        frames = self.engine.drain()
        self.pad.write_all(frames)
        if causes:
            now_us = self._monotonic_ns() // 1000
            for us in causes:
                self.figures.add(now_us - us)
        if self.watch_output is not None:
            for frame in frames:
                self.watch_output(frame.us, frame.events)

    def _arm(self) -> None:
        """Sets the timer; one that is set too early is left so: it costs less to wake in vain."""
        earliest_us = self.engine.earliest_us
        if earliest_us < self._armed_us:
            self._armed_us = earliest_us
            self._timer.arm(earliest_us)

    # ---------------------------------------------------------------- everything else
    def _handle(self, fd: int, mask: int) -> None:
        handler = self._handlers.get(fd)
        if handler is None:  # removed in this very turn
            return
        if fd == self._timer.fileno():
            handler(mask)
            return
        began_us = monotonic_us()
        handler(mask)
        self.flush()
        self.figures.held_up(monotonic_us() - began_us)

    def _time_is_up(self, mask: int) -> None:
        """What the engine has waited for."""
        del mask
        self._timer.acknowledge()
        self._armed_us = NEVER_US
        engine = self.engine
        now_us = monotonic_us()
        # deadline by deadline, so that a frame that is on its way is not before the engine's time
        while (due_us := engine.next_deadline_us) is not None and due_us <= now_us:
            engine.advance(self.at(due_us))
        self._write(())
        self._arm()
        if engine.notices or engine.trace:
            self.after_turn()

    def _ring(self, mask: int) -> None:
        del mask
        self._alarm_timer.acknowledge()
        now_us = monotonic_us()
        while self._alarms and self._alarms[0][0] <= now_us:
            due_us, _, alarm = heapq.heappop(self._alarms)
            if alarm.due_us == due_us:  # else it was put off or taken back since
                alarm.due_us = None
                alarm.call(self.now())
        if self._alarms:
            self._alarm_timer.arm(self._alarms[0][0])


def _sort_in(opened: OpenedDevice, data: bytes, arrived: list[Arrived]) -> bool:
    """Adds the frames of what was read; False: the device is gone."""
    plain, rest = opened.device.splitter.plain_frames(data)
    for us, kind, piece in plain:
        arrived.append((us, len(arrived), opened, kind, piece))
    if not rest:
        return True
    frames = opened.device.frames_of(rest)
    if frames is None:
        return False
    n = len(arrived)
    arrived += [(us, n + i, opened, None, events) for i, (us, events) in enumerate(frames)]
    return True


def _ignore(opened: OpenedDevice) -> None:
    del opened


def _nothing() -> None:
    pass
