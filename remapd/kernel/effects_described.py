"""How many effects of force feedback python-uinput says that a new device holds."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

import uinput


@contextlib.contextmanager
def effects_described(effects: int) -> Iterator[None]:
    """While it lasts, python-uinput describes devices that hold so many effects.

    It has no argument for that, and the kernel makes no device with rumble that holds none.
    """
    described = uinput._struct_uinput_user_dev

    class WithEffects(described):  # type: ignore[misc, valid-type]
        def __init__(self, name: bytes) -> None:
            super().__init__(name)
            self.ff_effects_max = effects

    uinput._struct_uinput_user_dev = WithEffects
    try:
        yield
    finally:
        uinput._struct_uinput_user_dev = described
