"""A HID joystick with a battery, made by uhid: the kernel's own driver does what uinput cannot.

It answers the kernel's question for the battery's level from a thread, as a real device would.
Structs and numbers: linux/uhid.h. The report descriptor: USB HID 1.11, Usage Tables 1.12 (Generic
Device Controls, Battery Strength).
"""

from __future__ import annotations

import contextlib
import os
import struct
import threading
from types import TracebackType
from typing import Final, Self

_UHID: Final = "/dev/uhid"
_EVENT_BYTES: Final = 4380  # sizeof(struct uhid_event)
_DESTROY: Final = 1
_GET_REPORT: Final = 9
_GET_REPORT_REPLY: Final = 10
_CREATE2: Final = 11
_BUS_USB: Final = 3

_BATTERY_REPORT: Final = 2
_DESCRIPTOR: Final = bytes.fromhex(
    "05 01 09 04 a1 01"  # Generic Desktop, Joystick, application
    "85 01 09 30 09 31 15 81 25 7f 75 08 95 02 81 02"  # report 1: X, Y, -127 to 127
    "05 09 19 01 29 04 15 00 25 01 75 01 95 04 81 02 75 04 95 01 81 03"  # 4 buttons, padding
    "85 02 05 06 09 20 15 00 26 64 00 75 08 95 01 b1 02"  # report 2, feature: strength 0 to 100
    "c0"
)


class UhidJoystick:
    """Plugged in for as long as the `with` lasts."""

    def __init__(self, name: str, serial: str, battery_percent: int, product: int = 0x0B01) -> None:
        self._fd = os.open(_UHID, os.O_RDWR | os.O_CLOEXEC)
        self._battery_percent = battery_percent
        create = struct.pack(
            "<I128s64s64sHHIIII4096s",
            _CREATE2,
            name.encode(),
            b"uhid-test/input0",
            serial.encode(),
            len(_DESCRIPTOR),
            _BUS_USB,
            0x1209,
            product,
            1,
            0,
            _DESCRIPTOR,
        )
        self._answering = threading.Thread(target=self._answer, daemon=True)
        self._answering.start()
        os.write(self._fd, create)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        os.write(self._fd, struct.pack("<I", _DESTROY))
        os.close(self._fd)

    def _answer(self) -> None:
        while True:
            try:
                event = os.read(self._fd, _EVENT_BYTES)
            except OSError:
                return
            (kind,) = struct.unpack_from("<I", event)
            if kind == _GET_REPORT:
                (number,) = struct.unpack_from("<I", event, 4)
                report = bytes((_BATTERY_REPORT, self._battery_percent))
                reply = struct.pack("<IIHH4096s", _GET_REPORT_REPLY, number, 0, len(report), report)
                # Refused (EINVAL) where the device went while it was being asked.
                with contextlib.suppress(OSError):
                    os.write(self._fd, reply)
            elif kind == _DESTROY:
                return
