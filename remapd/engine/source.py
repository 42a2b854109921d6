"""What an event node is: the description that `find` is matched against."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class AxisRange:
    """The kernel's `struct input_absinfo` of one absolute axis, without its value (raw units)."""

    minimum: int
    maximum: int
    fuzz: int = 0
    flat: int = 0
    resolution: int = 0


@dataclass(frozen=True, slots=True)
class Source:
    """One event node, as the kernel or a recording describes it.

    `id` is unique among the nodes that are plugged in; `port` is the kernel's `phys`, `serial` its
    `uniq`. `keys`, `rels` and `axes` hold the numbers of the event codes that the node can send.
    `confirmed_as` is the device of a layout that a person has said this node is, by a press on it:
    it is that one and no other, and its port is not compared.
    """

    id: int
    name: str
    vendor: int = 0
    product: int = 0
    version: int = 0
    bus: int = 0
    port: str = ""
    serial: str = ""
    keys: frozenset[int] = frozenset()
    rels: frozenset[int] = frozenset()
    axes: Mapping[int, AxisRange] = field(default_factory=lambda: MappingProxyType({}))
    confirmed_as: str = ""
