"""Recording devices with no daemon running: read beside other programs, never taken from them."""

from __future__ import annotations

import select
from collections.abc import Callable
from typing import Any

from remapd.daemon.identities import Identities
from remapd.daemon.recording_file import RecordingFile
from remapd.daemon.wire import state_fields
from remapd.kernel.errors import SourceBusy, SourceDenied, SourceGone, SourceUnreadable
from remapd.kernel.hotplug import (
    HotplugWatch,
    NodeChange,
    NodeDescription,
    describe_node,
    is_remapd_pad,
    list_nodes,
)
from remapd.kernel.source import SourceDevice
from remapd.kernel.timer import monotonic_us


class NothingToRecord(Exception):
    """No device that is plugged in is wanted; `there` are the names of those that are."""

    def __init__(self, there: list[str]) -> None:
        super().__init__(there)
        self.there = there


class DeviceRecorder:
    """Writes what the wanted devices send to `file`, those plugged in now and later."""

    def __init__(
        self,
        wanted: Callable[[NodeDescription], bool],
        file: RecordingFile,
        layout: tuple[str, str] | None,
    ) -> None:
        """`layout` is its path and text, where there is one.

        Raises NothingToRecord, SourceDenied, SourceUnreadable, and SourceBusy where another program
        has taken a device, so that nothing of it would be seen here.
        """
        self._wanted = wanted
        self._file = file
        self._identities = Identities()
        self._poll = select.poll()
        self._hotplug = HotplugWatch()
        self._poll.register(self._hotplug, select.POLLIN)
        self._devices: dict[int, SourceDevice] = {}
        nodes = [node for node in list_nodes() if not is_remapd_pad(node)]
        for node in nodes:
            if wanted(node):
                self._open(node)
        if not self._devices:
            raise NothingToRecord(sorted({node.name for node in nodes}))
        path, text = layout if layout is not None else (None, "")
        file.take(
            {
                "event": "recording",
                "us": monotonic_us(),
                "state": {
                    "devices": [_fields(device) for device in self._devices.values()],
                    "paused": False,
                    "layout": path,
                    "text": text,
                },
            }
        )

    def run(self, stop_fd: int, progress: Callable[[], None]) -> None:
        """Records until `stop_fd` is readable; `progress` is called now and then."""
        self._poll.register(stop_fd, select.POLLIN)
        stopped = False
        while not stopped:
            items: list[tuple[int, int, Any]] = []
            for fd, _ in self._poll.poll(500):
                if fd == stop_fd:
                    stopped = True
                elif fd == self._hotplug.fileno():
                    items += self._plugged()
                elif fd in self._devices:
                    items += self._read(fd)
            items.sort(key=lambda item: item[0])
            self._file.take({"event": "recording-frames", "items": items})
            progress()
        self._file.take({"event": "recording-end", "us": monotonic_us()})

    def close(self) -> None:
        """Closes all devices."""
        self._hotplug.close()
        for device in self._devices.values():
            device.close()

    def _open(self, node: NodeDescription) -> SourceDevice:
        in_use = {device.source.id for device in self._devices.values()}
        device = SourceDevice(node.path, self._identities.id_for(node, in_use))
        try:
            device.try_grab()
            device.ungrab()
        except (SourceBusy, SourceGone):
            device.close()
            raise
        self._devices[device.fileno()] = device
        self._poll.register(device, select.POLLIN)
        return device

    def _read(self, fd: int) -> list[tuple[int, int, Any]]:
        device = self._devices[fd]
        frames = device.read_frames()
        if frames is not None:
            return [(us, device.source.id, events) for us, events in frames]
        del self._devices[fd]
        self._poll.unregister(fd)
        device.close()
        return [(monotonic_us(), -1, {"unplugged": device.source.id})]

    def _plugged(self) -> list[tuple[int, int, Any]]:
        items: list[tuple[int, int, Any]] = []
        opened = {device.path for device in self._devices.values()}
        for event in self._hotplug.read():
            node = describe_node(event.path) if event.change is not NodeChange.VANISHED else None
            if node is None or node.path in opened or is_remapd_pad(node) or not self._wanted(node):
                continue
            try:
                device = self._open(node)
            except (SourceBusy, SourceDenied, SourceGone, SourceUnreadable):
                continue  # told of again when its permissions change
            opened.add(node.path)
            items.append((monotonic_us(), -1, {"plugged": _fields(device)}))
        return items


def _fields(device: SourceDevice) -> dict[str, Any]:
    return state_fields(device.source, device.held(), device.axes())
