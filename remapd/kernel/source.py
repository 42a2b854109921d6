"""One opened event node: its description, its frames, and taking it for ourselves alone.

What python-evdev does well is left to it: opening, capabilities, grab. What it has no call for, or
gets wrong when a device vanishes, is an ioctl here: the choice of the clock, the keys that are
held, reading whole frames, and recovery from lost events.
"""

from __future__ import annotations

import errno
import fcntl
import os
import select
import struct
import sys
import threading
from collections.abc import Callable
from types import MappingProxyType
from typing import Any, Final, NoReturn, cast

# evdev brings asyncio along only for a reader that is not used here, and falls back on its plain
# one when that cannot be imported: 27 ms and 9 MB less at every start (measured, Python 3.11).
_WITHOUT_ASYNCIO: Final = "evdev.eventio_async" not in sys.modules
if _WITHOUT_ASYNCIO:
    sys.modules["evdev.eventio_async"] = None  # type: ignore[assignment]
from evdev import InputDevice  # noqa: E402

if _WITHOUT_ASYNCIO:
    del sys.modules["evdev.eventio_async"]

from remapd.codes import AXES, EV_ABS, EV_KEY, EV_REL  # noqa: E402
from remapd.engine.source import AxisRange, Source  # noqa: E402
from remapd.kernel.errors import (  # noqa: E402
    SourceBusy,
    SourceDenied,
    SourceGone,
    SourceUnreadable,
)
from remapd.kernel.frames import (  # noqa: E402
    EVENT_BYTES,
    FIRST_MULTITOUCH_AXIS,
    Frame,
    FrameSplitter,
)

#: More than the ring of a gamepad (128 records) or keyboard (64) holds: one read takes it all.
READ_BYTES: Final = 128 * EVENT_BYTES
#: What is asked for first: nearly always more than is there, and small enough for the memory that
#: Python has at hand for small objects (512 bytes with the header of bytes).
_FIRST_READ_BYTES: Final = 19 * EVENT_BYTES
#: So that a device that floods its queue cannot keep the input loop here.
_MOST_READS_IN_A_RESYNC: Final = 4

# linux/input.h, the numbers spelled out as the _IOC macro of asm-generic/ioctl.h makes them
_EVIOCSCLOCKID: Final = 0x400445A0  # _IOW('E', 0xa0, int)
_KEY_STATE_BYTES: Final = 96  # KEY_CNT / 8
_EVIOCGKEY: Final = 0x80004518 | _KEY_STATE_BYTES << 16  # _IOC(_IOC_READ, 'E', 0x18, size)
_EVIOCGABS: Final = 0x80184540  # _IOR('E', 0x40 + axis, struct input_absinfo)
_CLOCK_MONOTONIC: Final = struct.pack("i", 1)
_HAT_AXES: Final = range(AXES["ABS_HAT0X"], AXES["ABS_HAT3Y"] + 1)


