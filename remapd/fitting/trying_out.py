"""A layout tried with keys that stand in for switches and sticks: no device, no gamepad, no game.

The engine is the one that plays. What comes of each press is told in sentences. A terminal tells no
releases: where the keyboard itself cannot be read, a key counts as held for a short while.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from remapd.engine.layout import Layout
from remapd.recording.driver import ControlDriver, DeviceEvents
from remapd.show.hands_seen import HandChange
from remapd.show.sentences import Teller
from remapd.show.session import Moments

#: A key that was pressed once counts as held for so long; keyboards begin to repeat after 250 to
#: 660 ms (common practice, no source), so a key that is held is one press with a gap at most.
TAP_US: Final = 250_000
#: A key that repeats counts as held until so long after the last repeat.
REPEAT_US: Final = 120_000
#: What begins again so soon is a key that repeats.
_BEGINS_TO_REPEAT_US: Final = 500_000
_FOR_EVER_US: Final = 10**12


class TryOut:
    """Told of letters and of time; gives sentences. `keys`: letter to button or direction."""

    def __init__(self, layout: Layout, keys: Mapping[str, str], us: int) -> None:
        self._driver = ControlDriver(layout)
        self._moments = Moments(layout)
        self._teller = Teller(layout)
        self._keys = keys
        self._until_us: dict[str, int] = {}
        self._last_us: dict[str, int] = {}
        for stand_in in self._driver.stand_ins:
            self._moments.plug(us, stand_in.source, stand_in.held, stand_in.axes)
        self._moments.moment(us, [])

    @property
    def due_us(self) -> int | None:
        """When `advance` has something to do, or None."""
        due = [*self._until_us.values()]
        if self._moments.next_due_us is not None:
            due.append(self._moments.next_due_us)
        return min(due, default=None)

    def letter(self, us: int, letter: str, *, is_held: bool = False) -> list[str]:
        """A key was typed; what came of it. `is_held`: it is known when it is let go of."""
        said = self.advance(us)
        if letter not in self._keys:
            return said
        repeats = us - self._last_us.get(letter, -(10**12)) < _BEGINS_TO_REPEAT_US
        self._last_us[letter] = us
        goes_on = letter in self._until_us
        lasts_us = REPEAT_US if repeats and goes_on else TAP_US
        self._until_us[letter] = us + (_FOR_EVER_US if is_held else lasts_us)
        if not goes_on:
            said += self._give(us, self._press(letter))
        return said

    def let_go(self, us: int, letter: str) -> list[str]:
        """A key that is known to be held was let go of; what came of it."""
        said = self.advance(us)
        if letter in self._until_us:
            self._until_us[letter] = us
        return said + self.advance(us)

    def advance(self, us: int) -> list[str]:
        """Time has come to `us`; what came of it."""
        said: list[str] = []
        while (due_us := self.due_us) is not None and due_us <= us:
            over = [letter for letter, until_us in self._until_us.items() if until_us <= due_us]
            for letter in over:
                del self._until_us[letter]
                said += self._give(due_us, self._driver.release(self._keys[letter]))
            if not over:
                hands = list(self._moments.hands.settle(due_us))
                self._moments.engine.advance(due_us)
                said += self._told(due_us, hands)
        return said

    def _press(self, letter: str) -> DeviceEvents:
        name = self._keys[letter]
        pointer = self._driver.pointer_of(name)
        if pointer is None:
            return self._driver.press(name)
        return self._driver.deflect(pointer, *self._driver.deflection_of(name))

    def _give(self, us: int, what: DeviceEvents) -> list[str]:
        device, events = what
        if not events:
            return []
        source = self._driver.stand_in(device).source
        return self._told(us, self._moments.feed(us, source.id, events))

    def _told(self, us: int, hands: list[HandChange]) -> list[str]:
        moment = self._moments.moment(us, hands)
        return [] if moment.is_empty else self._teller.tell(moment)
