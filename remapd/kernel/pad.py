"""The virtual gamepad: one uinput device with the controls of the Linux gamepad specification.

Its set of controls is the one that game libraries read right without being told about it: with
trigger buttons beside the trigger axes, or with other ranges, they number or read it otherwise.
"""

from __future__ import annotations

import contextlib
import errno
import fcntl
import os
import select
import struct
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, NoReturn

import uinput

from remapd.codes import AXES, EV_ABS, EV_KEY, KEYS
from remapd.engine.output import AXIS_CODES, OutputFrame
from remapd.kernel import pad_feedback
from remapd.kernel.effects_described import effects_described
from remapd.kernel.errors import (
    PadLost,
    PadRefused,
    PadUnavailable,
    UinputDenied,
    UinputMissing,
)

UINPUT_PATH: Final = "/dev/uinput"

#: The keys of the pad in the order of their codes, which is the order of their numbers in games.
PAD_KEYS: Final = tuple(
    KEYS[name]
    for name in (
        "BTN_SOUTH",
        "BTN_EAST",
        "BTN_NORTH",
        "BTN_WEST",
        "BTN_TL",
        "BTN_TR",
        "BTN_SELECT",
        "BTN_START",
        "BTN_MODE",
        "BTN_THUMBL",
        "BTN_THUMBR",
    )
)
#: Smallest and largest value of each axis. Sticks are symmetric, so that whoever scales their range
#: to -1 to 1 finds rest at exactly 0. Triggers rest at their smallest value; with a range that has
#: it in the middle, games would see them half pressed.
PAD_AXES: Final = {
    AXES["ABS_X"]: (-32767, 32767),
    AXES["ABS_Y"]: (-32767, 32767),
    AXES["ABS_Z"]: (0, 255),
    AXES["ABS_RX"]: (-32767, 32767),
    AXES["ABS_RY"]: (-32767, 32767),
    AXES["ABS_RZ"]: (0, 255),
    AXES["ABS_HAT0X"]: (-1, 1),
    AXES["ABS_HAT0Y"]: (-1, 1),
}

BUS_USB: Final = 0x03
#: Every pad of remapd says so here, whatever identity a layout gives it.
PAD_PORT: Final = "remapd/pad"

# linux/uinput.h, the numbers spelled out as the _IOC macro of asm-generic/ioctl.h makes them
_UI_SET_PHYS: Final = 0x4000556C | struct.calcsize("P") << 16  # _IOW('U', 108, char *)
_SYSNAME_BYTES: Final = 64
_UI_GET_SYSNAME: Final = 0x8000552C | _SYSNAME_BYTES << 16  # _IOC(_IOC_READ, 'U', 44, size)
_LONGEST_NAME_BYTES: Final = 79  # UINPUT_MAX_NAME_SIZE less the closing zero

#: A record of `struct input_event` without its time, which the kernel puts in.
_RECORD: Final = "16xHHi"
#: Frames of so many records have what packs them made beforehand.
_MOST_AT_HAND: Final = 32

_RETRY_WAIT_MS: Final = 2
_RETRIES: Final = 3


@dataclass(frozen=True, slots=True)
class PadIdentity:
    """What the pad says it is; games choose their reading of its controls by it. All 16-bit."""

    vendor: int
    product: int
    version: int
    bus: int = BUS_USB


#: 0x1209 is the vendor id that pid.codes shares out among open-source projects. The product id
#: is not registered there. Raise the version whenever the set of controls changes: game libraries
#: remember a pad's controls by its name and these numbers.
REMAPD_IDENTITY: Final = PadIdentity(vendor=0x1209, product=0x5244, version=0x0001)
DEFAULT_NAME: Final = "remapd pad"


