"""A situation of play: which layers are on and why, what runs, and what hands hold.

`Situation` is the frozen form that a search compares; `World` is one that things are done to. What
a hand still presses besides, and what only a game would notice, is left out: two situations that
are equal give every control the same meaning, now and after whatever is done next.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from remapd.analysis.reach.gestures import Gesture

LeadKey = tuple[int, frozenset[int]]
#: What stays pressed or moved by itself: kind, person or action, and targets or stick.
Stay = tuple[str, int, tuple[int, ...]]

NOBODY = -1
_NOTHING: frozenset[Stay] = frozenset()


class NextOn(NamedTuple):
    """A layer that is on for somebody's next press."""

    layer: int
    person: int
    waiting: bool = True
    locked: bool = False
    used: bool = False  #: while its control is held
    gave_up: bool = False  #: likewise
    consumer: int = NOBODY  #: the button that uses it now
    begun_by: int = NOBODY  #: the button that began the wait
    remaining_us: int = 0  #: until it gives up


class CycleOn(NamedTuple):
    """A row of layers that stands elsewhere than at its start."""

    layers: tuple[int, ...]
    position: int
    remaining_us: int = 0  #: until it goes back by itself; 0: never


class ScanOn(NamedTuple):
    """A list that offers its items: by time, or by hand one item a step."""

    person: int
    scan: int  #: which of the layout's
    origin: int  #: the button that began it
    elapsed_us: int = 0
    step: int = 0


class Held(NamedTuple):
    """What a hand holds, besides what it does next."""

    people: tuple[int, ...]  #: whose each of the buttons is
    buttons: tuple[int, ...]
    gesture: Gesture
    layers: tuple[int, ...]
    nexts: tuple[tuple[int, int], ...]  #: layer and person
    leads: tuple[LeadKey, ...]
    remaining_us: int = 0  #: until the press ends by itself; 0: never


class Situation(NamedTuple):
    """Everything that decides what the next act can do."""

    stack: tuple[int, ...] = ()  #: active layers above the base, oldest first
    toggled: frozenset[int] = frozenset()
    cycles: tuple[CycleOn, ...] = ()
    nexts: tuple[NextOn, ...] = ()
    scans: tuple[ScanOn, ...] = ()  #: in the order in which they began
    leads: tuple[LeadKey, ...] = ()  #: in the order in which they count, the held ones too
    staying: frozenset[Stay] = frozenset()
    rest: tuple[int, int] | None = None  #: the button that ends it, and how long it is held
    held: tuple[Held, ...] = ()


def timeless(situation: Situation) -> Situation:
    """The situation without how long things still last, and without what presses by itself.

    Neither opens anything: what is limited gets no longer, and what stays pressed closes things at
    the most. So of two situations that are equal in this form the first found is the better one.
    """
    if not (situation.nexts or situation.cycles or situation.scans or situation.held):
        return situation._replace(staying=_NOTHING) if situation.staying else situation
    return Situation(
        situation.stack,
        situation.toggled,
        tuple([CycleOn(c.layers, c.position) for c in situation.cycles]),
        tuple([NextOn(*n[:8]) for n in situation.nexts]),
        tuple([ScanOn(s.person, s.scan, s.origin, 0, s.step) for s in situation.scans]),
        situation.leads,
        _NOTHING,
        situation.rest,
        tuple([Held(*h[:6]) for h in situation.held]),
    )


def holders(situation: Situation, person: int) -> int:
    """How many controls a person holds."""
    return sum(held.people.count(person) for held in situation.held)


def find_next(nexts: Sequence[NextOn], layer: int, person: int) -> NextOn | None:
    """The state of a `next` layer for a person, where it is on."""
    for each in nexts:
        if each.layer == layer and each.person == person:
            return each
    return None
