"""What becomes of an accepted press: a scan or a chord takes it, or its own action gets it.

A control that is in a chord of an active layer waits for its partner before its own press is taken.
What its own action is, is found when it is pressed, whatever layers change meanwhile.
"""

from __future__ import annotations

from collections.abc import Callable

from remapd.engine.actions import (
    Action,
    Cycle,
    HoldLayer,
    NextLayer,
    Nothing,
    ToggleLayer,
)
from remapd.engine.layout import Chord
from remapd.engine.performer import Performer
from remapd.engine.running import Running
from remapd.engine.timers import Timer

#: Actions that do not use up a layer which is on for the next press.
_KEEPS_NEXT = (HoldLayer, ToggleLayer, NextLayer, Cycle, Nothing)


def uses_next(action: Action | None) -> bool:
    """Whether a press of this action uses up a `next` layer."""
    return action is not None and not isinstance(action, _KEEPS_NEXT)


class WaitingPress:
    """A press that waits for a chord's partner, with the action it gets if none comes."""

    __slots__ = ("action", "timer")

    def __init__(self, action: Action | None, over: Callable[[int], None]) -> None:
        self.action = action
        self.timer = Timer(over)


class Presses:
    """Accepted presses of the buttons of a layout, and what they hold."""

    __slots__ = ("_explain", "_performer", "_waiting", "down")

    def __init__(
        self, performer: Performer, explain: Callable[[int, str, str], None] | None
    ) -> None:
        self._performer = performer
        self._explain = explain
        #: Buttons whose press is accepted and not over.
        self.down: set[int] = set()
        self._waiting: dict[int, WaitingPress] = {}

    def press(self, number: int, us: int) -> None:
        """A button's press is accepted."""
        self.down.add(number)
        performer = self._performer
        for scan in performer.scans.values():
            if scan.wants(number):
                self._note(us, number, f"goes to the scan, which offers {scan.announced}")
                item = scan.takes(number)
                if uses_next(item):
                    performer.next_layers.use(performer.origins[number].person, number)
                performer.held[number] = scan.press(number, us)
                return
        table = performer.stack.table
        action = table.actions[number]
        chords = table.chords.get(number)
        if chords and self._chorded(number, chords, action, us):
            return
        self._use_next(number, action)
        self._take(number, action, us)

    def release(self, number: int, us: int) -> None:
        """Its press is over."""
        self.down.discard(number)
        performer = self._performer
        waiting = self._waiting.pop(number, None)
        if waiting is not None:
            performer.timers.disarm(waiting.timer)
            if waiting.action is not None:
                self._note(us, number, f"let go before a partner came: {waiting.action.label}")
                performer.tap(waiting.action, performer.origins[number], us)
        running = performer.held.pop(number, None)
        if running is not None:
            partners = self._let_go_partners(running)
            running.release(us)
            for partner in partners:
                performer.next_layers.consumer_released(partner, us)
        performer.next_layers.consumer_released(number, us)

    def forget(self, numbers: list[int] | None = None) -> None:
        """These buttons (or all) are not down any more, and nothing waits for a partner."""
        for number in list(self._waiting) if numbers is None else numbers:
            waiting = self._waiting.pop(number, None)
            if waiting is not None:
                self._performer.timers.disarm(waiting.timer)
        if numbers is None:
            self.down.clear()
        else:
            self.down.difference_update(numbers)

    def _chorded(self, number: int, chords: list[Chord], action: Action | None, us: int) -> bool:
        """Whether the press forms a chord, or waits for one."""
        must_wait = False
        for chord in chords:
            partner = chord.second if chord.first == number else chord.first
            if partner in self._waiting:
                self._form(chord, number, partner, us)
                return True
            if partner not in self.down:
                must_wait = True
        if not must_wait:
            return False
        performer = self._performer
        waiting = WaitingPress(action, lambda due_us: self._no_partner(number, due_us))
        self._waiting[number] = waiting
        performer.timers.arm(waiting.timer, us + performer.layout.chord_window_us)
        self._note(us, number, "waits for a chord's partner")
        self._use_next(number, action)
        return True

    def _form(self, chord: Chord, number: int, partner: int, us: int) -> None:
        performer = self._performer
        performer.timers.disarm(self._waiting.pop(partner).timer)
        origin = performer.origins[chord.first]
        self._note(us, number, f"makes the chord {chord.action.label}")
        if uses_next(chord.action):
            performer.next_layers.use(origin.person, number)
        running = performer.perform(chord.action, origin, us)
        performer.held[number] = running
        performer.held[partner] = running

    def _let_go_partners(self, running: Running) -> list[int]:
        """A chord stands at both of its members, and ends with the first release."""
        held = self._performer.held
        partners = [number for number, other in held.items() if other is running]
        for number in partners:
            del held[number]
        return partners

    def _use_next(self, number: int, action: Action | None) -> None:
        """A press uses up what waits for the next one; its action is that of the present stack."""
        if uses_next(action):
            performer = self._performer
            found_in = performer.stack.table.layer_of[number]
            performer.next_layers.use(performer.origins[number].person, number, found_in)

    def _no_partner(self, number: int, us: int) -> None:
        waiting = self._waiting.pop(number)
        self._take(number, waiting.action, us)

    def _take(self, number: int, action: Action | None, us: int) -> None:
        performer = self._performer
        if self._explain is not None:
            self._explain_taken(number, action, us)
        if action is None:
            return
        performer.held[number] = performer.perform(action, performer.origins[number], us)

    def _explain_taken(self, number: int, action: Action | None, us: int) -> None:
        performer = self._performer
        if action is None:
            control = performer.layout.buttons[number].control
            if performer.stack.table.wholes[control] is None:
                self._note(us, number, "pressed; no active layer says what it does")
            return
        layer = performer.layout.layers[performer.stack.table.layer_of[number]].name
        self._note(us, number, f"pressed: {action.label} (found in layer {layer})")

    def _note(self, us: int, number: int, text: str) -> None:
        if self._explain is not None:
            self._explain(us, self._performer.layout.buttons[number].name, text)
