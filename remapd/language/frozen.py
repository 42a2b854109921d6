"""Mappings that cannot be changed, and can still be handed from one process to another."""

from __future__ import annotations

import copyreg
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, TypeVar

K = TypeVar("K")
V = TypeVar("V")


def frozen(items: Mapping[K, V]) -> Mapping[K, V]:
    """A read-only view of a copy of `items`."""
    return MappingProxyType(dict(items))


def _reduce(proxy: MappingProxyType[Any, Any]) -> tuple[Any, tuple[dict[Any, Any]]]:
    return frozen, (dict(proxy),)


# Python has no pickled form of a read-only view; a layout is built in one process, used in another.
copyreg.pickle(MappingProxyType, _reduce)
