"""Hands that do one random thing after another on the real engine, and what the pad shows of it."""

from __future__ import annotations

from random import Random

from remapd.analysis.reach.hands import can_press_together, handling_of
from remapd.engine.layout import Layout
from tests.support.bench import Bench
from tests.support.way_play import goals_of

_LENGTHS_MS = (70, 70, 70, 70, 500, 950, 1_300, 2_300)
_PAUSES_MS = (300, 300, 300, 300, 300, 1_100, 2_500, 5_000)


class IdleHands:
    """Random play in which nobody has more than `at_once` controls pressed at a time."""

    def __init__(self, layout: Layout, rng: Random, people: frozenset[int], at_once: int) -> None:
        self._layout = layout
        self._rng = rng
        self._at_once = at_once
        self._bench = Bench(layout, explain=False)
        self._now_ms = 0.0
        self._people = people
        self._of = {
            person: [
                number
                for number, button in enumerate(layout.buttons)
                if layout.devices[layout.controls[button.control].device].person == person
            ]
            for person in people
        }

    def play(self, acts: int) -> set[int]:
        """Does so many things; the goals that the pad was given."""
        for _ in range(acts):
            self._now_ms += self._rng.choice(_PAUSES_MS)
            self._bench.until(self._now_ms)
            self._act()
        self._bench.until(self._now_ms + 5_000)
        seen: set[int] = set()
        for change in self._bench.changes:
            seen |= goals_of(change.what, change.control, change.value)
        return seen

    def _act(self) -> None:
        rng = self._rng
        person = rng.choice(sorted(self._people))
        button = rng.choice(self._of[person])
        kind = rng.randrange(6)
        if kind == 0:
            self._press(button, rng.choice(_LENGTHS_MS))
            self._pause_between(button)
            self._press(button, rng.choice(_LENGTHS_MS))
        elif kind == 1 and (pair := self._pair(person, button)) is not None:
            self._press_while_held(button, pair)
        elif kind == 2 and (pair := self._pair(person, button)) is not None:
            self._press_together(button, pair)
        else:
            self._press(button, rng.choice(_LENGTHS_MS))

    def _pair(self, person: int, button: int) -> int | None:
        """Another button that can be down at the same time, of whoever may."""
        others = [
            other
            for owner in self._people
            if owner != person or self._at_once > 1
            for other in self._of[owner]
            if other != button and can_press_together(self._layout, button, other)
        ]
        return self._rng.choice(others) if others else None

    def _press(self, button: int, length_ms: float) -> None:
        handling = handling_of(self._layout, button)
        self._down(button)
        self._wait(length_ms + handling.accepted_after_us / 1000)
        self._up(button)

    def _press_while_held(self, button: int, other: int) -> None:
        self._down(button)
        self._wait(self._rng.choice((350, 950)))
        for _ in range(self._rng.choice((1, 1, 2))):
            self._press(other, self._rng.choice(_LENGTHS_MS))
            self._wait(350)
        self._up(button)

    def _press_together(self, button: int, other: int) -> None:
        self._down(button)
        self._wait(20)
        self._down(other)
        self._wait(self._rng.choice((180, 950)))
        self._up(other)
        self._up(button)

    def _pause_between(self, button: int) -> None:
        handling = handling_of(self._layout, button)
        self._wait((handling.repeat_us - handling.down_us - handling.accepted_after_us) / 1000)

    def _down(self, button: int) -> None:
        self._bench.press(self._layout.buttons[button].name, at=self._now_ms)

    def _up(self, button: int) -> None:
        self._bench.release(self._layout.buttons[button].name, at=self._now_ms)

    def _wait(self, length_ms: float) -> None:
        self._now_ms += max(length_ms, 1)
        self._bench.until(self._now_ms)
