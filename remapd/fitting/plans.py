"""A proposed layout: its layers and bindings, what it costs the body, and what it lacks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from remapd.fitting.doings import Doing

#: The layer that is always on.
BASE = "play"


@dataclass(frozen=True, slots=True)
class PlannedLayer:
    """One layer.

    Attributes:
        name: Its name.
        bindings: By control, direction or end: what it does, in the order of the file.
        told: One or two sentences for who reads the file: when it is on, and what for.
        said: What is said when it comes on.
    """

    name: str
    bindings: Mapping[str, Doing]
    told: str
    said: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """The layers of a layout, the base first.

    Attributes:
        key: Which way of laying them out it is: `direct`, `once`, `toggled`, `round`, `list` ...
        told: It in one sentence.
        plays: How it is played, for the layout's notes: whole sentences.
        layers: The layers.
        merge: The rules for two people, as `merge:` has them.
        settings: What controls need beside what was found: by control, by key.
    """

    key: str
    told: str
    plays: str
    layers: tuple[PlannedLayer, ...]
    merge: Mapping[str, str] = field(default_factory=dict)
    settings: Mapping[str, Mapping[str, str]] = field(default_factory=dict)

    def doings(self) -> Iterator[tuple[str, str, Doing]]:
        """Layer, control and doing of everything, with what is inside of each."""
        for layer in self.layers:
            for control, doing in layer.bindings.items():
                for each in doing.inner():
                    yield layer.name, control, each

    def layer(self, name: str) -> PlannedLayer:
        """The layer of that name."""
        return next(layer for layer in self.layers if layer.name == name)


@dataclass(frozen=True, slots=True)
class VerbCost:
    """What one verb costs: figures of the same proof as `remapd check`.

    Attributes:
        verb: The verb.
        by: `player`, `helper`, `either`, `together`, or `nobody`.
        actions: The fewest acts of the body for it.
        most_actions: Of a stick reached way by way: those for the way that takes the most.
        two_at_once: Whether it takes two controls pressed at the same time.
        how: The shortest way in words, of the first of its ways.
        us: How long the slowest of its ways takes at a quick hand's pace.
    """

    verb: str
    by: str
    actions: int
    most_actions: int
    two_at_once: bool
    how: str
    us: int

    @property
    def reached(self) -> bool:
        """Whether anybody reaches all of it."""
        return self.by != "nobody"


@dataclass(frozen=True, slots=True)
class Proposal:
    """A plan with its costs.

    Attributes:
        plan: The plan.
        costs: The cost of each verb, in the game's order of importance.
        apart: Pairs of verbs that a game wants at the same time and that cannot be had so here.
        at_once: Pairs that take two controls at the same time.
        advice: What to know or to do about what it lacks, whole sentences.
    """

    plan: Plan
    costs: tuple[VerbCost, ...]
    apart: tuple[tuple[str, str], ...] = ()
    at_once: tuple[tuple[str, str], ...] = ()
    advice: tuple[str, ...] = ()

    @property
    def told(self) -> str:
        """It in one sentence."""
        return self.plan.told

    @property
    def unreached(self) -> tuple[str, ...]:
        """The verbs that nobody reaches."""
        return tuple(cost.verb for cost in self.costs if not cost.reached)

    @property
    def needs_two_at_once(self) -> bool:
        """Whether anything takes two controls at the same time."""
        return bool(self.at_once) or any(cost.two_at_once for cost in self.costs)

    @property
    def total(self) -> int:
        """All verbs once: the acts of the body that they take together."""
        return sum(cost.actions for cost in self.costs)
