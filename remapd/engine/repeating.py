"""Actions that press by themselves: turbo, pulse and steps."""

from __future__ import annotations

from typing import TYPE_CHECKING

from remapd.engine.actions import Pulse, Steps, Turbo, Wait
from remapd.engine.notices import NoticeKind
from remapd.engine.running import Origin, Running
from remapd.engine.timers import Timer

if TYPE_CHECKING:
    from remapd.engine.performer import Performer


class TurboRunning(Running):
    """Presses its targets again and again, first press at once.

    A press that has begun lasts its full duty: after the release it *runs out*. A press that comes
    during the run-out is queued and starts when that is over, and is given one press if it was let
    go by then.
    """

    __slots__ = (
        "_action",
        "_begun_us",
        "_limit",
        "_on",
        "_running_out",
        "_timer",
        "held",
        "queued",
    )

    def __init__(self, performer: Performer, origin: Origin, action: Turbo, us: int) -> None:
        super().__init__(performer, origin)
        self._action = action
        self._timer = Timer(self._phase_over)
        self._limit = Timer(self._time_over)
        self._on = False
        self._running_out = False
        self._begun_us = us
        #: Presses of the control that hold it.
        self.held = 1
        self.queued = False
        performer.add_lasting(self)
        performer.nodes[id(action)] = self
        self._start(us)

    def _start(self, us: int) -> None:
        action = self._action
        self._begun_us = us
        self._running_out = False
        self._press(us)
        if action.toggle:
            if action.at_most_us:
                self.performer.timers.arm(self._limit, us + action.at_most_us)
            self.performer.notice(us, NoticeKind.TURBO_ON, action.label, self.origin.person)
        elif not self.held:
            self._running_out = True

    def _press(self, us: int) -> None:
        self._on = True
        self.performer.press(self.origin.person, self._action.targets, us)
        self.performer.timers.arm(self._timer, us + self._action.on_us)

    def press_again(self, us: int) -> None:
        """The control is pressed once more while this one is running, or running out."""
        self.held += 1
        if self._running_out:
            # A toggled one that is pressed twice in the run-out is on and off again.
            self.queued = not (self._action.toggle and self.queued)
        elif self._action.toggle:
            self._stop(us)

    def release(self, us: int) -> None:
        self.held = max(0, self.held - 1)
        if not self._action.toggle and not self.held and not self._running_out:
            self._stop(us)

    def pressed_targets(self) -> tuple[int, ...]:
        return self._action.targets if self._on else ()

    def _stop(self, us: int) -> None:
        self.performer.timers.disarm(self._limit)
        if self._action.toggle:
            self.performer.notice(us, NoticeKind.TURBO_OFF, self._action.label, self.origin.person)
        if self._on:
            self._running_out = True
        else:
            self._finish()

    def _finish(self) -> None:
        self.performer.timers.disarm(self._timer)
        self.performer.drop_lasting(self)
        self.performer.nodes.pop(id(self._action), None)

    def _time_over(self, us: int) -> None:
        if not self._running_out:
            self._stop(us)

    def _phase_over(self, us: int) -> None:
        if self._on:
            self._on = False
            self.performer.release(self.origin.person, self._action.targets, us)
            if not self._running_out:
                self._begun_us += self._action.period_us
                self.performer.timers.arm(self._timer, self._begun_us)
            elif self.queued:
                # A frame of its own, so that the game is shown the gap between the two.
                self.performer.timers.arm(self._timer, us)
            else:
                self._finish()
        elif self.queued:
            self.queued = False
            self._start(us)
        else:
            self._press(us)

    def end(self, us: int) -> None:
        if self.performer.nodes.get(id(self._action)) is not self:
            return
        if self._action.toggle and not self._running_out:
            self.performer.notice(us, NoticeKind.TURBO_OFF, self._action.label, self.origin.person)
        self.performer.timers.disarm(self._limit)
        self._running_out = True  # a later release of the control finds nothing to stop
        self.queued = False
        if self._on:
            self._on = False
            self.performer.release(self.origin.person, self._action.targets, us)
        self._finish()


class PulseRunning(Running):
    """Pressed for exactly its length; presses meanwhile do nothing."""

    __slots__ = ("_action", "_timer")

    def __init__(self, performer: Performer, origin: Origin, action: Pulse, us: int) -> None:
        super().__init__(performer, origin)
        self._action = action
        self._timer = Timer(self._over)
        performer.add_lasting(self)
        performer.nodes[id(action)] = self
        performer.press(origin.person, action.targets, us)
        performer.timers.arm(self._timer, us + action.length_us)

    def _over(self, us: int) -> None:
        self.performer.drop_lasting(self)
        self.performer.nodes.pop(id(self._action), None)
        self.performer.release(self.origin.person, self._action.targets, us)

    def pressed_targets(self) -> tuple[int, ...]:
        return self._action.targets

    def end(self, us: int) -> None:
        if self._timer.armed:
            self.performer.timers.disarm(self._timer)
            self._over(us)


class StepsRunning(Running):
    """Plays its steps one after another; presses meanwhile do nothing."""

    __slots__ = ("_action", "_index", "_inner", "_stopping", "_timer")

    def __init__(self, performer: Performer, origin: Origin, action: Steps, us: int) -> None:
        super().__init__(performer, origin)
        self._action = action
        self._index = 0
        self._inner: Running | None = None
        self._stopping = False
        self._timer = Timer(self._phase_over)
        performer.add_lasting(self)
        performer.nodes[id(action)] = self
        self._next_step(us)

    def _next_step(self, us: int) -> None:
        steps = self._action.steps
        if self._stopping or self._index >= len(steps):
            self._finish()
            return
        step = steps[self._index]
        self._index += 1
        if isinstance(step, Wait):
            self.performer.timers.arm(self._timer, us + step.length_us)
            return
        self.performer.timers.arm(self._timer, us + self.performer.layout.tap_us)
        self._inner = self.performer.perform(step, self.origin, us)

    def _phase_over(self, us: int) -> None:
        inner = self._inner
        if inner is None:
            self._next_step(us)
            return
        self._inner = None
        steps = self._action.steps
        pause_us = self.performer.layout.tap_us
        if self._index < len(steps):
            following = steps[self._index]
            if isinstance(following, Wait):
                pause_us = following.length_us
                self._index += 1
        # Armed before the release, which may end everything, this one included.
        if self._stopping:
            self._finish()
        else:
            self.performer.timers.arm(self._timer, us + pause_us)
        inner.release(us)

    def _finish(self) -> None:
        self.performer.timers.disarm(self._timer)
        self.performer.drop_lasting(self)
        if self.performer.nodes.get(id(self._action)) is self:
            del self.performer.nodes[id(self._action)]

    def release(self, us: int) -> None:
        if self._action.hold:
            self._stopping = True

    def pressed_targets(self) -> tuple[int, ...]:
        return () if self._inner is None else self._inner.pressed_targets()

    def end(self, us: int) -> None:
        self._finish()
        self._index = len(self._action.steps)
        inner, self._inner = self._inner, None
        if inner is not None:
            inner.end(us)
