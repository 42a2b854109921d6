"""The one loop: one poll, one clock, one timer for the engine and one for everything else.

The way of a frame is short and flat on purpose: one read gives frames, the engine takes each, and
what it answers goes out in one write. Whatever else happens (a client, a layout, a plug) comes
after the input that the same poll has found.
"""

from __future__ import annotations

import heapq
import itertools
import select
import time
from collections.abc import Callable
from typing import Final

from remapd.daemon.figures import STEP_US, STEPS, Figures
from remapd.daemon.memory import CHUNK_FRAMES, Memory
from remapd.engine.machine import Engine
from remapd.engine.timers import NEVER_US
from remapd.kernel.pad import Pad
from remapd.kernel.source import SourceDevice
from remapd.kernel.timer import Timer, monotonic_us

Events = list[tuple[int, int, int]]

_LAST_STEP: Final = STEPS - 1


class OpenedDevice:
    """A source that the loop reads. `on_frame` is called after each frame, where there is one."""

    __slots__ = ("device", "id", "on_frame", "path", "source")

    def __init__(self, device: SourceDevice) -> None:
        self.device = device
        self.source = device.source
        self.id = device.source.id
        self.path = device.path
        self.on_frame: Callable[[int, Events], None] | None = None


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
        self.lost: Callable[[OpenedDevice], None] = _ignore
        self.after_turn: Callable[[], None] = _nothing
        #: Whoever wants to see input and output as they pass; None while nobody does.
        self.watch_input: Callable[[int, int, Events], None] | None = None
        self.watch_output: Callable[[int, list[int]], None] | None = None
        #: The time up to which the engine has been brought; it never falls.
        self.reached_us = 0
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
        self._poll.register(fd, select.EPOLLIN)

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
            ready = poll()
            if len(ready) == 1:  # nearly always
                fd, mask = ready[0]
                opened = sources.get(fd)
                if opened is not None:
                    self._take(opened)
                else:
                    self._handle(fd, mask)
            else:
                self._take_several([sources[fd] for fd, _ in ready if fd in sources])
                for fd, mask in ready:
                    if fd not in sources and not self._stopped:
                        self._handle(fd, mask)
            if len(self.memory.pending) >= CHUNK_FRAMES:
                self.memory.turn_over()

    def stop(self) -> None:
        """Ends `run` after this turn."""
        self._stopped = True

    def flush(self) -> None:
        """Writes what the engine has given out beside input, and tells of its notices."""
        engine = self.engine
        if engine.output:
            self._write(engine)
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
        frames = device.read_frames()
        if frames is None:
            self.lost(opened)
            return
        plain = device.plain
        if plain is not None and frames[0][0] >= self.reached_us:
            us, events = frames[0]
            self.reached_us = us
            engine = self.engine
            engine.feed(us, opened.id, events)
            if engine.output:
                self._write(engine, us)
            self.memory.pending.append((opened.id, plain))
            self._show(us, opened, events)
        else:
            for us, events in frames:
                self._feed(us, opened, events)
        self._finish_turn()

    def _take_several(self, several: list[OpenedDevice]) -> None:
        """Reads several devices and passes their frames on in the order of time."""
        frames: list[tuple[int, int, OpenedDevice, Events]] = []
        gone: list[OpenedDevice] = []
        for opened in several:
            read = opened.device.read_frames()
            if read is None:
                gone.append(opened)
            else:
                frames += [(us, len(frames) + n, opened, e) for n, (us, e) in enumerate(read)]
        frames.sort()
        for us, _, opened, events in frames:
            self._feed(us, opened, events)
        for opened in gone:
            self.lost(opened)
        self._finish_turn()

    def _finish_turn(self) -> None:
        """What is left to do after input, all of it after the pad has been written."""
        self.turns_with_input += 1
        self._arm()
        if self.engine.notices or self.engine.trace:
            self.after_turn()
        if self.resting:
            self.resting = False
            self.on_wake()

    def _feed(self, us: int, opened: OpenedDevice, events: Events) -> None:
        """One frame: to the engine, and what it answers to the pad."""
        if us < self.reached_us:  # it was stamped before another device's, and read after it
            us = self.reached_us
        else:
            self.reached_us = us
        engine = self.engine
        engine.feed(us, opened.id, events)
        if engine.output:
            self._write(engine, us)
        self.memory.pending.append((us, opened.id, events))
        self._show(us, opened, events)

    def _show(self, us: int, opened: OpenedDevice, events: Events) -> None:
        """Lets whoever wants to see it see a frame that has been played."""
        if opened.on_frame is not None:
            opened.on_frame(us, events)
        if self.watch_input is not None:
            self.watch_input(us, opened.id, events)

    def _write(self, engine: Engine, caused_us: int | None = None) -> None:
        """Sends what the engine has given out; counts the delay since the input that caused it."""
        pad = self.pad
        frames = engine.drain()
        for frame in frames:
            pad.write(frame.events)
        if caused_us is not None:
            delay_us = time.monotonic_ns() // 1000 - caused_us
            figures = self.figures
            step = delay_us // STEP_US
            figures.counts[step if step < STEPS else _LAST_STEP] += 1
            if delay_us > figures.longest_us:  # noqa: PLR1730 - a call less in every frame
                figures.longest_us = delay_us
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
        if engine.output:
            self._write(engine)
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


def _ignore(opened: OpenedDevice) -> None:
    del opened


def _nothing() -> None:
    pass
