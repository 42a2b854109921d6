"""The mapping string of the pad, for games that ask for one: SDL's format, worked out here.

Source: SDL release-2.32 (SDL_CreateJoystickGUID, SDL_crc16, the numbering in SDL_sysjoystick.c of
Linux, the grammar in SDL_gamecontroller.c). SDL itself needs no string for this pad.
"""

from __future__ import annotations

import struct
from typing import Final

from remapd.codes import AXES, KEYS
from remapd.kernel.pad import PAD_AXES, PAD_KEYS, PadIdentity

_BUTTONS: Final = {
    "a": "BTN_SOUTH",
    "b": "BTN_EAST",
    "x": "BTN_NORTH",  # 0x133: most drivers send it for the left button, see the layout language
    "y": "BTN_WEST",
    "back": "BTN_SELECT",
    "guide": "BTN_MODE",
    "start": "BTN_START",
    "leftstick": "BTN_THUMBL",
    "rightstick": "BTN_THUMBR",
    "leftshoulder": "BTN_TL",
    "rightshoulder": "BTN_TR",
}
_HAT_DIRECTIONS: Final = {"dpup": 1, "dpdown": 4, "dpleft": 8, "dpright": 2}
_AXES: Final = {
    "leftx": "ABS_X",
    "lefty": "ABS_Y",
    "rightx": "ABS_RX",
    "righty": "ABS_RY",
    "lefttrigger": "ABS_Z",
    "righttrigger": "ABS_RZ",
}


def mapping_string(
    name: str,
    identity: PadIdentity,
    *,
    faces_as_specified: bool = False,
    name_checksum: bool = True,
) -> str:
    """One line of `guid,name,control:input,...` for SDL_GAMECONTROLLERCONFIG and mapping files.

    `faces_as_specified` is for a layout that says so: west and north then come as the kernel's page
    gives them. `name_checksum` is for SDL 2.24 and newer: the GUID then bears the name's checksum,
    and the mapping holds even where a game adds it after SDL has seen the pad. Older SDL, and
    others who read these strings, know the pad by the GUID without it.
    """
    buttons = dict(_BUTTONS)
    if faces_as_specified:
        buttons |= {"x": "BTN_WEST", "y": "BTN_NORTH"}
    # games count the keys from BTN_MISC on, and the axes that belong to no hat, by their codes
    keys = sorted(PAD_KEYS)
    axes = sorted(axis for axis in PAD_AXES if axis < AXES["ABS_HAT0X"])
    parts = [sdl_guid(name, identity, name_checksum=name_checksum), name.replace(",", " ")]
    parts += [f"{control}:b{keys.index(KEYS[code])}" for control, code in buttons.items()]
    parts += [f"{control}:h0.{mask}" for control, mask in _HAT_DIRECTIONS.items()]
    parts += [f"{control}:a{axes.index(AXES[code])}" for control, code in _AXES.items()]
    return ",".join([*parts, "platform:Linux", ""])


def sdl_guid(name: str, identity: PadIdentity, *, name_checksum: bool = True) -> str:
    """The 32 hexadecimal digits by which SDL2 knows a pad; its own since 2.24 has the checksum."""
    text = name.encode()
    words = [identity.bus, crc16(text) if name_checksum else 0]
    if identity.vendor == 0:
        return (struct.pack("<2H", *words) + struct.pack("12s", text[:11])).hex()
    words += [identity.vendor, 0, identity.product, 0, identity.version, 0]
    return struct.pack("<8H", *words).hex()


def crc16(data: bytes) -> int:
    """CRC-16/ARC: polynomial 0x8005 reflected, starting at 0."""
    crc = 0
    for byte in data:
        crc ^= byte
        for _ in range(8):
            crc = crc >> 1 ^ (0xA001 if crc & 1 else 0)
    return crc
