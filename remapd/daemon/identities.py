"""Numbers for devices, so that one that comes back has the number that it had before."""

from __future__ import annotations

from collections.abc import Container

from remapd.kernel.hotplug import NodeDescription


class Identities:
    """Gives each device an id that no other plugged device has; of two alike, any."""

    def __init__(self) -> None:
        self._ids: dict[tuple[object, ...], list[int]] = {}
        self._next_id = 0

    def id_for(self, node: NodeDescription, in_use: Container[int], confirmed_as: str = "") -> int:
        """The id for a node that is about to be opened; `in_use` are those of open ones.

        A node that a press has shown to be another device than before is another one.
        """
        key = (
            *(node.name, node.vendor, node.product, node.version, node.port, node.serial),
            *(node.keys, node.axes, confirmed_as),
        )
        ids = self._ids.setdefault(key, [])
        for known in ids:
            if known not in in_use:
                return known
        ids.append(self._next_id)
        self._next_id += 1
        return ids[-1]
