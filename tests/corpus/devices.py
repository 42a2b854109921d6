"""The devices of the corpus, by uinput and by uhid, moved as hands move them."""

from __future__ import annotations

import struct
from typing import Any, Final, Protocol

from evdev import AbsInfo, UInput, ecodes

from tests.support import uhid_devices
from tests.support.uhid_devices import UhidDevice


class Device(Protocol):
    """What can be pulled out."""

    def close(self) -> None:
        """Pulls it out."""


class Switches(Protocol):
    """A box of switches, numbered from 0."""

    def press(self, number: int) -> None:
        """One frame: it is down."""

    def release(self, number: int) -> None:
        """One frame: it is up."""

    def close(self) -> None:
        """Pulls it out."""


class UinputSwitches:
    """A switch box by uinput, with BTN_0 and on."""

    def __init__(self, name: str, *, port: str, count: int = 4) -> None:
        self._device = UInput(
            {ecodes.EV_KEY: list(range(ecodes.BTN_0, ecodes.BTN_0 + count))},
            name=name,
            vendor=0x1209,
            product=0x2010,
            phys=port,
        )

    def press(self, number: int) -> None:
        self._send(number, 1)

    def release(self, number: int) -> None:
        self._send(number, 0)

    def close(self) -> None:
        self._device.close()

    def _send(self, number: int, value: int) -> None:
        self._device.write(ecodes.EV_KEY, ecodes.BTN_0 + number, value)
        self._device.syn()


class UhidSwitches:
    """A switch box by uhid, with BTN_0 and on, and a serial number."""

    def __init__(self, name: str, *, port: str, serial: str) -> None:
        self._device = UhidDevice(
            uhid_devices.SWITCH_BOX, name=name, product=0x2011, port=port, serial=serial
        )
        self._down = 0

    def press(self, number: int) -> None:
        self._down |= 1 << number
        self._device.report(bytes([self._down]))

    def release(self, number: int) -> None:
        self._down &= ~(1 << number)
        self._device.report(bytes([self._down]))

    def close(self) -> None:
        self._device.close()


class UhidStick:
    """A stick of 8 bits by uhid."""

    def __init__(self, name: str, *, port: str) -> None:
        self._device = UhidDevice(uhid_devices.STICK, name=name, product=0x2012, port=port)
        self._button = 0
        self.lean(0.0, 0.0)  # the kernel takes an axis for 0, its end, until the first report

    def lean(self, x: float, y: float) -> None:
        """To shares of half its range, y down."""
        self._place = (_byte(x), _byte(y))
        self._send()

    def press(self) -> None:
        self._button = 1
        self._send()

    def release(self) -> None:
        self._button = 0
        self._send()

    def close(self) -> None:
        self._device.close()

    def _send(self) -> None:
        self._device.report(bytes([*self._place, self._button]))


class UinputStick:
    """A stick of 10 bits with two buttons, by uinput: every value goes through as it is."""

    _CODES: Final[dict[int, Any]] = {
        ecodes.EV_KEY: [ecodes.BTN_TRIGGER, ecodes.BTN_THUMB],
        ecodes.EV_ABS: [
            (ecodes.ABS_X, AbsInfo(512, 0, 1023, 0, 0, 0)),
            (ecodes.ABS_Y, AbsInfo(512, 0, 1023, 0, 0, 0)),
        ],
    }

    def __init__(self, name: str, *, port: str) -> None:
        self._device = UInput(self._CODES, name=name, vendor=0x1209, product=0x2013, phys=port)

    def frame(self, *events: tuple[int, int, int]) -> None:
        """One frame of raw events."""
        for event in events:
            self._device.write(*event)
        self._device.syn()

    def lean(self, x: float, y: float) -> None:
        """To shares of half its range, y down."""
        places = ((ecodes.ABS_X, x), (ecodes.ABS_Y, y))
        self.frame(*((ecodes.EV_ABS, axis, round(511.5 + share * 511.5)) for axis, share in places))

    def close(self) -> None:
        self._device.close()


class UinputBall:
    """A trackball with two buttons, by uinput."""

    def __init__(self, name: str, *, port: str) -> None:
        codes: dict[int, Any] = {
            ecodes.EV_KEY: [ecodes.BTN_LEFT, ecodes.BTN_RIGHT],
            ecodes.EV_REL: [ecodes.REL_X, ecodes.REL_Y],
        }
        self._device = UInput(codes, name=name, vendor=0x1209, product=0x2001, phys=port)

    def roll(self, dx: int, dy: int) -> None:
        """One frame of counts."""
        self._device.write(ecodes.EV_REL, ecodes.REL_X, dx)
        self._device.write(ecodes.EV_REL, ecodes.REL_Y, dy)
        self._device.syn()

    def close(self) -> None:
        self._device.close()


class UinputBreath:
    """A sip-and-puff sensor by uinput: pressure on one axis, rest in the middle."""

    def __init__(self, name: str, *, port: str) -> None:
        codes: dict[int, Any] = {
            ecodes.EV_KEY: [ecodes.BTN_TRIGGER],
            ecodes.EV_ABS: [(ecodes.ABS_Y, AbsInfo(0, -2048, 2047, 0, 0, 0))],
        }
        self._device = UInput(codes, name=name, vendor=0x1209, product=0x2014, phys=port)

    def blow(self, pressure: float) -> None:
        """From -1 (sip) to 1 (puff)."""
        self._device.write(ecodes.EV_ABS, ecodes.ABS_Y, round(pressure * 2047))
        self._device.syn()

    def close(self) -> None:
        self._device.close()


class UhidGamepad:
    """A gamepad by uhid, as a helper holds it."""

    def __init__(self, name: str, *, port: str) -> None:
        self._device = UhidDevice(uhid_devices.GAMEPAD, name=name, product=0x2015, port=port)
        self._buttons = 0
        self._stick = (0, 0)
        self._send()

    def press(self, number: int) -> None:
        """Buttons count from 0, south."""
        self._buttons |= 1 << number
        self._send()

    def release(self, number: int) -> None:
        self._buttons &= ~(1 << number)
        self._send()

    def lean(self, x: float, y: float) -> None:
        """The left stick, to shares of half its range, y down."""
        self._stick = (round(x * 32767), round(y * 32767))
        self._send()

    def close(self) -> None:
        self._device.close()

    def _send(self) -> None:
        self._device.report(struct.pack("<4h3BH", *self._stick, 0, 0, 0, 0, 0, self._buttons))


def _byte(share: float) -> int:
    return max(0, min(255, round(127.5 + share * 127.5)))
