"""The ground the other kernel tests stand on: a device made here is a device to every reader."""

import select
import time
from typing import Any

from evdev import InputDevice, UInput, ecodes

WAIT_S = 10.0  # generous: the VM without KVM is about ten times slower than a machine


def open_when_allowed(path: str | bytes) -> InputDevice[Any]:
    """Open a new node, waiting for udev to set its permissions."""
    deadline = time.monotonic() + WAIT_S
    while True:
        try:
            return InputDevice(path)
        except OSError:
            if time.monotonic() > deadline:
                raise
            time.sleep(0.02)


def test_a_press_written_to_uinput_is_read_back_through_evdev() -> None:
    buttons = [ecodes.BTN_SOUTH, ecodes.BTN_EAST]
    with UInput({ecodes.EV_KEY: buttons}, name="remapd test device") as pad:
        reader = open_when_allowed(pad.device.path)

        pad.write(ecodes.EV_KEY, ecodes.BTN_EAST, 1)
        pad.syn()

        readable, _, _ = select.select([reader.fd], [], [], WAIT_S)
        assert readable == [reader.fd]
        seen = [(event.type, event.code, event.value) for event in reader.read()]
        assert seen == [(ecodes.EV_KEY, ecodes.BTN_EAST, 1), (ecodes.EV_SYN, 0, 0)]
        # The kernel's own state says the same as the event.
        assert reader.active_keys() == [ecodes.BTN_EAST]
        reader.close()
