"""Effects in the kernel's form, against the structures of python-evdev, which are made from C's."""

from __future__ import annotations

import pytest
from evdev import ecodes, ff

from remapd.kernel.effects import (
    EFFECT_BYTES,
    Effect,
    Envelope,
    number_in,
    read_effect,
    rumble_bytes,
)


def in_kernels_form(kind: int, effect_type: ff.EffectType, number: int = 3) -> bytes:
    effect = ff.Effect(kind, number, 0x4000, ff.Trigger(1, 2), ff.Replay(700, 40), effect_type)
    return memoryview(effect).tobytes()


def test_a_rumble_is_read_and_written() -> None:
    data = in_kernels_form(
        ecodes.FF_RUMBLE, ff.EffectType(ff_rumble_effect=ff.Rumble(0xFFFF, 0x1234))
    )
    assert len(data) == EFFECT_BYTES
    assert read_effect(data) == Effect(3, 0xFFFF, 0x1234, 700_000, 40_000)
    written = ff.Effect.from_buffer_copy(rumble_bytes(-1, 0x8000, 1, 500))
    assert (written.type, written.id, written.ff_replay.length) == (ecodes.FF_RUMBLE, -1, 500)
    assert written.u.ff_rumble_effect.strong_magnitude == 0x8000
    assert written.u.ff_rumble_effect.weak_magnitude == 1
    assert number_in(rumble_bytes(12, 0, 0, 0)) == 12


@pytest.mark.parametrize("magnitude", [0x7FFF, -0x7FFF, -0x8000])
def test_a_periodic_effect_drives_both_motors(magnitude: int) -> None:
    periodic = ff.Periodic(
        ecodes.FF_SINE, 50, magnitude, 0, 0, ff.Envelope(100, 0x1000, 200, 0x9000)
    )
    data = in_kernels_form(ecodes.FF_PERIODIC, ff.EffectType(ff_periodic_effect=periodic))
    envelope = Envelope(100_000, 0x1000, 200_000, 0x7FFF)
    assert read_effect(data) == Effect(3, 0xFFFF, 0xFFFF, 700_000, 40_000, envelope)


def test_an_effect_of_another_kind_is_still() -> None:
    data = in_kernels_form(ecodes.FF_SPRING, ff.EffectType())
    assert read_effect(data) == Effect(3, 0, 0, 700_000, 40_000)
