"""What the hands of a trial do, as frames of raw events in the order of time.

A pointer is the one kind of control that cannot simply be deflected: it sends counts, and each
counts for as long as the pointer's window. A deflection is therefore made of bursts, each of the
counts that it leaves in a full window, and the next comes a microsecond before the last one leaves.
It lasts whole windows, unless it is full: more than full is full.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from remapd.engine.layout import PointerControl
from remapd.recording.driver import ControlDriver, DeviceEvents
from remapd.recording.lines import Event
from remapd.trial import Input, InputKind

#: A pointer that turns sends a frame so often (125 Hz: common practice, no source).
TURN_PERIOD_US: Final = 8_000


@dataclass(slots=True)
class HandFrame:
    """What one device sends at one time; `plug` is True or False where it comes or goes instead."""

    us: int
    device: int
    events: list[Event] = field(default_factory=list)
    plug: bool | None = None


class Hands:
    """The frames of a trial's inputs.

    `frames` are in the order of time. `refills_us` are the times at which a pointer gets new counts
    only to stay where it is. `end_us` is when all inputs are over; what they do not end lasts
    beyond `until_us`.
    """

    def __init__(
        self, driver: ControlDriver, inputs: Sequence[Input], *, until_us: int = 0
    ) -> None:
        """Raises NoSuchControl for a name that the layout has not, or that cannot do this."""
        self.end_us = max((each.at_us + (each.for_us or 0) for each in inputs), default=0)
        self.refills_us: set[int] = set()
        self._driver = driver
        self._inputs = sorted(inputs, key=lambda each: each.at_us)
        self._until_us = max(self.end_us, until_us)
        self._frames: dict[tuple[int, int], HandFrame] = {}
        self._plugs: list[HandFrame] = []

        beginnings = [(each.at_us, 1, each) for each in self._inputs]
        ends = [
            (each.at_us + each.for_us, 0, each) for each in self._inputs if each.for_us is not None
        ]
        # What ends at a time comes before what begins at it: a hand lets go, then presses again.
        for us, is_beginning, each in sorted(beginnings + ends, key=lambda act: act[:2]):
            if is_beginning:
                self._begin(us, each)
            else:
                self._end(us, each)
        self.frames = sorted([*self._frames.values(), *self._plugs], key=lambda frame: frame.us)

    def _begin(self, us: int, each: Input) -> None:
        driver = self._driver
        if each.kind in (InputKind.UNPLUG, InputKind.PLUG):
            is_plug = each.kind is InputKind.PLUG
            self._plugs.append(HandFrame(us, driver.device(each.name), plug=is_plug))
        elif each.kind is InputKind.COUNT:
            self._add(us, driver.count(each.name, int(each.to[0]), int(each.to[1])))
        elif each.kind is InputKind.TURN:
            self._turn(us, each)
        elif (pointer := driver.pointer_of(each.name)) is not None:
            if each.kind is InputKind.PRESS:
                self._deflect(us, each, pointer, *driver.deflection_of(each.name))
            elif each.kind is InputKind.MOVE:
                self._deflect(us, each, pointer, *each.to)
        elif each.kind is InputKind.PRESS:
            self._add(us, driver.press(each.name))
        elif each.kind is InputKind.RELEASE:
            self._add(us, driver.release(each.name))
        else:
            self._add(us, driver.move(each.name, *each.to))

    def _end(self, us: int, each: Input) -> None:
        if each.kind is InputKind.TURN or self._driver.pointer_of(each.name) is not None:
            return  # counts leave the window by themselves
        if each.kind is InputKind.PRESS:
            self._add(us, self._driver.release(each.name))
        elif each.kind is InputKind.MOVE:
            self._add(us, self._driver.rest(each.name))

    def _add(self, us: int, what: DeviceEvents) -> None:
        """Events of one device at one time are one frame."""
        device, events = what
        if events:
            frame = self._frames.setdefault((us, device), HandFrame(us, device))
            frame.events.extend(events)

    # ---------------------------------------------------------------- pointers
    def _deflect(self, us: int, each: Input, pointer: PointerControl, x: float, y: float) -> None:
        radius = math.hypot(x, y)
        if not radius:
            return
        settings = pointer.settings
        window_us = settings.window_us
        stop_us = self._stop_us(us, each, pointer)
        if radius < 1.0:
            # Twice as far for a microsecond does no harm, unless it would press a direction.
            harms = max(abs(x), abs(y)) < settings.press_at <= 2 * radius
            step_us = window_us if harms else window_us - 1
            times = [us + n * step_us for n in range(math.ceil((stop_us - us) / window_us))]
        else:
            last_us = max(us, stop_us - window_us)
            times = [*range(us, last_us, window_us - 1), last_us]
        burst = self._driver.deflect(pointer, x, y)
        for burst_us in times:
            self._add(burst_us, burst)
        self.refills_us.update(times[1:])

    def _stop_us(self, us: int, each: Input, pointer: PointerControl) -> int:
        """When the deflection ends: told by itself, by the next input of the pointer, or never."""
        if each.for_us is not None:
            return us + each.for_us
        return min(
            (
                other.at_us
                for other in self._inputs
                if other.at_us > us and self._driver.pointer_of(other.name) is pointer
            ),
            default=self._until_us + 2 * pointer.settings.window_us,
        )

    def _turn(self, us: int, each: Input) -> None:
        """Counts as a hand sends them: evenly, what is less than a whole count left for later."""
        pointer = self._driver.pointer_of(each.name)
        stop_us = us + (each.for_us or 0)
        speed = 0.0 if pointer is None else pointer.settings.full_speed
        sent = [0, 0]
        for frame_us in range(us, stop_us, TURN_PERIOD_US):
            elapsed_us = frame_us + TURN_PERIOD_US - us
            steps = []
            for axis in (0, 1):
                total = round(each.to[axis] * speed * elapsed_us / 1_000_000)
                steps.append(total - sent[axis])
                sent[axis] = total
            self._add(frame_us, self._driver.count(each.name, *steps))
