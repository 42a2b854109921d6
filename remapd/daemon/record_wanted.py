"""Which devices a recording without a daemon is of."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from fnmatch import fnmatchcase
from typing import cast

from remapd.engine.layout import Layout
from remapd.engine.matching import fits, has_codes, is_keyboard
from remapd.engine.source import Source
from remapd.kernel.hotplug import NodeDescription

Wanted = Callable[[NodeDescription], bool]


def taken_by(layout: Layout) -> Wanted:
    """The devices that the layout may take."""

    def wanted(node: NodeDescription) -> bool:
        source = cast("Source", node)  # a description lacks only the ranges of its axes
        return any(
            fits(device.find, source) and has_codes(device, source) for device in layout.devices
        )

    return wanted


def named(patterns: Iterable[str]) -> Wanted:
    """The devices of these names; what is typed is recorded only where its name stands in full."""
    given = list(patterns)

    def wanted(node: NodeDescription) -> bool:
        if is_keyboard(cast("Source", node)):
            return node.name in given
        return any(fnmatchcase(node.name, pattern) for pattern in given)

    return wanted
