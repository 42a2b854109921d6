"""Effects of force feedback as the kernel passes them: `struct ff_effect` of linux/input.h."""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import Final

# linux/input.h; remapd/codes.py has the event codes only
FF_RUMBLE: Final = 0x50
FF_PERIODIC: Final = 0x51
FF_SQUARE: Final = 0x58
FF_TRIANGLE: Final = 0x59
FF_SINE: Final = 0x5A
FF_GAIN: Final = 0x60
FF_MAX: Final = 0x7F

#: The strongest that a motor of a rumble effect can be asked for.
FULL: Final = 0xFFFF
#: The strongest of a periodic effect, and of the levels of an envelope.
FULL_PERIODIC: Final = 0x7FFF
#: The longest that an effect can last, in milliseconds, unless it lasts for ever (written 0).
LONGEST_MS: Final = 0x7FFF
#: Asks the kernel to choose the number of an effect.
NEW: Final = -1

# type, id, direction, trigger (button, interval), replay (length, delay); a union follows that has
# a pointer in it, which sets where it begins and how long it is
_HEAD: Final = struct.Struct("@HhHHHHH0P")
_RUMBLE: Final = struct.Struct("@HH")  # struct ff_rumble_effect
#: struct ff_periodic_effect: waveform, period, magnitude, offset, phase, envelope (attack length
#: and level, fade length and level), length and address of a waveform of one's own
_PERIODIC: Final = struct.Struct("@HHhhHHHHHIP")
EFFECT_BYTES: Final = _HEAD.size + _PERIODIC.size


@dataclass(frozen=True, slots=True)
class Envelope:
    """How an effect swells and fades: lengths in microseconds, levels of 0 to FULL_PERIODIC."""

    attack_us: int = 0
    attack_level: int = 0
    fade_us: int = 0
    fade_level: int = 0


NO_ENVELOPE: Final = Envelope()


@dataclass(frozen=True, slots=True)
class Effect:
    """A rumble, or another effect as the motors of a rumble would play it.

    `strong` and `weak` are of 0 to FULL, before the envelope. `length_us` 0 is for ever; each time
    it is played it waits `delay_us` first.
    """

    number: int
    strong: int
    weak: int
    length_us: int = 0
    delay_us: int = 0
    envelope: Envelope = NO_ENVELOPE


def read_effect(data: bytes | bytearray) -> Effect:
    """The effect in a `struct ff_effect`; one that no motor of a rumble can play is of strength 0.

    A periodic effect drives both motors with its magnitude, as the kernel has it for the many
    devices that know nothing but rumble (drivers/input/ff-memless.c).
    """
    kind, number, _, _, _, length_ms, delay_ms = _HEAD.unpack_from(data)
    length_us, delay_us = length_ms * 1000, delay_ms * 1000
    if kind == FF_RUMBLE:
        strong, weak = _RUMBLE.unpack_from(data, _HEAD.size)
        return Effect(number, strong, weak, length_us, delay_us)
    if kind != FF_PERIODIC:
        return Effect(number, 0, 0, length_us, delay_us)
    _, _, magnitude, _, _, attack_ms, attack_level, fade_ms, fade_level, _, _ = (
        _PERIODIC.unpack_from(data, _HEAD.size)
    )
    both = min(abs(magnitude), FULL_PERIODIC) * FULL // FULL_PERIODIC
    envelope = Envelope(
        attack_ms * 1000,
        min(attack_level, FULL_PERIODIC),
        fade_ms * 1000,
        min(fade_level, FULL_PERIODIC),
    )
    return Effect(number, both, both, length_us, delay_us, envelope)


def rumble_bytes(number: int, strong: int, weak: int, length_ms: int) -> bytes:
    """A rumble as `struct ff_effect`; `number` NEW, or that of the one which it replaces.

    `length_ms` 0 is for ever.
    """
    head = _HEAD.pack(FF_RUMBLE, number, 0, 0, 0, length_ms, 0)
    return (head + _RUMBLE.pack(strong, weak)).ljust(EFFECT_BYTES, b"\0")


def number_in(data: bytes | bytearray) -> int:
    """The number of the effect that the kernel has written into it."""
    number: int = _HEAD.unpack_from(data)[1]
    return number