class SourceDevice:
    """An open event node; give it to a poll as it is.

    `source` is its description. Read it as soon as the poll says so: at 1000 frames a second the
    kernel keeps 32 ms of a gamepad, no more.
    """

    def __init__(self, path: str, source_id: int | None = None) -> None:
        """Opens the node `path`, read-write where that is allowed (for rumble), else to read only.

        `source_id` is the id that `source` bears; the number of the event node unless given, which
        the kernel gives to no other node while this one is open.
        Raises SourceGone, SourceDenied or SourceUnreadable.
        """
        self.path = path
        self.grabbed = False
        self.splitter = FrameSplitter()
        self._poll = select.poll()
        self._fd = -1
        self._device: InputDevice[str] | None = None
        #: At hand, as a look into the module costs more than all else here that is not the kernel.
        self._read: Callable[[int, int], bytes] = os.read
        try:
            self._device = InputDevice(path)
            self._fd = self._device.fd
            self._poll.register(self._fd, select.POLLIN)
            fcntl.ioctl(self._fd, _EVIOCSCLOCKID, _CLOCK_MONOTONIC)
            self.source = _describe(self._device, source_id)
            self.splitter.keys = dict.fromkeys(self._read_keys(), 1)
            self.splitter.axes = self._read_axes()
        except OSError as error:
            self.close()
            self._refuse(error)
        except UnicodeDecodeError as error:
            raise SourceUnreadable(
                f"the device at {path} has a name that is not text",
                "plug it in again; if that does not help, this device cannot be used",
            ) from error

    def fileno(self) -> int:
        """The descriptor to poll for reading, -1 after `close`."""
        return self._fd

    def read_frames(self) -> list[Frame] | None:
        """The frames that have come since the last call, oldest first; None: the device is gone.

        An empty list means that no frame is complete yet. Never waits. A loss of events has been
        repaired: one frame holds the difference, with the time at which the loss ended.
        After None only `close` makes sense; unread events are lost, as the kernel drops them.
        """
        data = self.read()
        if data is None:
            return None
        return self.frames_of(data) if data else []

    def read(self) -> bytes | None:
        """All bytes that have come, a whole number of records; None: the device is gone.

        All, so that a poll need tell only of what comes after (`EPOLLET`). They are to be given to
        `splitter.plain` and, where that says None, to `frames_of`.
        """
        try:
            data = self._read(self._fd, _FIRST_READ_BYTES)
            if len(data) < _FIRST_READ_BYTES:
                return data
        except OSError as error:
            return self._nothing_read(error)
        try:
            while len(more := self._read(self._fd, READ_BYTES)) == READ_BYTES:
                data += more
            return data + more
        except OSError:  # that was all; what else is wrong is found at the next read
            return data

    def frames_of(self, data: bytes) -> list[Frame] | None:
        """The frames of what was read; None: the device is gone."""
        splitter = self.splitter
        drops = splitter.drops
        frames = splitter.split(data)
        if splitter.drops != drops:
            try:
                frames = self._resync(frames)
            except OSError as error:
                return None if self._nothing_read(error) is None else []
        return frames

    def _nothing_read(self, error: OSError) -> bytes | None:
        """What a read that failed has read; None: the device is gone."""
        if error.errno == errno.EAGAIN:
            return b""
        if error.errno not in {errno.ENODEV, errno.EBADF}:
            self._refuse(error)
        return None

    @property
    def drops(self) -> int:
        """How many times the kernel lost events because they were not read in time."""
        return self.splitter.drops

    def held(self) -> frozenset[int]:
        """The keys that are pressed as far as frames have been given out; at first, at opening."""
        return frozenset(code for code, value in self.splitter.keys.items() if value)

    def axes(self) -> dict[int, int]:
        """The raw value of each absolute axis as far as frames have been given out."""
        return dict(self.splitter.axes)

    def try_grab(self) -> bool:
        """Takes the device for this process alone, if nothing on it is pressed; is it ours now?

        A button that is held at that moment would stay pressed for every other program, which sees
        no release. So when this says False, call it again after each `read_frames`, until it says
        True. Hats count as buttons here; a stick or lever is not waited for, as it may never rest.
        Raises SourceBusy when another program has it, SourceGone when it is unplugged.
        """
        if self.grabbed:
            return True
        if self._something_pressed() or self._poll.poll(0):
            return False
        device = self._opened()
        try:
            device.grab()
        except OSError as error:
            self._refuse(error)
        self.grabbed = True
        if self._poll.poll(0):
            # it came in between: other programs may have seen a press begin, so they must see
            # its end too
            self.ungrab()
        return self.grabbed

    def ungrab(self) -> None:
        """Gives the device back to everyone; does nothing where it was not taken or is gone."""
        if self.grabbed:
            self.grabbed = False
            try:
                self._opened().ungrab()
            except OSError as error:
                if error.errno != errno.ENODEV:
                    raise

    def close(self) -> None:
        """Gives the device back and closes it; a second call does nothing.

        The kernel takes 20 to 40 ms for it. Where the device is gone, and nobody waits for it to be
        given back, that happens in a thread of its own: other players' devices are not held up.
        """
        if self._device is None:
            return
        device, self._device, self._fd = self._device, None, -1
        self.grabbed = False  # closing is giving back
        if any(mask & (select.POLLHUP | select.POLLERR) for _, mask in self._poll.poll(0)):
            threading.Thread(target=device.close, name=f"closing {self.path}").start()
        else:
            device.close()

    def _opened(self) -> InputDevice[str]:
        if self._device is None:
            raise SourceGone(f"{self.path} is closed", "open it anew")
        return self._device

    def _something_pressed(self) -> bool:
        splitter = self.splitter
        return any(splitter.keys.values()) or any(
            splitter.axes[axis]
            for axis in _HAT_AXES
            if axis in splitter.axes and _is_digital(self.source.axes[axis])
        )

    def _resync(self, frames: list[Frame]) -> list[Frame]:
        """Reads what is left in the queue, then asks for the true state and adds the difference."""
        for _ in range(_MOST_READS_IN_A_RESYNC):
            if not self._poll.poll(0):
                break
            frames += self.splitter.split(os.read(self._fd, READ_BYTES))
        return self.splitter.resync(frames, self._read_keys(), self._read_axes())

    def _read_keys(self) -> frozenset[int]:
        """What the kernel says is pressed. It takes waiting key events out of our queue."""
        # not evdev's active_keys, which raises SystemError once the device is gone
        state = fcntl.ioctl(self._fd, _EVIOCGKEY, bytes(_KEY_STATE_BYTES))
        bits = int.from_bytes(state, "little")
        return frozenset(code for code in self.source.keys if bits >> code & 1)

    def _read_axes(self) -> dict[int, int]:
        values = {}
        for axis in self.source.axes:
            if axis < FIRST_MULTITOUCH_AXIS:
                information = fcntl.ioctl(self._fd, _EVIOCGABS + axis, bytes(24))
                (values[axis],) = struct.unpack_from("i", information)
        return values

    def _refuse(self, error: OSError) -> NoReturn:
        if error.errno in {errno.ENODEV, errno.ENOENT, errno.ENXIO}:
            raise SourceGone(f"{self.path} is gone", "plug the device in again") from error
        if error.errno in {errno.EACCES, errno.EPERM}:
            raise SourceDenied(
                f"no permission to read {self.path}",
                "run remapd as the service it is made for, or give your user access to the device",
            ) from error
        if error.errno == errno.EBUSY:
            raise SourceBusy(
                f"another program has taken {self.path} for itself",
                "end that program, or write `exclusive: false` for this device",
            ) from error
        raise SourceUnreadable(
            f"{self.path} does not answer as an input device ({os.strerror(error.errno or 0)})",
            "plug the device in again",
        ) from error


def _describe(device: InputDevice[str], source_id: int | None) -> Source:
    # evdev's own annotation leaves the (axis, information) pairs out
    capabilities = cast("dict[int, list[Any]]", device.capabilities(absinfo=True))
    axes = {
        code: AxisRange(info.min, info.max, info.fuzz, info.flat, info.resolution)
        for code, info in capabilities.get(EV_ABS, [])
    }
    number = str(device.path).rpartition("event")[2]
    return Source(
        id=source_id if source_id is not None else int(number),
        name=device.name,
        vendor=device.info.vendor,
        product=device.info.product,
        version=device.info.version,
        bus=device.info.bustype,
        port=device.phys,
        serial=device.uniq,
        keys=frozenset(capabilities.get(EV_KEY, [])),
        rels=frozenset(capabilities.get(EV_REL, [])),
        axes=MappingProxyType(axes),
    )


def _is_digital(axis: AxisRange) -> bool:
    return (axis.minimum, axis.maximum) == (-1, 1)
