"""Nodes that the layout wants and that cannot be had yet: not allowed, or in other hands.

Each is tried again every second, and told of once: one that is not allowed only after a while, as
permission comes a moment after the plug.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from typing import Final

from remapd.daemon.journal import WARNING, Journal
from remapd.daemon.loop import Loop
from remapd.kernel.errors import KernelError, SourceBusy, SourceDenied
from remapd.kernel.hotplug import NodeDescription, describe_node
from remapd.kernel.source import SourceDevice

#: udev gives a new node its permissions within 120 ms; after this something else is the matter.
PATIENCE_US: Final = 2_000_000
_RETRY_US: Final = 1_000_000


class Trouble(Enum):
    """Why a device that is wanted is not read; the values are words of the control socket."""

    DENIED = "denied"
    BUSY = "busy"
    UNREADABLE = "unreadable"


@dataclass(slots=True)
class Waiting:
    """One such node; `device` is open where another program holds it."""

    description: NodeDescription
    trouble: Trouble
    error: KernelError
    since_us: int
    said: bool = False
    device: SourceDevice | None = None


class WaitingList:
    """All such nodes by path; `retry` is called with each of them from time to time."""

    def __init__(
        self, loop: Loop, journal: Journal, retry: Callable[[NodeDescription], None]
    ) -> None:
        self._loop = loop
        self._journal = journal
        self._retry_node = retry
        self._alarm = loop.alarm(self._retry)
        self.nodes: dict[str, Waiting] = {}

    def add(
        self, description: NodeDescription, error: KernelError, device: SourceDevice | None
    ) -> None:
        """It could not be had, for the first time or again."""
        path = description.path
        now_us = self._loop.now()
        trouble = _trouble_of(error)
        waiting = self.nodes.get(path)
        if waiting is None or waiting.trouble is not trouble:
            waiting = self.nodes[path] = Waiting(description, trouble, error, now_us)
        waiting.device = device
        patient = trouble is Trouble.DENIED and now_us - waiting.since_us < PATIENCE_US
        if not waiting.said and not patient:
            waiting.said = True
            side = "device" if trouble is Trouble.BUSY else "kernel"
            self._journal.say(WARNING, side, f"{description.name}: {error}")
        self._alarm.set(now_us + _RETRY_US)

    def opened(self, path: str) -> SourceDevice | None:
        """The node's open device, where it waits with one."""
        waiting = self.nodes.get(path)
        return None if waiting is None else waiting.device

    def admitted(self, path: str) -> None:
        """It waits no more: it is taken, with its device."""
        self.nodes.pop(path, None)

    def forget(self, path: str) -> None:
        """It is gone, or no longer wanted."""
        waiting = self.nodes.pop(path, None)
        if waiting is not None and waiting.device is not None:
            waiting.device.close()

    def clear(self) -> None:
        """Forgets all."""
        for path in list(self.nodes):
            self.forget(path)
        self._alarm.set(None)

    def ids(self) -> set[int]:
        """The ids of the devices that are open."""
        return {
            waiting.device.source.id
            for waiting in self.nodes.values()
            if waiting.device is not None
        }

    def _retry(self, now_us: int) -> None:
        del now_us
        for path, waiting in list(self.nodes.items()):
            if describe_node(path) is None:
                self.forget(path)
            else:
                self._retry_node(waiting.description)


def _trouble_of(error: KernelError) -> Trouble:
    if isinstance(error, SourceBusy):
        return Trouble.BUSY
    return Trouble.DENIED if isinstance(error, SourceDenied) else Trouble.UNREADABLE
