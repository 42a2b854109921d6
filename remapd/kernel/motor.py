"""A device that can rumble: one effect on it, whose strength follows what it is told.

Its calls may wait: most drivers take an effect at once, but some send it to the device first, and a
device that is itself made by a program answers when that program likes, after 30 s at the latest.
"""

from __future__ import annotations

import contextlib
import fcntl
import os
import struct
from typing import Final

from remapd.codes import EV_FF
from remapd.kernel.effects import EFFECT_BYTES, FF_MAX, FF_RUMBLE, NEW, number_in, rumble_bytes

_EVENT: Final = struct.Struct("@16xHHi")
_BITMAP_BYTES: Final = FF_MAX // 8 + 1

# linux/input.h, the numbers spelled out as the _IOC macro of asm-generic/ioctl.h makes them
_EVIOCGBIT_FF: Final = 0x80004520 + EV_FF | _BITMAP_BYTES << 16
_EVIOCSFF: Final = 0x40004580 | EFFECT_BYTES << 16


class Motor:
    """The motors of one event node.

    It has a descriptor of its own, so that the device is given back whatever becomes of a call
    here. When it is closed, or the process ends in any way, the kernel stops the rumble.
    """

    def __init__(self, path: str) -> None:
        """Opens the node, which is quick. Raises OSError."""
        self._fd = os.open(path, os.O_WRONLY | os.O_NONBLOCK | os.O_CLOEXEC)
        self._number = NEW

    def rumble(self, strong: int, weak: int, length_ms: int) -> None:
        """Rumbles from now on, in place of what it did, and stops by itself after `length_ms`.

        Strengths of 0 to 0xFFFF, a length of 1 to 0x7FFF. May wait. Raises OSError.
        """
        data = bytearray(rumble_bytes(self._number, strong, weak, length_ms))
        fcntl.ioctl(self._fd, _EVIOCSFF, data)
        self._number = number_in(data)
        os.write(self._fd, _EVENT.pack(EV_FF, self._number, 1))

    def stop(self) -> None:
        """Is still. Raises OSError."""
        if self._number != NEW:
            os.write(self._fd, _EVENT.pack(EV_FF, self._number, 0))

    def close(self) -> None:
        """Is still, and lets go of the node. May wait; a second call does nothing."""
        if self._fd >= 0:
            with contextlib.suppress(OSError):
                self.stop()
            os.close(self._fd)
            self._fd = -1


def can_rumble(descriptor: int) -> bool:
    """Whether the opened event node has motors that a rumble drives. Never waits."""
    data = bytearray(_BITMAP_BYTES)
    with contextlib.suppress(OSError):
        fcntl.ioctl(descriptor, _EVIOCGBIT_FF, data)
    return bool(int.from_bytes(data, "little") >> FF_RUMBLE & 1)
