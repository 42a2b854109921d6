"""What can be made of an action by pressing its control: short, long, twice, and what comes of it.

An action is taken apart into its *leaves*: the actions inside it that press, toggle, scan or hold
by themselves. A gesture is one way of pressing the control, with the leaves that it carries out,
each either held as long as the control is or tapped.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from remapd.engine.actions import (
    Action,
    HoldLayer,
    Lead,
    NextLayer,
    OnceTwice,
    OnRelease,
    ReleaseEverything,
    ShortLong,
    Steps,
    Wait,
)

#: An action that does something by itself, and whether it is held as long as the control is.
Leaf = tuple[Action, bool]


@dataclass(frozen=True, slots=True, eq=False)
class Gesture:
    """One way of pressing a control. Times are microseconds, counted from where a press counts.

    Attributes:
        presses: How often it is pressed: the last press is the one that `hold_us` is about.
        hold_us: How long that press lasts at the least.
        below_us: It is let go before this; 0: whenever.
        within_us: The presses follow each other within this; 0: there is one.
        during: What is carried out while it is pressed.
        after: What is carried out at the release.
        later: What is carried out after that, by itself.
        settle_us: How long after the release it goes on by itself.
    """

    presses: int = 1
    hold_us: int = 0
    below_us: int = 0
    within_us: int = 0
    during: tuple[Leaf, ...] = ()
    after: tuple[Leaf, ...] = ()
    later: tuple[Leaf, ...] = ()
    settle_us: int = 0

    @property
    def can_be_kept(self) -> bool:
        """Whether it makes a difference for other controls that it is held."""
        return any(
            held
            and (
                isinstance(action, HoldLayer | NextLayer)
                or (isinstance(action, Lead) and not action.toggle)
            )
            for action, held in self.during
        )


@dataclass(frozen=True, slots=True)
class Tapped:
    """What comes of tapping an action so often (within a time), and how long that takes.

    `leaves` are carried out by the tap (the last one), `later` by itself after it.
    """

    leaves: tuple[Leaf, ...] = ()
    later: tuple[Leaf, ...] = ()
    times: int = 1
    within_us: int = 0
    takes_us: int = 0

    @property
    def all(self) -> tuple[Leaf, ...]:
        """All leaves in their order."""
        return self.leaves + self.later


class _Played(NamedTuple):
    """A row of steps: what each one carries out, when a next would begin, when all is over."""

    steps: tuple[Tapped, ...]
    next_us: int
    over_us: int


class Gestures:
    """The gestures of a layout's actions, each worked out once."""

    def __init__(self, tap_us: int) -> None:
        self._tap_us = tap_us
        self._known: dict[int, tuple[Action, tuple[Gesture, ...]]] = {}

    def of(self, action: Action) -> tuple[Gesture, ...]:
        """All ways of pressing a control with this action."""
        known = self._known.get(id(action))
        if known is None:
            # The action is kept beside, so that its identity is not given to another one.
            known = self._known[id(action)] = (action, tuple(self._pressed(action)))
        return known[1]

    def _pressed(self, action: Action) -> Iterable[Gesture]:
        match action:
            case ShortLong():
                for tap in self.tapped(action.short):
                    yield Gesture(
                        tap.times,
                        below_us=action.after_us,
                        within_us=tap.within_us,
                        after=tap.leaves,
                        later=tap.later,
                        settle_us=tap.takes_us,
                    )
                yield from self._long(action)
            case OnceTwice():
                yield from self._once_or_twice(action)
            case OnRelease():
                for tap in self.tapped(action.action):
                    yield Gesture(
                        tap.times,
                        within_us=tap.within_us,
                        after=tap.leaves,
                        later=tap.later,
                        settle_us=tap.takes_us,
                    )
            case Steps():
                yield from self._steps(action)
            case _:
                yield Gesture(during=((action, True),))

    def _long(self, action: ShortLong) -> Iterable[Gesture]:
        for gesture in self._pressed(action.long):
            # Twice in a long press would be two long presses in a row: nobody is asked for that.
            if gesture.presses == 1:
                yield Gesture(
                    hold_us=action.after_us + gesture.hold_us,
                    below_us=gesture.below_us and action.after_us + gesture.below_us,
                    during=gesture.during,
                    after=gesture.after,
                    later=gesture.later,
                    settle_us=gesture.settle_us,
                )

    def _once_or_twice(self, action: OnceTwice) -> Iterable[Gesture]:
        for tap in self.tapped(action.once):
            if tap.times == 1:
                yield Gesture(later=tap.all, settle_us=action.within_us + tap.takes_us)
        for gesture in self._pressed(action.twice):
            if gesture.presses == 1:
                yield Gesture(
                    2,
                    gesture.hold_us,
                    gesture.below_us,
                    action.within_us,
                    gesture.during,
                    gesture.after,
                    gesture.later,
                    gesture.settle_us,
                )

    def _steps(self, action: Steps) -> Iterable[Gesture]:
        steps = action.steps
        places = [n for n, step in enumerate(steps) if not isinstance(step, Wait)]
        if not action.hold or not places:
            now, later, over_us = self._row(steps)
            yield Gesture(during=now, later=later, settle_us=over_us)
            return
        # Let go during a step, or the pause after it, the row ends there.
        for place, following in zip(places, [*places[1:], None], strict=True):
            begins_us = self._played(steps[:place]).next_us
            played = self._played(steps[: place + 1])
            last = played.steps[-1]
            yield Gesture(
                hold_us=begins_us and begins_us + 1,
                below_us=0 if following is None else self._played(steps[:following]).next_us,
                during=tuple(leaf for step in played.steps[:-1] for leaf in step.all) + last.leaves,
                later=last.later,
                settle_us=played.over_us - begins_us,
            )

    def _row(self, steps: tuple[Action, ...]) -> tuple[tuple[Leaf, ...], tuple[Leaf, ...], int]:
        """What a whole row carries out at once, what later, and how long it takes."""
        played = self._played(steps)
        at_once = played.steps[:1] if steps and not isinstance(steps[0], Wait) else ()
        now = tuple(leaf for step in at_once for leaf in step.leaves)
        every = tuple(leaf for step in played.steps for leaf in step.all)
        return now, every[len(now) :], played.over_us

    def _played(self, steps: Iterable[Action]) -> _Played:
        """A row of steps, played to its end."""
        done: list[Tapped] = []
        next_us = 0
        over_us = 0
        after_tap = False
        for step in steps:
            if isinstance(step, Wait):
                # A wait replaces the pause that follows the step before it.
                next_us += step.length_us - (self._tap_us if after_tap else 0)
                after_tap = False
                continue
            tap = next((each for each in self.tapped(step) if each.times == 1), Tapped())
            done.append(tap)
            over_us = max(over_us, next_us + tap.takes_us)
            next_us += 2 * self._tap_us
            after_tap = True
            if any(isinstance(leaf, ReleaseEverything) for leaf, _ in tap.all):
                break  # it ends the row that it stands in
        return _Played(tuple(done), next_us, max(next_us, over_us))

    def tapped(self, action: Action) -> list[Tapped]:
        """What a press of the length of the layout's `tap` carries out."""
        match action:
            case ShortLong():
                if action.after_us < self._tap_us:
                    return self.tapped(action.long)
                return self._after_a_tap(action.short)
            case OnceTwice():
                once = [
                    Tapped(later=each.all, takes_us=action.within_us + each.takes_us)
                    for each in self.tapped(action.once)
                    if each.times == 1
                ]
                twice = [
                    Tapped(each.leaves, each.later, 2, action.within_us, each.takes_us)
                    for each in self.tapped(action.twice)
                    if each.times == 1
                ]
                return once + twice
            case OnRelease():
                return self._after_a_tap(action.action)
            case Steps():
                steps = self._within_a_tap(action) if action.hold else action.steps
                now, later, over_us = self._row(steps)
                return [Tapped(now, later, takes_us=over_us)]
            case _:
                return [Tapped(((action, False),), takes_us=self._tap_us)]

    def _after_a_tap(self, action: Action) -> list[Tapped]:
        """What is tapped only when the tap around it is over."""
        return [
            Tapped((), each.all, each.times, each.within_us, each.takes_us + self._tap_us)
            for each in self.tapped(action)
        ]

    def _within_a_tap(self, action: Steps) -> tuple[Action, ...]:
        """The steps of a held row that have begun when a tap is over; the rest is not played."""
        elapsed_us = 0
        for number, step in enumerate(action.steps):
            if elapsed_us >= self._tap_us:
                return action.steps[:number]
            elapsed_us += step.length_us if isinstance(step, Wait) else 2 * self._tap_us
        return action.steps
