"""An engine under random input, with the pad watched frame by frame for what must never be."""

from __future__ import annotations

import struct
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final

from remapd.codes import AXES, EV_ABS, EV_KEY, EV_REL, EV_SYN
from remapd.engine import Engine, Layout, Notice, NoticeKind, OutputFrame, TraceLine
from remapd.engine.axis_frames import AxisFrames
from remapd.engine.layout import ButtonControl
from remapd.engine.machine import LONG_WAY
from remapd.engine.output import AXIS_CODES
from tests.support.strategies import SOURCE_BUTTONS, SOURCES, Hand, Step

#: Keys in pad order; the two upper face codes may stand either way round (`pad: faces`).
_KEY_RANK: Final = {
    0x130: 0, 0x131: 1, 0x133: 2, 0x134: 2, 0x136: 4, 0x137: 5, 0x13A: 6, 0x13B: 7, 0x13C: 8,
    0x13D: 9, 0x13E: 10,
}  # fmt: skip
_HAT_RANK: Final = {AXES["ABS_HAT0Y"]: 11, AXES["ABS_HAT0X"]: 12}
_AXIS_RANK: Final = {
    AXES[name]: rank
    for rank, name in enumerate(("ABS_X", "ABS_Y", "ABS_RX", "ABS_RY", "ABS_Z", "ABS_RZ"))
}
_TRIGGERS: Final = {AXES["ABS_Z"], AXES["ABS_RZ"]}


@dataclass
class WatchedPad:
    """The pad as a game sees it; `see` fails where a frame breaks a law of section 7."""

    state: dict[tuple[int, int], int] = field(default_factory=dict)
    changed_us: dict[tuple[int, int, int], int] = field(default_factory=dict)
    last_us: int = 0

    def see(self, frame: OutputFrame, shortest_us: int) -> None:
        """One frame; `shortest_us` is 0 where the frame is one that is not delayed."""
        events = list(zip(frame.events[0::3], frame.events[1::3], frame.events[2::3], strict=True))
        assert frame.us >= self.last_us
        self.last_us = frame.us
        assert events[-1] == (EV_SYN, 0, 0)
        assert len(events) > 1, "a frame in which nothing changed"
        ranks = []
        for kind, code, value in events[:-1]:
            key = (kind, code)
            assert value != self.state.get(key, 0), f"{key} is {value} already"
            if kind == EV_KEY:
                assert value in (0, 1)
                ranks.append((value, _KEY_RANK[code]))
            else:
                assert kind == EV_ABS
                if code in _HAT_RANK:
                    assert value in (-1, 0, 1)
                    ranks.append((abs(value), _HAT_RANK[code]))
                else:
                    low, high = (0, 255) if code in _TRIGGERS else (-32767, 32767)
                    assert low <= value <= high
                    ranks.append((2, _AXIS_RANK[code]))
            if kind == EV_KEY or code in _HAT_RANK:
                before = self.state.get(key, 0)
                for sign in (1, -1):  # of a hat, each direction is a button of its own
                    if (before == sign) != (value == sign):
                        self._turns((kind, code, sign), frame.us, shortest_us)
            self.state[key] = value
        assert ranks == sorted(ranks), f"out of order: {events}"
        for stick in (("ABS_X", "ABS_Y"), ("ABS_RX", "ABS_RY")):
            x, y = (self.state.get((EV_ABS, AXES[name]), 0) for name in stick)
            assert x * x + y * y <= 32768**2, f"outside the unit circle: {x}, {y}"

    def _turns(self, button: tuple[int, int, int], us: int, shortest_us: int) -> None:
        since_us = us - self.changed_us.get(button, -(10**9))
        assert since_us >= shortest_us, f"{button} changed again after {since_us} us"
        self.changed_us[button] = us

    @property
    def neutral(self) -> bool:
        """Whether everything is at rest."""
        return not any(self.state.values())


