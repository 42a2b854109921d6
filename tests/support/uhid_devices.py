"""Devices of the HID class, by /dev/uhid, with report descriptors of our own.

Source of the protocol: include/uapi/linux/uhid.h and Documentation/hid/uhid.rst; of the items of
descriptors: the USB HID specification 1.11, section 6.2.2, and its usage tables (pages 1 and 9).
The kernel's hid-input makes axes and buttons from them, with the fuzz and flat that it gives to
joysticks, so what comes out is what such a device would really send.
"""

from __future__ import annotations

import os
import struct
import time
from typing import Final, Self

from remapd.kernel.hotplug import list_nodes
from tests.support.source_devices import WAIT_S

_CREATE2: Final = 11
_DESTROY: Final = 1
_INPUT2: Final = 12
_CREATE2_FIELDS: Final = struct.Struct("=I128s64s64sHHIIII")
_BUS_USB: Final = 0x03
#: The kernel throws away what comes while the driver is still being bound, which outlasts the
#: making of the event node by a little.
_BOUND_S: Final = 0.2

#: Eight switches; a multi-axis controller's buttons are BTN_0 and on.
SWITCH_BOX: Final = bytes.fromhex(
    "05 01 09 08 a1 01"  # generic desktop, multi-axis controller
    "05 09 19 01 29 08 15 00 25 01 75 01 95 08 81 02"  # buttons 1 to 8, a bit each
    "c0"
)
#: A joystick of 0 to 255 on both axes, with one button, BTN_TRIGGER.
STICK: Final = bytes.fromhex(
    "05 01 09 04 a1 01"  # generic desktop, joystick
    "09 30 09 31 15 00 26 ff 00 75 08 95 02 81 02"  # X and Y, a byte each
    "05 09 19 01 29 01 25 01 75 01 95 01 81 02"  # button 1, a bit
    "75 07 95 01 81 03"  # filled up to a byte
    "c0"
)
#: A gamepad with two sticks of 16 bits, two triggers, a hat and fifteen buttons.
GAMEPAD: Final = bytes.fromhex(
    "05 01 09 05 a1 01"  # generic desktop, gamepad
    "09 30 09 31 09 33 09 34 16 00 80 26 ff 7f 75 10 95 04 81 02"  # X, Y, Rx, Ry: 16 bits
    "09 32 09 35 15 00 26 ff 00 75 08 95 02 81 02"  # Z and Rz: a byte
    "09 39 15 01 25 08 75 04 95 01 81 42"  # hat switch, 1 is up, clockwise; 0 is at rest
    "75 04 95 01 81 03"
    "05 09 19 01 29 0f 15 00 25 01 75 01 95 0f 81 02"  # buttons 1 to 15, a bit each
    "75 01 95 01 81 03"
    "c0"
)


class UhidDevice:
    """A HID device for as long as it is open; `report` is what it sends."""

    def __init__(
        self,
        descriptor: bytes,
        *,
        name: str,
        vendor: int = 0x1209,
        product: int,
        port: str,
        serial: str = "",
    ) -> None:
        """Plugs it in; on return its event node is there, and takes reports."""
        self._fd = os.open("/dev/uhid", os.O_RDWR | os.O_NONBLOCK | os.O_CLOEXEC)
        head = _CREATE2_FIELDS.pack(
            _CREATE2,
            name.encode(),
            port.encode(),
            serial.encode(),
            len(descriptor),
            _BUS_USB,
            vendor,
            product,
            0x0100,
            0,
        )
        os.write(self._fd, head + descriptor)
        deadline = time.monotonic() + WAIT_S
        while not any(node.name == name and node.port == port for node in list_nodes()):
            assert time.monotonic() < deadline, f"the kernel makes no event node of {name}"
            time.sleep(0.02)
        time.sleep(_BOUND_S)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def report(self, data: bytes) -> None:
        """Sends one report; the kernel makes one frame of what it changes."""
        os.write(self._fd, struct.pack("=IH", _INPUT2, len(data)) + data)

    def close(self) -> None:
        """Pulls it out; a second call does nothing."""
        if self._fd >= 0:
            os.write(self._fd, struct.pack("=I", _DESTROY))
            os.close(self._fd)
            self._fd = -1
