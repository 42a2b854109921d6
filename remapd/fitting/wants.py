"""What a game wants of the controls, one thing at a time, and how a control can give it."""

from __future__ import annotations

from dataclasses import dataclass

from remapd.fitting.doings import Do, Doing, Latched, Nudged, Repeated
from remapd.fitting.games import GameNeeds, Use, Verb
from remapd.fitting.setup import Setup

#: How long something goes on by itself at the most, so that what was forgotten ends.
_HELD_AT_MOST = "60s"
_WALKED_AT_MOST = "10s"


@dataclass(frozen=True, slots=True)
class Want:
    """One thing to press: a verb, or one way of a verb that is a stick's."""

    verb: Verb
    way: str = ""

    @property
    def word(self) -> str:
        """As a layout has it."""
        return f"{self.verb.name}.{self.way}" if self.way else self.verb.name

    @property
    def told(self) -> str:
        """In words: `walk to the left`, `jump`."""
        return f"{self.verb.name} {self.way}" if self.way else self.verb.name


def stick_verbs(game: GameNeeds) -> tuple[Verb, ...]:
    """The verbs that are a stick's, the most important first."""
    return tuple(verb for verb in game.verbs if verb.use is Use.STEERED)


def button_wants(game: GameNeeds) -> tuple[Want, ...]:
    """All others: what cannot wait first, what should be hard to do unmeant last."""
    verbs = [verb for verb in game.verbs if verb.use is not Use.STEERED]
    verbs.sort(key=lambda verb: (verb.deliberate, not verb.in_haste))
    return tuple(Want(verb) for verb in verbs)


def ways_of(verb: Verb) -> tuple[Want, ...]:
    """A stick's verb, way by way."""
    return tuple(Want(verb, way) for way in verb.ways)


def going_on(game: GameNeeds) -> frozenset[str]:
    """The verbs that have to go on while another one is done.

    Of a pair, what is held anyway goes on (speed, while something is steered); else what the other
    is done along with (walking, while something jumps).
    """
    found: set[str] = set()
    for verb in game.verbs:
        if verb.along_with:
            found |= {verb.name} if verb.use in {Use.HELD, Use.REPEATED} else {*verb.along_with}
    return frozenset(found)


def given(setup: Setup, want: Want, *, can_hold: bool, alone: bool = False) -> Doing:
    """How a control gives what is wanted.

    Args:
        setup: What the fitting knows.
        want: What is wanted.
        can_hold: Whether the control can be held without strain.
        alone: Whether nothing else can be pressed meanwhile, however able the body is.
    """
    verb, word = want.verb, want.word
    by_itself = not can_hold or (
        verb.name in going_on(setup.game) and (alone or not setup.two_at_once)
    )
    if not by_itself:
        return Repeated(word) if verb.use is Use.REPEATED else Do(word)
    if verb.use is Use.REPEATED:
        return Repeated(word, by_itself=True)
    if verb.use is Use.HELD:
        is_short = verb.in_haste and verb.name not in going_on(setup.game)
        return Nudged(word) if is_short else Latched(word, _HELD_AT_MOST)
    if verb.use is Use.STEERED and verb.pad != "dpad":
        quick = verb.in_haste or verb.by_degrees
        return Nudged(word) if quick else Latched(word, _WALKED_AT_MOST)
    return Do(word)
