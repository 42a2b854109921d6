"""The one clock and the one timer: CLOCK_MONOTONIC in whole microseconds, as the kernel stamps.

A poll's timeout is rounded up to whole milliseconds; a timerfd keeps microseconds and is one more
descriptor in the same poll.
"""

from __future__ import annotations

import ctypes
import os
import sys
import time
from typing import Final

if sys.version_info < (3, 13):

    class _Timespec(ctypes.Structure):
        _fields_ = (("seconds", ctypes.c_long), ("nanoseconds", ctypes.c_long))

    class _Itimerspec(ctypes.Structure):
        _fields_ = (("interval", _Timespec), ("value", _Timespec))

    _libc: Final = ctypes.CDLL(None, use_errno=True)
    # sys/timerfd.h: the flags are those of open(2)
    _TFD_TIMER_ABSTIME: Final = 1


def monotonic_us() -> int:
    """Now, in microseconds of CLOCK_MONOTONIC: the clock that frames are stamped with."""
    return time.monotonic_ns() // 1000


class Timer:
    """A timer that makes its descriptor readable at a set time; one deadline at once."""

    def __init__(self) -> None:
        """Raises OSError when the process has no descriptors left."""
        self._fd: int
        if sys.version_info >= (3, 13):
            self._fd = os.timerfd_create(
                time.CLOCK_MONOTONIC, flags=os.TFD_NONBLOCK | os.TFD_CLOEXEC
            )
        else:
            self._fd = _libc.timerfd_create(time.CLOCK_MONOTONIC, os.O_NONBLOCK | os.O_CLOEXEC)
            if self._fd < 0:
                raise OSError(ctypes.get_errno(), "timerfd_create")
            self._spec = _Itimerspec()
            self._spec_pointer = ctypes.byref(self._spec)
        #: The deadline that is set, in microseconds, or None.
        self.deadline_us: int | None = None

    def fileno(self) -> int:
        """The descriptor to poll; it is readable once the deadline is reached."""
        return self._fd

    def arm(self, deadline_us: int | None) -> None:
        """Sets the time at which to wake, in place of any other; None: never.

        A time that is over makes the descriptor readable at once. Setting what is set already
        costs nothing, so a loop may call this after every step.
        """
        if deadline_us == self.deadline_us:
            return
        self.deadline_us = deadline_us
        # zero would mean "off"; a time before the machine's start is over just the same
        nanoseconds = 0 if deadline_us is None else max(deadline_us, 1) * 1000
        if sys.version_info >= (3, 13):
            os.timerfd_settime_ns(self._fd, flags=os.TFD_TIMER_ABSTIME, initial=nanoseconds)
        else:
            value = self._spec.value
            value.seconds, value.nanoseconds = divmod(nanoseconds, 1_000_000_000)
            if _libc.timerfd_settime(self._fd, _TFD_TIMER_ABSTIME, self._spec_pointer, None) < 0:
                raise OSError(ctypes.get_errno(), "timerfd_settime")

    def acknowledge(self) -> None:
        """Call it when the descriptor was readable: no deadline is set afterwards."""
        try:
            os.read(self._fd, 8)
            self.deadline_us = None
        except BlockingIOError:
            pass  # it was set anew since the poll

    def close(self) -> None:
        """Gives the descriptor back; a second call does nothing."""
        if self._fd >= 0:
            os.close(self._fd)
            self._fd = -1
