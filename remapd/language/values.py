"""What the schema makes of a node: checked values that remember their place."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from remapd.diagnostics import Span
from remapd.language.kinds import Group
from remapd.language.nodes import MappingNode, Node, ScalarNode


@dataclass(slots=True)
class Value:
    """One checked value.

    `data` is what its kind says: str for texts, words and references, bool, int or float for
    numbers (durations in µs, shares of 1), a list of `Value`, `Fields` for a group, `Entries` for a
    mapping with names of the writer's own.
    """

    data: Any
    node: Node
    #: Whether something is missing in a list since it is broken, which has been reported.
    lacks: bool = False

    @property
    def span(self) -> Span:
        """Where it is written."""
        return self.node.span


@dataclass(slots=True)
class Fields:
    """The settings of a group. What is broken has been reported and is missing in `values`."""

    group: Group
    node: MappingNode
    values: dict[str, Value] = field(default_factory=dict)
    #: All that are written, broken ones too.
    keys: dict[str, ScalarNode] = field(default_factory=dict)
    decider: str = ""  #: which setting decided the group, where one did

    def written(self, name: str) -> bool:
        """Whether the file has the setting, be it broken or not."""
        return name in self.keys

    def value(self, name: str) -> Value | None:
        """The checked value as written, or None."""
        return self.values.get(name)

    def data(self, name: str, default: Any = None) -> Any:
        """The data of a setting as written, or `default`."""
        value = self.values.get(name)
        return default if value is None else value.data


@dataclass(slots=True)
class Entry:
    """One name of a mapping with its value; None where that is broken."""

    key: ScalarNode
    value: Value | None

    @property
    def name(self) -> str:
        """The name as written."""
        return self.key.text


@dataclass(slots=True)
class Entries:
    """A mapping with names of the writer's own, in the order of the file."""

    node: MappingNode
    items: list[Entry] = field(default_factory=list)
