"""A device on which rumble is felt, driven by a thread of its own: its driver may make us wait.

Most drivers take an effect in some microseconds. Some send it to the device first, and a device
that a program has made may leave us without an answer for 30 s. Input must not wait for that, so
all calls to the device are made by the thread; the loop only leaves it the newest order.
"""

from __future__ import annotations

import errno
import threading
from queue import SimpleQueue
from typing import Final, NamedTuple

from remapd.daemon.rumble_mix import STILL, Strength
from remapd.kernel.effects import LONGEST_MS
from remapd.kernel.motor import Motor
from remapd.kernel.timer import monotonic_us


class _Order(NamedTuple):
    strength: Strength
    until_us: int


_CLOSE: Final = None


class FeltDevice:
    """The motors of one device. Nothing here waits for it."""

    def __init__(self, motor: Motor, called: str) -> None:
        #: Why it is felt no more; empty while it works.
        self.trouble = ""
        self._motor = motor
        self._orders: SimpleQueue[_Order | None] = SimpleQueue()
        self._given = _Order(STILL, 0)
        self._thread = threading.Thread(target=self._work, name=f"rumble {called}", daemon=True)
        self._thread.start()

    def drive(self, strength: Strength, until_us: int, slack_us: int = 0) -> None:
        """Turns its motors so until it is told otherwise.

        Without another word before `until_us` it stops by itself, `slack_us` later: so a program
        that hangs leaves nobody shaking.
        """
        given = self._given
        if strength == given.strength and (strength == STILL or until_us <= given.until_us):
            return
        self._given = _Order(strength, until_us + slack_us)
        self._orders.put(self._given)

    def close(self) -> None:
        """Stops it, and lets go of the device, as soon as the device lets us."""
        self._orders.put(_CLOSE)

    def _work(self) -> None:
        order: _Order | None = self._orders.get()
        while True:
            while not self._orders.empty():  # only the newest counts
                if order is _CLOSE:
                    break
                order = self._orders.get()
            if order is _CLOSE:
                break
            self._carry_out(order)
            order = self._orders.get()
        self._motor.close()

    def _carry_out(self, order: _Order) -> None:
        if self.trouble:
            return
        left_ms = min((order.until_us - monotonic_us()) // 1000, LONGEST_MS)
        try:
            if order.strength == STILL or left_ms <= 0:
                self._motor.stop()
            else:
                self._motor.rumble(*order.strength, left_ms)
        except OSError as error:
            if error.errno == errno.ENODEV:  # unplugged, which the loop finds out by itself
                return
            self.trouble = error.strerror or str(error)
