"""Reading several devices at once for a person who looks on: not for play, which has its own loop.

Devices may come and go meanwhile. One that may not be read yet is tried again when its permissions
change.
"""

from __future__ import annotations

import contextlib
import select
from collections.abc import Callable, Iterator
from types import TracebackType
from typing import Final, Self

from remapd.kernel.errors import KernelError, SourceDenied, SourceGone
from remapd.kernel.frames import Frame
from remapd.kernel.hotplug import (
    HotplugWatch,
    NodeChange,
    NodeDescription,
    describe_node,
    list_nodes,
)
from remapd.kernel.source import SourceDevice
from remapd.kernel.timer import monotonic_us

_LONGEST_WAIT_US: Final = 500_000


class SeveralDevices:
    """The devices that `wanted` says yes to, read together; use it in a `with`.

    `opened` are those that are read, `denied` those that this user may not read, both by path.
    """

    def __init__(self, wanted: Callable[[NodeDescription], bool]) -> None:
        self._wanted = wanted
        self._watch = HotplugWatch()
        self._poll = select.poll()
        self._poll.register(self._watch, select.POLLIN)
        self._by_fd: dict[int, SourceDevice] = {}
        self.opened: dict[str, SourceDevice] = {}
        self.denied: dict[str, SourceDenied] = {}
        for description in list_nodes():
            self._consider(description)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def read(self, until_us: int | None) -> Iterator[tuple[SourceDevice, Frame]]:
        """Waits until something comes, or until `until_us` at the latest; then gives what came.

        Gives nothing where the time was up, or a device came or went; look at `opened` then.
        """
        wait_us = _LONGEST_WAIT_US if until_us is None else until_us - monotonic_us()
        ready = self._poll.poll(min(max(-(-wait_us // 1000), 0), _LONGEST_WAIT_US // 1000))
        came: list[tuple[SourceDevice, Frame]] = []
        for fd, _ in ready:
            device = self._by_fd.get(fd)
            if device is None:
                continue
            frames = device.read_frames()
            if frames is None:
                self._forget(device.path)
            else:
                came += [(device, frame) for frame in frames]
        if any(fd == self._watch.fileno() for fd, _ in ready):
            self._nodes_changed()
        return iter(sorted(came, key=lambda each: each[1][0]))

    def wake_on(self, descriptor: int) -> None:
        """A wait ends as well when something can be read from `descriptor`, a keyboard's say."""
        self._poll.register(descriptor, select.POLLIN)

    def close(self) -> None:
        """Closes all devices."""
        for path in list(self.opened):
            self._forget(path)
        self._watch.close()

    def _nodes_changed(self) -> None:
        for event in self._watch.read():
            if event.change is NodeChange.VANISHED:
                self._forget(event.path)
            elif event.path not in self.opened:
                description = describe_node(event.path)
                if description is not None:
                    self._consider(description)

    def _consider(self, description: NodeDescription) -> None:
        path = description.path
        if not self._wanted(description):
            return
        try:
            device = SourceDevice(path)
        except SourceDenied as error:
            self.denied[path] = error
            return
        except KernelError:
            return
        self.denied.pop(path, None)
        # what waits in a fresh queue is in `held` and `axes` already
        with contextlib.suppress(SourceGone):
            device.read_frames()
        self.opened[path] = device
        self._by_fd[device.fileno()] = device
        self._poll.register(device, select.POLLIN)

    def _forget(self, path: str) -> None:
        self.denied.pop(path, None)
        device = self.opened.pop(path, None)
        if device is not None:
            self._by_fd.pop(device.fileno(), None)
            self._poll.unregister(device)
            device.close()
