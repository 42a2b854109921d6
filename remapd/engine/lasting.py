"""Actions that stay when the control is let go: latch, push, keep."""

from __future__ import annotations

from typing import TYPE_CHECKING

from remapd.engine.actions import Keep, Latch, Push
from remapd.engine.notices import NoticeKind
from remapd.engine.running import Origin, Running
from remapd.engine.timers import Timer

if TYPE_CHECKING:
    from remapd.engine.performer import Performer

#: Between two frames of a push that is under way, and two samples of a stick at rest.
FRAME_US = 8_000


class LatchRunning(Running):
    """Targets that stay pressed until a press of any latch of them by the same person."""

    __slots__ = ("_action", "_key", "_timer")

    def __init__(self, performer: Performer, origin: Origin, action: Latch, us: int) -> None:
        super().__init__(performer, origin)
        self._action = action
        self._key = (origin.person, action.targets)
        self._timer = Timer(self.end)
        performer.add_lasting(self)
        performer.latches[self._key] = self
        performer.press(origin.person, action.targets, us)
        if action.at_most_us:
            performer.timers.arm(self._timer, us + action.at_most_us)
        performer.notice(us, NoticeKind.LATCH_ON, action.label, origin.person)

    def pressed_targets(self) -> tuple[int, ...]:
        return self._action.targets

    def end(self, us: int) -> None:
        if self.performer.latches.get(self._key) is not self:
            return
        del self.performer.latches[self._key]
        self.performer.timers.disarm(self._timer)
        self.performer.drop_lasting(self)
        self.performer.release(self.origin.person, self._action.targets, us)
        self.performer.notice(us, NoticeKind.LATCH_OFF, self._action.label, self.origin.person)


class PushRunning(Running):
    """Moves a stick to a point, linearly over the ramp, one frame every 8 ms."""

    __slots__ = ("_action", "_begun_us", "_key", "_on", "_timer")

    def __init__(self, performer: Performer, origin: Origin, action: Push, us: int) -> None:
        super().__init__(performer, origin)
        self._action = action
        self._begun_us = us
        self._key = performer.new_part_key()
        self._timer = Timer(self._move)
        self._on = True
        performer.add_lasting(self)
        if action.toggle:
            performer.nodes[id(action)] = self
            performer.notice(us, NoticeKind.PUSH_ON, action.label, origin.person)
        self._move(us)

    @property
    def moves(self) -> int:
        """The stick that it moves, or -1."""
        return self._action.stick if self._on else -1

    def _move(self, us: int) -> None:
        action = self._action
        elapsed_us = us - self._begun_us
        share = 1.0 if elapsed_us >= action.ramp_us else elapsed_us / action.ramp_us
        person = self.performer.people[self.origin.person]
        person.set_part(action.stick, self._key, action.x * share, action.y * share)
        if share < 1.0:
            self.performer.timers.arm(self._timer, us + FRAME_US)

    def release(self, us: int) -> None:
        if not self._action.toggle:
            self.end(us)

    def end(self, us: int) -> None:
        if not self._on:
            return
        self._on = False
        self.performer.timers.disarm(self._timer)
        self.performer.drop_lasting(self)
        if self._action.toggle:
            self.performer.nodes.pop(id(self._action), None)
            self.performer.notice(us, NoticeKind.PUSH_OFF, self._action.label, self.origin.person)
        self.performer.people[self.origin.person].drop_part(self._action.stick, self._key)

    def panic(self, us: int) -> None:
        # What a hand still holds stays.
        if self._action.toggle:
            self.end(us)


class KeepRunning(Running):
    """A person's part of a stick, frozen as it is after the frame of the press."""

    __slots__ = ("_key", "_label", "_stick", "_timer", "devices")

    def __init__(self, performer: Performer, origin: Origin, action: Keep, us: int) -> None:
        super().__init__(performer, origin)
        self._stick = action.stick
        self._label = action.label
        self._key = (origin.person, action.stick)
        self._timer = Timer(self.end)
        #: Devices that moved the stick when it was frozen; the keep ends with any of them.
        self.devices: set[int] = set()
        performer.add_lasting(self)
        performer.keeps[self._key] = self
        performer.keeps_to_freeze.append(self)
        if action.at_most_us:
            performer.timers.arm(self._timer, us + action.at_most_us)
        performer.notice(us, NoticeKind.KEEP_ON, self._label, origin.person)

    def freeze(self) -> None:
        """Takes the stick's present part; called when the frame's sticks have been resolved."""
        if self.performer.keeps.get(self._key) is self:
            self.devices = self.performer.devices_moving(self.origin.person, self._stick)
            self.performer.people[self.origin.person].keep(self._stick)

    def end(self, us: int) -> None:
        if self.performer.keeps.get(self._key) is not self:
            return
        del self.performer.keeps[self._key]
        self.performer.timers.disarm(self._timer)
        self.performer.drop_lasting(self)
        self.performer.people[self.origin.person].end_keep(self._stick)
        self.performer.notice(us, NoticeKind.KEEP_OFF, self._label, self.origin.person)
