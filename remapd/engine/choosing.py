"""Actions that choose between others: short or long, once or twice, scan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from remapd.engine.actions import Action, OnceTwice, Scan, ShortLong
from remapd.engine.explain import length
from remapd.engine.notices import NoticeKind
from remapd.engine.running import Origin, Running
from remapd.engine.timers import Timer

if TYPE_CHECKING:
    from remapd.engine.performer import Performer


class ShortLongRunning(Running):
    """Short: tapped at the release. Long: pressed when the control has been held for its time."""

    __slots__ = ("_action", "_inner", "_over", "_timer")

    def __init__(self, performer: Performer, origin: Origin, action: ShortLong, us: int) -> None:
        super().__init__(performer, origin)
        self._action = action
        self._inner: Running | None = None
        self._over = False
        self._timer = Timer(self._held_long)
        performer.timers.arm(self._timer, us + action.after_us)

    def _held_long(self, us: int) -> None:
        held = length(self._action.after_us)
        self.performer.explain(us, self.origin.name, f"held for {held}: {self._action.long.label}")
        self._inner = self.performer.perform(self._action.long, self.origin, us)
        if self._over:  # it released everything, this press included
            self._inner.end(us)

    def release(self, us: int) -> None:
        if self._over:
            return
        self._over = True
        self.performer.timers.disarm(self._timer)
        if self._inner is None:
            short = self._action.short
            before = length(self._action.after_us)
            self.performer.explain(us, self.origin.name, f"let go before {before}: {short.label}")
            self.performer.tap(short, self.origin, us)
        else:
            self._inner.release(us)

    def pressed_targets(self) -> tuple[int, ...]:
        return () if self._inner is None else self._inner.pressed_targets()

    def end(self, us: int) -> None:
        if self._over:
            return
        self._over = True
        self.performer.timers.disarm(self._timer)
        if self._inner is not None:
            self._inner.end(us)


class OnceTwiceWaiting(Running):
    """The first press: waits for a second one, and taps `once` if none comes in time."""

    __slots__ = ("_action", "_timer")

    def __init__(self, performer: Performer, origin: Origin, action: OnceTwice, us: int) -> None:
        super().__init__(performer, origin)
        self._action = action
        self._timer = Timer(self._no_second)
        performer.add_lasting(self)
        performer.nodes[id(action)] = self
        performer.timers.arm(self._timer, us + action.within_us)

    def second(self, us: int) -> Running:
        """The second press, in time."""
        self.end(us)
        twice = self._action.twice
        self.performer.explain(us, self.origin.name, f"pressed a second time: {twice.label}")
        return self.performer.perform(twice, self.origin, us)

    def _no_second(self, us: int) -> None:
        self.end(us)
        once = self._action.once
        within = length(self._action.within_us)
        text = f"no second press within {within}: {once.label}"
        self.performer.explain(us, self.origin.name, text)
        self.performer.tap(once, self.origin, us)

    def end(self, us: int) -> None:
        self.performer.timers.disarm(self._timer)
        self.performer.drop_lasting(self)
        if self.performer.nodes.get(id(self._action)) is self:
            del self.performer.nodes[id(self._action)]


class ScanRunning(Running):
    """Offers items one after another, by time or (with `pick`) by hand, until one is taken.

    While it runs, presses of the control that began it and of `pick` come to `press` alone.
    """

    __slots__ = ("_action", "_index", "_on", "_round", "_timer")

    def __init__(self, performer: Performer, origin: Origin, action: Scan, us: int) -> None:
        super().__init__(performer, origin)
        self._action = action
        self._index = 0
        self._round = 0
        self._on = True
        self._timer = Timer(self._next_item)
        before = performer.scans.get(origin.person)
        if before is not None:
            before.end(us)
        performer.scans[origin.person] = self
        performer.add_lasting(self)
        if action.pick is None:
            performer.timers.arm(self._timer, us + action.first_us)
        self._announce(us)

    def wants(self, button: int) -> bool:
        """Whether presses of this button go to the scan alone."""
        return button in (self.origin.button, self._action.pick)

    def takes(self, button: int) -> Action | None:
        """The item that a press of this button takes now; None where it only goes on."""
        by_hand = self._action.pick is not None and button != self._action.pick
        return None if by_hand else self._action.items[self._index]

    def press(self, button: int, us: int) -> Running:
        """One of its presses: takes the announced item, or goes on by hand."""
        item = self.takes(button)
        if item is not None:
            self.end(us)
            return self.performer.perform(item, self.performer.origins[button], us)
        self._next_item(us)
        return Running(self.performer, self.origin)

    @property
    def announced(self) -> str:
        """The label of the item that a press takes now."""
        return self._action.items[self._index].label

    def _announce(self, us: int) -> None:
        self.performer.notice(us, NoticeKind.SCAN_ITEM, self.announced, self.origin.person)

    def _next_item(self, us: int) -> None:
        self._index += 1
        if self._index == len(self._action.items):
            self._index = 0
            self._round += 1
            if self._round >= self._action.rounds:
                self.end(us)
                return
        if self._action.pick is None:
            self.performer.timers.arm(self._timer, us + self._action.every_us)
        self._announce(us)

    def end(self, us: int) -> None:
        if not self._on:
            return
        self._on = False
        self.performer.timers.disarm(self._timer)
        self.performer.drop_lasting(self)
        if self.performer.scans.get(self.origin.person) is self:
            del self.performer.scans[self.origin.person]
        self.performer.notice(us, NoticeKind.SCAN_END, self._action.label, self.origin.person)
