"""Whether this machine's own kernel can serve the kernel tests."""

import os
import time

DEVICE = "/dev/uinput"
# udev sets the group of a new node 70 to 120 ms after it appears (measured on Debian 12).
UDEV_LIMIT_S = 2.0


def reason_not_here() -> str | None:
    """Why the kernel tests cannot run on this machine's kernel; None when they can.

    Makes a device and opens its event node: being allowed to do the one says nothing of the other.
    """
    reason = reason_no_uinput()
    if reason is not None:
        return reason
    from evdev import InputDevice, UInput, ecodes

    with UInput({ecodes.EV_KEY: [ecodes.BTN_SOUTH]}, name="remapd test probe") as probe:
        deadline = time.monotonic() + UDEV_LIMIT_S
        while time.monotonic() < deadline:
            try:
                InputDevice(probe.device.path).close()
            except OSError as error:
                reason = f"a new event node cannot be opened: {error.strerror}"
                time.sleep(0.05)
            else:
                return None
    return reason


def reason_no_uinput() -> str | None:
    """Why /dev/uinput cannot be opened; None when it can. Needs no library."""
    try:
        os.close(os.open(DEVICE, os.O_RDWR | os.O_NONBLOCK | os.O_CLOEXEC))
    except OSError as error:
        return f"{DEVICE}: {error.strerror}"
    return None