class Play:
    """One engine, hands on three sources, and all that came out.

    `short`: frames of axes are given as the daemon gives them. Then `went_short` counts those of
    which nothing but points came.
    """

    def __init__(
        self,
        first: Layout,
        second: Layout | None = None,
        *,
        explain: bool = True,
        short: bool = False,
    ):
        self.short = short
        self.went_short = 0
        self._axis_frames: dict[tuple[tuple[int, int], ...], AxisFrames] = {}
        self.layouts = [first, second or first]
        self.now_us = 0
        self.engine = Engine(first, explain=explain)
        self.frames: list[OutputFrame] = []
        self.notices: list[Notice] = []
        self.pad = WatchedPad()
        self.plugged: set[int] = set()
        #: Physical state: keys that are down and axes that are out, by source.
        self.down: list[set[int]] = [set() for _ in SOURCES]
        self.axes: list[dict[int, int]] = [dict.fromkeys(source.axes, 0) for source in SOURCES]
        #: Times at which a frame may be one that is not delayed.
        self.undelayed_us: set[int] = set()
        self.paused = False
        self.shortest_us = first.shortest_press_us
        for source in SOURCES:
            self.plug(source.id)

    # ------------------------------------------------------------ steps
    def wait_us(self, step: Step) -> int:
        """How far time goes on before a step."""
        if step.wait is not None:
            return step.wait
        deadline_us = self.engine.next_deadline_us
        return 0 if deadline_us is None else min(deadline_us - self.now_us, 30_000_000)

    def do(self, step: Step, wait_us: int) -> None:
        """Time goes on by `wait_us`, and then the step happens; nothing is advanced before it."""
        self.now_us += wait_us
        match step.what:
            case "frame":
                self.move(step.source, step.hands)
            case "unplug":
                self.unplug(step.source)
            case "plug":
                self.plug(step.source)
            case "swap":
                self.swap()
            case "release":
                self.release_everything()
            case "pause":
                self.pause()
            case "resume":
                self.resume()
        self.drain()

    def run(self, script: Iterable[Step]) -> list[int]:
        """All steps; returns how far time went on before each."""
        waits = []
        for step in script:
            waits.append(self.wait_us(step))
            self.do(step, waits[-1])
        return waits

    # ------------------------------------------------------------ what can happen
    def move(self, source: int, hands: Iterable[Hand]) -> None:
        """One frame of a source; a source that is not there only has its state changed."""
        events = []
        for hand in hands:
            if hand.kind == "key":
                self.down[source] ^= {hand.code}
                events.append((EV_KEY, hand.code, int(hand.code in self.down[source])))
            elif hand.kind == "axis":
                self.axes[source][hand.code] = hand.value
                events.append((EV_ABS, hand.code, hand.value))
            else:
                events.append((EV_REL, hand.code, hand.value))
        if source not in self.plugged:
            self.engine.advance(self.now_us)
        elif self.short and all(kind != EV_KEY for kind, _, _ in events):
            self.move_axes(source, events)
        else:
            self.engine.feed(self.now_us, source, events)
        self.drain()

    def move_axes(self, source: int, events: list[tuple[int, int, int]]) -> None:
        """One frame of axes alone, the short way."""
        axes = tuple((kind, code) for kind, code, _ in events)
        if axes not in self._axis_frames:
            self._axis_frames[axes] = AxisFrames(axes, first=1, step=5)
        data = b"".join(struct.pack("<xi", value) for _, _, value in events)
        moved = self.engine.feed_axes(self.now_us, source, self._axis_frames[axes], data)
        if moved != LONG_WAY:
            assert not self.engine.output
            self.went_short += 1
            if moved:
                events_out: list[int] = []
                for number, code in enumerate(AXIS_CODES):
                    if moved >> number & 1:
                        events_out += (EV_ABS, code, self.engine.positions[number])
                self.engine.output.append(OutputFrame(self.now_us, [*events_out, 0, 0, 0]))

    def unplug(self, source: int) -> None:
        """A source goes."""
        if source not in self.plugged:
            self.engine.advance(self.now_us)
        else:
            self.plugged.discard(source)
            self.undelayed_us.add(self.now_us)
            self.engine.unplug(self.now_us, source)
        self.drain()

    def plug(self, source: int) -> None:
        """A source comes, in the state that its hands have it in."""
        if source in self.plugged or self.paused:
            self.engine.advance(self.now_us)
        else:
            self.plugged.add(source)
            self.engine.plug(
                self.now_us, SOURCES[source], set(self.down[source]), dict(self.axes[source])
            )
        self.drain()

    def swap(self) -> None:
        """The other layout takes over; what was due before is the engine's to do first."""
        self.layouts.reverse()
        self.shortest_us = min(layout.shortest_press_us for layout in self.layouts)
        self.undelayed_us.add(self.now_us)
        self.engine.swap_layout(self.now_us, self.layouts[0])
        self.drain()

    def release_everything(self) -> None:
        """As the control socket does it."""
        self.undelayed_us.add(self.now_us)
        self.engine.release_everything(self.now_us)
        self.drain()

    def pause(self) -> None:
        """Devices are given back."""
        if self.paused:
            self.engine.advance(self.now_us)
        else:
            self.paused = True
            self.plugged.clear()
            self.undelayed_us.add(self.now_us)
            self.engine.pause(self.now_us)
        self.drain()

    def resume(self) -> None:
        """Devices are taken again, as plugging in."""
        if not self.paused:
            self.engine.advance(self.now_us)
        else:
            self.paused = False
            self.engine.resume(self.now_us)
            for source in SOURCES:
                self.plug(source.id)
        self.drain()

    def let_go(self) -> None:
        """Every hand lets go of everything, one source after another, at the present time.

        An inverted button is let go by pressing its key down.
        """
        inverted = {
            (control.device, control.code)
            for control in self.layouts[0].controls
            if isinstance(control, ButtonControl) and control.inverted
        }
        for source in SOURCES:
            hands = [
                Hand(source.id, "key", code, 0)
                for code in SOURCE_BUTTONS[source.id]
                if (code in self.down[source.id]) != ((source.id, code) in inverted)
            ]
            hands += [Hand(source.id, "axis", code, 0) for code in source.axes]
            self.move(source.id, hands)

    def run_out(self, limit_us: int = 120_000_000) -> None:
        """Time goes on until no timer is left, each deadline by itself."""
        end_us = self.now_us + limit_us
        while (deadline_us := self.engine.next_deadline_us) is not None and deadline_us <= end_us:
            self.until(deadline_us)

    def until(self, us: int) -> None:
        """Time goes on to `us`, and law 5 is looked at."""
        self.now_us = us
        self.engine.advance(us)
        self.drain()
        deadline_us = self.engine.next_deadline_us
        assert deadline_us is None or deadline_us > us, "a deadline that is past"

    # ------------------------------------------------------------ what came out
    def drain(self) -> None:
        """Takes what came out and watches it."""
        notices = self.engine.drain_notices()
        self.notices.extend(notices)
        for notice in notices:
            # An action can release everything or begin a rest: that frame is not delayed either.
            if notice.kind in {NoticeKind.RELEASED, NoticeKind.REST_ON}:
                self.undelayed_us.add(notice.us)
        for frame in self.engine.drain():
            assert frame.us <= self.now_us
            free = frame.us in self.undelayed_us
            self.pad.see(frame, 0 if free else self.shortest_us)
            self.frames.append(frame)

    @property
    def trace(self) -> list[TraceLine]:
        """The engine's decisions so far."""
        return self.engine.trace

    def told(self) -> tuple[list[tuple[int, list[int]]], list[Notice], list[TraceLine]]:
        """All that came out, for comparing two plays."""
        return [(f.us, list(f.events)) for f in self.frames], self.notices, list(self.trace)
