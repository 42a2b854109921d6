"""What games ask of the pad: effects of force feedback, each answered at once.

A game that uploads or erases an effect stands still until we answer, for 30 s where nobody does
(drivers/input/misc/uinput.c). So a pad declares force feedback only where its owner polls it.
"""

from __future__ import annotations

import contextlib
import fcntl
import os
import struct
from dataclasses import dataclass
from typing import Final

from remapd.codes import EV_FF
from remapd.kernel.effects import (
    EFFECT_BYTES,
    FF_GAIN,
    FF_PERIODIC,
    FF_RUMBLE,
    FF_SINE,
    FF_SQUARE,
    FF_TRIANGLE,
    Effect,
    read_effect,
)

#: How many effects games may have on the pad at once; as many as kernel drivers of pads have.
EFFECTS: Final = 16
#: What a pad with two motors declares through ff-memless.c: games know it in this form.
DECLARED: Final = (FF_RUMBLE, FF_PERIODIC, FF_SQUARE, FF_TRIANGLE, FF_SINE, FF_GAIN)

_EVENT: Final = struct.Struct("@16xHHi")
#: The kernel keeps so many of them, no more: read them soon.
_READ_BYTES: Final = 16 * _EVENT.size
_EV_UINPUT: Final = 0x0101
_UI_FF_UPLOAD: Final = 1
_UI_FF_ERASE: Final = 2
_UPLOAD_HEAD: Final = struct.Struct("@Ii")  # request, answer; two effects follow: new and old
_ERASE: Final = struct.Struct("@IiI")  # request, answer, number of the effect
_UPLOAD_BYTES: Final = _UPLOAD_HEAD.size + 2 * EFFECT_BYTES

# linux/uinput.h, the numbers spelled out as the _IOC macro of asm-generic/ioctl.h makes them
_UI_SET_EVBIT: Final = 0x40045564
_UI_SET_FFBIT: Final = 0x4004556B
_UI_BEGIN_FF_UPLOAD: Final = 0xC00055C8 | _UPLOAD_BYTES << 16
_UI_END_FF_UPLOAD: Final = 0x400055C9 | _UPLOAD_BYTES << 16
_UI_BEGIN_FF_ERASE: Final = 0xC00055CA | _ERASE.size << 16
_UI_END_FF_ERASE: Final = 0x400055CB | _ERASE.size << 16


@dataclass(frozen=True, slots=True)
class Uploaded:
    """A game has put an effect on the pad, or another in its place; it is not played by that."""

    effect: Effect


@dataclass(frozen=True, slots=True)
class Erased:
    """A game has taken an effect away, or has ended."""

    number: int


@dataclass(frozen=True, slots=True)
class Played:
    """A game plays an effect `times` times, from now on; 0 stops it."""

    number: int
    times: int


@dataclass(frozen=True, slots=True)
class GainSet:
    """A game sets how strong all effects are, 0 to 0xFFFF."""

    gain: int


Feedback = Uploaded | Erased | Played | GainSet


def declare(descriptor: int) -> None:
    """Makes the device that `descriptor` is about to become one that can rumble. Raises OSError."""
    fcntl.ioctl(descriptor, _UI_SET_EVBIT, EV_FF)
    for code in DECLARED:
        fcntl.ioctl(descriptor, _UI_SET_FFBIT, code)


def take_feedback(descriptor: int) -> list[Feedback]:
    """What games have asked for since the last call, in its order, and answered. Never waits.

    Raises OSError when the pad is gone.
    """
    try:
        data = os.read(descriptor, _READ_BYTES)
    except BlockingIOError:
        return []
    taken: list[Feedback | None] = []
    for kind, code, value in _EVENT.iter_unpack(data):
        if kind == EV_FF:
            taken.append(GainSet(value) if code == FF_GAIN else Played(code, value))
        elif kind == _EV_UINPUT and code == _UI_FF_UPLOAD:
            taken.append(_answer_upload(descriptor, value))
        elif kind == _EV_UINPUT and code == _UI_FF_ERASE:
            taken.append(_answer_erase(descriptor, value))
    return [each for each in taken if each is not None]


def _answer_upload(descriptor: int, request: int) -> Uploaded | None:
    """None: whoever asked waits no more."""
    data = bytearray(_UPLOAD_HEAD.pack(request, 0).ljust(_UPLOAD_BYTES, b"\0"))
    with contextlib.suppress(OSError):
        fcntl.ioctl(descriptor, _UI_BEGIN_FF_UPLOAD, data)
        _UPLOAD_HEAD.pack_into(data, 0, request, 0)
        fcntl.ioctl(descriptor, _UI_END_FF_UPLOAD, data)
        return Uploaded(read_effect(data[_UPLOAD_HEAD.size :]))
    return None


def _answer_erase(descriptor: int, request: int) -> Erased | None:
    data = bytearray(_ERASE.pack(request, 0, 0))
    with contextlib.suppress(OSError):
        fcntl.ioctl(descriptor, _UI_BEGIN_FF_ERASE, data)
        _, _, number = _ERASE.unpack(data)
        _ERASE.pack_into(data, 0, request, 0, number)
        fcntl.ioctl(descriptor, _UI_END_FF_ERASE, data)
        return Erased(number)
    return None
