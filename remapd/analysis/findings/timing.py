"""Findings about times that cannot go together: what can never happen, or only in part."""

from __future__ import annotations

from collections.abc import Iterator

from remapd.analysis.findings.finding import Finding, Weight, places_of
from remapd.analysis.reach.hands import PACE_US, Handling
from remapd.analysis.reach.model import Bound, bound_actions
from remapd.analysis.reach.proof import Proof
from remapd.analysis.reach.words import Words, milliseconds
from remapd.engine.actions import (
    Action,
    HoldLayer,
    Lead,
    OnceTwice,
    OnRelease,
    Push,
    Scan,
    ShortLong,
    Steps,
    TakeRest,
    UseTuning,
    Wait,
)


def check_timing(proof: Proof, words: Words) -> Iterator[Finding]:
    """Every action of the layout, with the control that presses it."""
    for bound in bound_actions(proof.layout):
        if all(proof.model.can_press[button] for button in bound.buttons):
            yield from _Check(proof, words, bound).pressed(bound.action)


class _Check:
    """One binding; the actions inside it are looked at as they are pressed or tapped."""

    def __init__(self, proof: Proof, words: Words, bound: Bound) -> None:
        self._tap_us = proof.layout.tap_us
        self._places = places_of(proof.layout, bound)
        self._name = words.controls(bound.buttons)
        self._handlings = [proof.model.handling[button] for button in bound.buttons]

    def _warn(self, code: str, message: str, *remedies: str) -> Finding:
        return Finding(code, Weight.WARNING, message, remedies, self._places)

    # ------------------------------------------------------------------ pressed

    def pressed(self, action: Action, since_us: int = 0) -> Iterator[Finding]:
        """An action that the control presses when it has been held for so long."""
        match action:
            case ShortLong():
                yield from self._short_long(action, since_us)
            case OnceTwice():
                yield from self._twice(action)
                yield from self.tapped(action.once, "once")
                yield from self.pressed(action.twice)
            case OnRelease():
                yield from self.tapped(action.action, "on-release")
            case Steps():
                for step in action.steps:
                    yield from self.tapped(step, "steps")
            case Scan():
                yield from self._scan(action)
                for item in action.items:
                    yield from self.pressed(item)
            case Push() if action.ramp_us and not action.toggle:
                yield from self._ramp(action, since_us)
            case TakeRest():
                yield from self._rest(action)
            case _:
                pass

    def _longest(self) -> Handling | None:
        """The handling that ends presses by itself, soonest."""
        limited = [each for each in self._handlings if each.longest_us]
        return min(limited, key=lambda each: each.longest_us, default=None)

    def _short_long(self, action: ShortLong, since_us: int) -> Iterator[Finding]:
        after_us = since_us + action.after_us
        longest = self._longest()
        if longest is not None and not longest.can_hold(after_us):
            yield self._warn(
                "long-never",
                f"{action.long.label} never happens: presses of {self._name} end by themselves "
                f"after {milliseconds(longest.longest_us)} (`longest`), before the long press "
                f"counts ({milliseconds(after_us)})",
                "make `longest` longer, or `after` shorter",
            )
        if not any(each.can_end_before(action.after_us) for each in self._handlings):
            shortest_us = min(each.shortest_us for each in self._handlings)
            yield self._warn(
                "short-never",
                f"{action.short.label} never happens: the shortest press of {self._name} counts "
                f"as {milliseconds(shortest_us)}, and from {milliseconds(action.after_us)} on it "
                "is a long one",
                "make `after` longer, or `release-delay` shorter",
            )
        yield from self.tapped(action.short, "short")
        yield from self.pressed(action.long, after_us)

    def _twice(self, action: OnceTwice) -> Iterator[Finding]:
        repeat_us = max(each.repeat_us for each in self._handlings)
        if repeat_us >= action.within_us:
            yield self._warn(
                "twice-never",
                f"{action.twice.label} never happens: a second press of {self._name} counts "
                f"{milliseconds(repeat_us)} after the first at the soonest, and has to come within "
                f"{milliseconds(action.within_us)}",
                "make `within` longer, or the control's `repeat-guard`, `acceptance-delay` and "
                "`release-delay` shorter",
            )

    def _ramp(self, action: Push, since_us: int) -> Iterator[Finding]:
        longest = self._longest()
        if longest is not None and since_us + action.ramp_us > longest.longest_us:
            yield self._warn(
                "ramp-cut-short",
                f"{action.label} never gets to its end: presses of {self._name} end by themselves "
                f"after {milliseconds(longest.longest_us)} (`longest`)",
                "make `longest` longer, or `ramp` shorter",
            )

    def _rest(self, action: TakeRest) -> Iterator[Finding]:
        longest = self._longest()
        if longest is not None and not longest.can_hold(action.hold_us):
            yield self._warn(
                "rest-never-ends",
                f"the rest cannot be ended: {self._name} would have to be held for "
                f"{milliseconds(action.hold_us)}, but its presses end by themselves after "
                f"{milliseconds(longest.longest_us)} (`longest`)",
                "make `longest` longer than the rest's time",
            )

    def _scan(self, action: Scan) -> Iterator[Finding]:
        if action.pick is not None:
            return
        accepted_us = max(each.accepted_after_us for each in self._handlings)
        needed_us = PACE_US + accepted_us
        if action.every_us < needed_us:
            yield Finding(
                "items-too-quick",
                Weight.WARNING,
                f"each item is offered for {milliseconds(action.every_us)}: too short to see it "
                f"and press {self._name}, which takes {milliseconds(needed_us)} at the least",
                ("time a few presses, take the mean, divide it by 0.65: that is a good `every`",),
                self._places,
                "reaction 231 ms: Woods and others, 2015; the 0.65 rule: Simpson, Koester and "
                "LoPresti, 2007",
            )

    # ------------------------------------------------------------------ tapped

    def tapped(self, action: Action, inside: str) -> Iterator[Finding]:
        """An action that is pressed for the layout's `tap`, as a part of another one."""
        tap = milliseconds(self._tap_us)
        match action:
            case Push() if action.ramp_us > self._tap_us and not action.toggle:
                share = round(100 * self._tap_us / action.ramp_us)
                yield self._warn(
                    "tap-too-short",
                    f"{action.label} gets only {share}% of its way: inside `{inside}` it is "
                    f"pressed for the tap of {tap}, and its ramp takes "
                    f"{milliseconds(action.ramp_us)}",
                    "make its `ramp` shorter, or the layout's `tap` longer",
                )
            case ShortLong():
                if action.after_us >= self._tap_us:
                    yield self._warn(
                        "tap-too-short",
                        f"{action.long.label} never happens: inside `{inside}` it is pressed for "
                        f"the tap of {tap}, which always is a short press",
                        f"bind {action.long.label} elsewhere",
                    )
                yield from self.tapped(action.short, "short")
            case HoldLayer() | Lead(toggle=False) | UseTuning(toggle=False):
                yield self._warn(
                    "tap-too-short",
                    f"{action.label} is of no use inside `{inside}`: it is on for the tap of "
                    f"{tap} only",
                    "give it `how: toggle`"
                    + (", or `how: next`" if isinstance(action, HoldLayer) else ""),
                )
            case Steps():
                if action.hold and self._played_us(action) > self._tap_us:
                    yield self._warn(
                        "tap-too-short",
                        f"{action.label} stops after its first step: inside `{inside}` it is held "
                        f"for the tap of {tap} only",
                        "leave out its `how: hold`",
                    )
                for step in action.steps:
                    yield from self.tapped(step, "steps")
            case OnceTwice():
                yield from self.tapped(action.once, "once")
                yield from self.tapped(action.twice, "twice")
            case OnRelease():
                yield from self.tapped(action.action, "on-release")
            case Scan() | TakeRest():
                yield from self.pressed(action)
            case _:
                pass

    def _played_us(self, action: Steps) -> int:
        """When the last step of a row begins, about."""
        taps = sum(not isinstance(step, Wait) for step in action.steps)
        return 2 * self._tap_us * (taps - 1)
