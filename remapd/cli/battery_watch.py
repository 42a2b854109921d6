"""The batteries of the layout's devices, read beside everything else: a device that sleeps can keep
its reader waiting for seconds.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from remapd.kernel.battery import Battery, battery_of


class BatteryWatch:
    """Reads them in a thread each time that it is told which devices there are."""

    def __init__(self) -> None:
        self._found: queue.SimpleQueue[tuple[str, Battery]] = queue.SimpleQueue()
        self._thread: threading.Thread | None = None

    def look_at(self, devices: Iterable[Mapping[str, Any]]) -> None:
        """These are the devices of the status; nothing while the last look is not over."""
        if self._thread is not None and self._thread.is_alive():
            return
        nodes = {each["device"]: each["node"] for each in devices if each["state"] == "taken"}
        self._thread = threading.Thread(target=self._read, args=(nodes,), daemon=True)
        self._thread.start()

    def _read(self, nodes: Mapping[str, str]) -> None:
        for device, node in nodes.items():
            battery = battery_of(node)
            if battery is not None:
                self._found.put((device, battery))

    def found(self) -> Iterator[tuple[str, Battery]]:
        """What has been read since the last time."""
        while not self._found.empty():
            yield self._found.get()
