"""Names of a package that are imported when they are first asked for (PEP 562)."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from importlib import import_module


def on_demand(package: str, homes: Mapping[str, str]) -> Callable[[str], object]:
    """The `__getattr__` of `package`; `homes` says in which of its modules each name is."""

    def import_name(name: str) -> object:
        if name not in homes:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        value: object = getattr(import_module(f"{package}.{homes[name]}"), name)
        setattr(sys.modules[package], name, value)
        return value

    return import_name