class AxesForm:
    """The bytes of a frame of these axes (bit by bit as in AXIS_CODES), to be filled in.

    Attributes:
        data: The bytes, with the SYN_REPORT at the end.
        numbers: The same as whole numbers of 32 bits.
        places: Where in `numbers` each value belongs, and its number in AXIS_CODES.
    """

    __slots__ = ("data", "numbers", "places")

    def __init__(self, moved: int) -> None:
        numbers = [number for number in range(len(AXIS_CODES)) if moved >> number & 1]
        size = struct.calcsize(_RECORD)
        records = [struct.pack(_RECORD, EV_ABS, AXIS_CODES[number], 0) for number in numbers]
        self.data = bytearray(b"".join([*records, bytes(size)]))
        self.numbers = memoryview(self.data).cast("i")
        # the places as they come, so that compiled code need not make new numbers of them each time
        self.places: list[tuple[Any, int]] = [
            ((at * size + size - 4) // 4, number) for at, number in enumerate(numbers)
        ]


class Pad:
    """The gamepad that games see, from construction to `close` or the end of the process.

    Make it once, before any game starts, and keep it: a game that has lost a pad may not take it
    again. `node` is its event node, /dev/input/eventN.
    """

    def __init__(
        self,
        name: str = DEFAULT_NAME,
        identity: PadIdentity = REMAPD_IDENTITY,
        *,
        has_rumble: bool = False,
        uinput_path: str = UINPUT_PATH,
    ) -> None:
        """Makes the gamepad; its event node exists on return, everything at rest.

        With `has_rumble` games may ask it to rumble, and stand still until `take_feedback` is
        called: for an owner who polls `fileno` and calls it whenever something is there to read.
        Raises UinputMissing, UinputDenied or PadRefused, and ValueError where `name` is not 1 to 79
        bytes of printable text.
        """
        if not name.isprintable() or not 1 <= len(name.encode()) <= _LONGEST_NAME_BYTES:
            raise ValueError(
                f"the pad's name must be 1 to {_LONGEST_NAME_BYTES} bytes of printable text, "
                f"not {name!r}"
            )
        self.name = name
        self.identity = identity
        self._fd = _open(uinput_path)
        #: At hand, as a look into the module costs more than all else here that is not the kernel.
        self._write_bytes: Callable[[int, bytes | bytearray], int] = os.write
        self._forms: list[AxesForm | None] = [None] * (1 << len(AXIS_CODES))
        self._packs = [struct.Struct(_RECORD * events).pack for events in range(_MOST_AT_HAND + 1)]
        try:
            # python-uinput has no call for it; before its constructor the descriptor is still ours
            fcntl.ioctl(self._fd, _UI_SET_PHYS, PAD_PORT.encode() + b"\0")
            if has_rumble:
                pad_feedback.declare(self._fd)
        except OSError as error:
            os.close(self._fd)
            _refuse(error)
        try:
            # from here on the descriptor is python-uinput's to close, also when it fails
            with effects_described(pad_feedback.EFFECTS if has_rumble else 0):
                self._device = uinput.Device(
                    [(EV_KEY, key) for key in PAD_KEYS]
                    + [(EV_ABS, axis, low, high, 0, 0) for axis, (low, high) in PAD_AXES.items()],
                    name=name,
                    bustype=identity.bus,
                    vendor=identity.vendor,
                    product=identity.product,
                    version=identity.version,
                    fd=self._fd,
                )
        except OSError as error:
            _refuse(error)
        self.node = self._find_node()

    def fileno(self) -> int:
        """The uinput descriptor, -1 after `close`; a poll finds force feedback requests on it."""
        return self._fd

    def write(self, frame_events: list[int]) -> None:
        """Sends one frame: flat `[type, code, value, ...]`, with its SYN_REPORT at the end.

        One system call, so that games see all of it at one time; the kernel makes two frames of one
        with more than 16 changes. Values must be in the ranges of PAD_AXES: neither this nor the
        kernel clamps them. Raises PadLost when the pad is no more.
        """
        self._write(self._packed_events(frame_events))

    def write_axes(self, moved: int, positions: list[Any]) -> None:
        """Sends one frame of moving axes, as `Engine.feed_axes` tells it.

        Positions are whole numbers, handed on as they come, as above.
        """
        self._write(self._filled(moved, positions))

    def write_all(self, frames: list[OutputFrame]) -> None:
        """Sends several frames, as `write` each, in one system call.

        Each keeps its own SYN_REPORT, so that who reads the pad sees every one of them.
        """
        if len(frames) > 1:
            # copied, as the next one of the same axes has the same bytes
            self._write(b"".join([bytes(self._packed(frame)) for frame in frames]))
        elif frames:
            self._write(self._packed(frames[0]))

    def _packed(self, frame: OutputFrame) -> bytes | bytearray:
        if frame.moved:
            return self._filled(frame.moved, frame.positions)
        return self._packed_events(frame.events)

    def _filled(self, moved: int, positions: list[Any]) -> bytearray:
        """These axes' own bytes, which the next frame of the same axes overwrites."""
        form = self._forms[moved]
        if form is None:
            form = self._forms[moved] = AxesForm(moved)
        for at, number in form.places:
            form.numbers[at] = positions[number]
        return form.data

    def _packed_events(self, frame_events: list[int]) -> bytes:
        records = len(frame_events) // 3
        if records <= _MOST_AT_HAND:
            return self._packs[records](*frame_events)
        return struct.pack(_RECORD * records, *frame_events)

    def _write(self, data: bytes | bytearray) -> None:
        try:
            self._write_bytes(self._fd, data)
        except BlockingIOError:
            write_patiently(self._fd, data)
        except OSError as error:
            raise _lost(error) from error

    def take_feedback(self) -> list[pad_feedback.Feedback]:
        """What games have asked for by way of rumble since the last call, answered. Never waits.

        Raises PadLost when the pad is no more.
        """
        try:
            return pad_feedback.take_feedback(self._fd)
        except OSError as error:
            raise _lost(error) from error

    def close(self) -> None:
        """Takes the gamepad away; games see it unplugged. A second call does nothing."""
        if self._fd >= 0:
            self._fd = -1
            self._device.destroy()

    def _find_node(self) -> str:
        answer = fcntl.ioctl(self._fd, _UI_GET_SYSNAME, bytes(_SYSNAME_BYTES))
        directory = Path("/sys/class/input", answer.split(b"\0")[0].decode())
        return next((f"/dev/input/{entry.name}" for entry in directory.glob("event*")), "")


def write_patiently(descriptor: int, data: bytes | bytearray) -> None:
    """Writes to a descriptor that has just said "later", which today's kernels do not do here.

    Raises PadLost when it says so for several milliseconds.
    """
    poll = select.poll()
    poll.register(descriptor, select.POLLOUT)
    for _ in range(_RETRIES):
        poll.poll(_RETRY_WAIT_MS)
        with contextlib.suppress(BlockingIOError):
            os.write(descriptor, data)
            return
    raise PadLost("the virtual gamepad takes no events", "start remapd again")


def diagnose_uinput(uinput_path: str = UINPUT_PATH) -> PadUnavailable | None:
    """What stands in the way of making a pad, or None; makes none."""
    try:
        os.close(_open(uinput_path))
    except PadUnavailable as problem:
        return problem
    return None


def _open(uinput_path: str) -> int:
    """The opened node. Its descriptor is never 0, which python-uinput takes for none."""
    try:
        # opening the static node loads the module, where there is one to load
        descriptor = os.open(uinput_path, os.O_RDWR | os.O_NONBLOCK | os.O_CLOEXEC)
        if descriptor == 0:
            descriptor = fcntl.fcntl(0, fcntl.F_DUPFD_CLOEXEC, 3)
            os.close(0)
    except OSError as error:
        _refuse(error)
    return descriptor


def _refuse(error: OSError) -> NoReturn:
    if error.errno in {errno.ENOENT, errno.ENODEV, errno.ENXIO}:
        raise UinputMissing(
            f"{UINPUT_PATH} is missing: the kernel's module for virtual gamepads is not loaded",
            "run `sudo modprobe uinput`",
        ) from error
    if error.errno in {errno.EACCES, errno.EPERM}:
        raise UinputDenied(
            f"no permission to open {UINPUT_PATH}",
            "install remapd's udev rule and add your user to its group, or run it as the service",
        ) from error
    raise PadRefused(
        f"the kernel makes no virtual gamepad ({os.strerror(error.errno or 0)})",
        "end programs that hold many devices or files open, then start remapd again",
    ) from error


def _lost(error: OSError) -> PadLost:
    return PadLost(
        f"the virtual gamepad is gone ({os.strerror(error.errno or 0)})", "start remapd again"
    )
