"""The proof of what a layout reaches: by whom, one thing at a time or two at once, and how.

Six searches at the most: the player, the helper, and the two together, each with one control at a
time and with two. "One at a time" is the mode of operation without simultaneous actions that
EN 301 549, clause 5.9, asks for: at no moment has anybody to have two controls pressed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from functools import cached_property

from remapd.analysis.reach.goals import GOAL_COUNT, stick_of_word, targets_of_word
from remapd.analysis.reach.model import Model
from remapd.analysis.reach.possible import Possible, possible
from remapd.analysis.reach.search import BOTH, Search
from remapd.analysis.reach.steps import Way
from remapd.engine.layout import Layout
from remapd.engine.pad_controls import HELPER, PLAYER, TARGET_COUNT


class Who(Enum):
    """Who reaches something."""

    PLAYER = "player"  #: by the player's own controls alone
    HELPER = "helper"  #: by the helper's alone
    TOGETHER = "together"  #: only when both do their part


_PEOPLE = {
    Who.PLAYER: frozenset((PLAYER,)),
    Who.HELPER: frozenset((HELPER,)),
    Who.TOGETHER: frozenset((PLAYER, HELPER)),
}


@dataclass(frozen=True, slots=True)
class Reached:
    """How one person, or the two together, reach one goal.

    Attributes:
        who: By whom.
        single: The shortest way with one control at a time, if there is one.
        double: The shortest way with two at once, where it is shorter or the only one.
    """

    who: Who
    single: Way | None
    double: Way | None

    @property
    def way(self) -> Way:
        """The way to show: one at a time where there is one."""
        way = self.single or self.double
        if way is None:
            raise ValueError("neither way is there")
        return way


@dataclass(frozen=True, slots=True)
class Need:
    """Something that the game uses, as the layout's `needs` names it.

    `goals` are what has to be reached for it: one, or the four directions of a stick.
    """

    word: str
    goals: tuple[int, ...]
    stick: int | None = None  #: the stick that it is whole (2 is the d-pad)

    @property
    def by_degrees(self) -> int | None:
        """The goal of moving it by degrees, where it is a stick of the pad."""
        return None if self.stick is None or self.stick > 1 else TARGET_COUNT + self.stick


class Proof:
    """What a layout reaches. The searches are made when they are first asked for."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.model = Model(layout)
        self.needs = tuple(
            Need(word, targets_of_word(layout, word), stick_of_word(layout, word))
            for word in layout.needs
        )
        self._searches: dict[tuple[frozenset[int], int], Search] = {}

    @cached_property
    def possible(self) -> Possible:
        """The outer limit of what can be reached."""
        return possible(self.layout)

    @property
    def people(self) -> frozenset[int]:
        """Who has controls."""
        return self.model.people

    def search(self, who: Who, at_once: int) -> Search | None:
        """What these people reach, each with so many controls at once; None: they have none."""
        people = _PEOPLE[who] & self.people if who is Who.TOGETHER else _PEOPLE[who]
        if not people or not people <= self.people:
            return None
        key = (people, at_once)
        if key not in self._searches:
            self._searches[key] = Search(
                self.model, people, at_once, hoped_for=self._hoped_for(people)
            )
        return self._searches[key]

    def _hoped_for(self, people: frozenset[int]) -> frozenset[int]:
        return frozenset(
            goal
            for goal, person in self.possible.given
            if person in people and goal in self.possible.goals
        )

    @property
    def everyone(self) -> Search:
        """All that can be done at all, two at once included."""
        search = self.search(Who.TOGETHER, 2)
        if search is None:
            raise ValueError("a layout without a control")
        return search

    @cached_property
    def complete(self) -> bool:
        """Whether every situation of every search was looked at."""
        return all(
            search.complete
            for who in Who
            for at_once in (1, 2)
            if (search := self.search(who, at_once)) is not None
        )

    # ------------------------------------------------------------------ goals

    def reached(self, goal: int) -> list[Reached]:
        """Everyone who reaches a goal; the two together only where neither does alone."""
        if not self.people:
            return []
        found = [
            each
            for who in (Who.PLAYER, Who.HELPER)
            if (each := self._reached_by(goal, who)) is not None
        ]
        if not found:
            together = self._reached_by(goal, Who.TOGETHER)
            return [] if together is None else [together]
        return found

    def best(self, goal: int) -> Reached | None:
        """Who is shown as reaching it: the player before the helper before the two together."""
        found = self.reached(goal)
        return found[0] if found else None

    def _reached_by(self, goal: int, who: Who) -> Reached | None:
        single = self._way(goal, who, 1)
        double = self._way(goal, who, 2)
        if double is not None and (
            double.at_once < 2 or (single is not None and single.actions <= double.actions)
        ):
            double = None
        if single is None and double is None:
            return None
        return Reached(who, single, double)

    def _way(self, goal: int, who: Who, at_once: int) -> Way | None:
        search = self.search(who, at_once)
        if search is None:
            return None
        ways = [
            way
            for person in (PLAYER, HELPER, BOTH)
            if (way := search.way(goal, person)) is not None
        ]
        return min(ways, key=lambda way: (way.actions, way.us), default=None)

    def goals_reached(self) -> Iterator[int]:
        """Every goal that somebody reaches, in pad order."""
        return (goal for goal in range(GOAL_COUNT) if self.reached(goal))

    def out_of_reach(self, need: Need) -> list[int]:
        """The goals of a need that nothing reaches."""
        return [goal for goal in need.goals if not self.reached(goal)]
