"""Nodes that were just plugged in are opened in a thread first, so that nobody's play waits for it.

The first to open a USB device waits until it is awake and its old events are gone: 50 ms and more
(usbhid_open in the kernel's drivers/hid/usbhid/hid-core.c; from memory), in which another player's
device would fill its queue. Whoever opens it second waits for nothing. So the thread opens the node
and keeps it, the loop opens it for itself, and then the thread closes what it has, which takes its
time as well. There is one thread: devices are taken in the order in which they were plugged in.
"""

from __future__ import annotations

import os
import queue
import threading
from collections import deque
from collections.abc import Callable

from remapd.daemon.loop import Loop


class Opening:
    """Calls `then` in the loop with each path, once opening it there takes no time.

    Also with one that could not be opened: the loop finds out why.
    """

    def __init__(self, loop: Loop, then: Callable[[str], None]) -> None:
        self._then = then
        self._wanted: queue.SimpleQueue[str] = queue.SimpleQueue()
        self._opened: deque[tuple[str, threading.Event]] = deque()
        self._ready = os.eventfd(0, os.EFD_NONBLOCK | os.EFD_CLOEXEC)
        self._thread: threading.Thread | None = None
        loop.add(self._ready, self._go_on)

    def begin(self, path: str) -> None:
        """Opens this node in the thread; never waits."""
        self._wanted.put(path)
        if self._thread is None:
            self._thread = threading.Thread(target=self._work, name="opening", daemon=True)
            self._thread.start()

    def _work(self) -> None:
        while True:
            path = self._wanted.get()
            try:
                descriptor = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)
            except OSError:
                descriptor = -1
            is_used = threading.Event()
            self._opened.append((path, is_used))
            os.eventfd_write(self._ready, 1)
            if descriptor >= 0:
                is_used.wait()
                os.close(descriptor)

    def _go_on(self, mask: int) -> None:
        del mask
        os.eventfd_read(self._ready)
        while self._opened:
            path, is_used = self._opened.popleft()
            try:
                self._then(path)
            finally:
                is_used.set()
