"""The tree of a layout file as written: words, lists and mappings, each with its place."""

from __future__ import annotations

from dataclasses import dataclass, field

from remapd.diagnostics import Span


@dataclass(slots=True)
class ScalarNode:
    """One value as written. `plain` is False where it stands in quotes or is a block of text."""

    text: str
    span: Span
    plain: bool = True

    @property
    def is_empty(self) -> bool:
        """Whether nothing is written where a value could be."""
        return self.plain and not self.text


@dataclass(slots=True)
class ListNode:
    """A list of values."""

    span: Span
    items: list[Node] = field(default_factory=list)


@dataclass(slots=True)
class MappingNode:
    """Names with their values, in the order of the file; no name twice."""

    span: Span
    entries: list[tuple[ScalarNode, Node]] = field(default_factory=list)

    def get(self, key: str) -> Node | None:
        """The value of a name, or None."""
        for name, value in self.entries:
            if name.text == key:
                return value
        return None


Node = ScalarNode | ListNode | MappingNode
