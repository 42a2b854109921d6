"""`controls: gamepad`: every control of a standard pad, under its standard name.

The codes are those of the Linux gamepad specification (Documentation/input/gamepad.rst). West is
read from 0x133 and north from 0x134, as most drivers send them, and not as that page has it.
"""

from __future__ import annotations

from typing import Final

from remapd.codes import AXES, KEYS
from remapd.engine.layout import ButtonControl, Control, LeverControl, StickControl
from remapd.engine.settings import ButtonSettings, StickSettings

_BUTTONS: Final = (
    ("south", KEYS["BTN_SOUTH"]),
    ("east", KEYS["BTN_EAST"]),
    ("west", 0x133),
    ("north", 0x134),
    ("left-shoulder", KEYS["BTN_TL"]),
    ("right-shoulder", KEYS["BTN_TR"]),
    ("select", KEYS["BTN_SELECT"]),
    ("start", KEYS["BTN_START"]),
    ("mode", KEYS["BTN_MODE"]),
    ("left-stick-press", KEYS["BTN_THUMBL"]),
    ("right-stick-press", KEYS["BTN_THUMBR"]),
)
_DPAD_KEYS: Final = (
    KEYS["BTN_DPAD_UP"],
    KEYS["BTN_DPAD_DOWN"],
    KEYS["BTN_DPAD_LEFT"],
    KEYS["BTN_DPAD_RIGHT"],
)
#: The axes a trigger may be on, the specification's own first; its key where it has none of them.
_TRIGGERS: Final = (
    ("left-trigger", ("ABS_HAT2Y", "ABS_Z", "ABS_BRAKE"), "BTN_TL2"),
    ("right-trigger", ("ABS_HAT2X", "ABS_RZ", "ABS_GAS"), "BTN_TR2"),
)


def gamepad_controls(device: int, first_button: int) -> list[Control]:
    """The controls of a standard pad, their buttons numbered from `first_button` on."""
    controls: list[Control] = []
    number = first_button
    for name, code in _BUTTONS:
        controls.append(ButtonControl(name, device, code, number))
        number += 1
    for name, x, y in (
        ("left-stick", AXES["ABS_X"], AXES["ABS_Y"]),
        ("right-stick", AXES["ABS_RX"], AXES["ABS_RY"]),
    ):
        buttons = (number, number + 1, number + 2, number + 3)
        controls.append(StickControl(name, device, ((x, y),), buttons))
        number += 4
    controls.append(
        StickControl(
            "dpad",
            device,
            ((AXES["ABS_HAT0X"], AXES["ABS_HAT0Y"]),),
            (number, number + 1, number + 2, number + 3),
            _DPAD_KEYS,
            StickSettings(buttons=ButtonSettings()),
        )
    )
    number += 4
    for name, axes, key in _TRIGGERS:
        controls.append(
            LeverControl(
                name,
                device,
                tuple(AXES[axis] for axis in axes),
                (number, number + 1),
                key=KEYS[key],
            )
        )
        number += 2
    return controls
