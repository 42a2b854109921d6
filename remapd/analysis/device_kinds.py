"""What an input device is, in words that a person would use for the thing on the table.

Only the codes that it can send are looked at: they are known without opening the device.
"""

from __future__ import annotations

from collections.abc import Collection
from enum import Enum
from typing import Final, Protocol

from remapd.codes import AXES, KEYS, RELS
from remapd.engine.matching import BTN_LEFT, BTN_SOUTH, LETTER_KEYS


class HasCodes(Protocol):
    """A `Source`, or what is known of a node that is not open; `axes` are at least the numbers."""

    @property
    def keys(self) -> frozenset[int]: ...  # noqa: D102
    @property
    def rels(self) -> frozenset[int]: ...  # noqa: D102
    @property
    def axes(self) -> Collection[int]: ...  # noqa: D102


class Kind(Enum):
    """The sorts of device; the values are words for programs that read our data."""

    GAMEPAD = "gamepad"
    JOYSTICK = "joystick"
    KEYBOARD = "keyboard"  #: one that somebody can type on
    SMALL_KEYBOARD = "small-keyboard"  #: some keys of a keyboard: often a switch box
    POINTER = "pointer"
    TOUCHPAD = "touchpad"
    TOUCHSCREEN = "touchscreen"
    TABLET = "tablet"
    SWITCHES = "switches"
    AXES = "axes"  #: moves, and has nothing to press
    MACHINE = "machine"  #: a button of the computer itself
    SILENT = "silent"  #: sends nothing that could be used, such as a loudspeaker


#: From here on axes belong to one of several fingers each (linux/input-event-codes.h, ABS_MT_*).
_FIRST_MULTITOUCH: Final = AXES["ABS_MT_SLOT"]
_KEYBOARD_KEYS: Final = range(1, 0x100)
#: Codes that only sticks for the hand bear: BTN_JOYSTICK up to BTN_DEAD.
_JOYSTICK_KEYS: Final = range(KEYS["BTN_JOYSTICK"], KEYS["BTN_GAMEPAD"])
_MOUSE_KEYS: Final = range(BTN_LEFT, KEYS["BTN_TASK"] + 1)
_FIRST_HAT: Final = AXES["ABS_HAT0X"]
_HATS: Final = range(_FIRST_HAT, AXES["ABS_HAT3Y"] + 1)
_WHEELS: Final = frozenset(
    RELS[name] for name in ("REL_WHEEL", "REL_HWHEEL", "REL_WHEEL_HI_RES", "REL_HWHEEL_HI_RES")
)
_MACHINE_KEYS: Final = frozenset(KEYS[name] for name in ("KEY_POWER", "KEY_SLEEP", "KEY_WAKEUP"))
_X_AND_Y: Final = frozenset((AXES["ABS_X"], AXES["ABS_Y"]))
_STICKS: Final = (_X_AND_Y, frozenset((AXES["ABS_RX"], AXES["ABS_RY"])))
_TRIGGERS: Final = frozenset(
    AXES[name] for name in ("ABS_Z", "ABS_RZ", "ABS_GAS", "ABS_BRAKE", "ABS_HAT2X", "ABS_HAT2Y")
)


def kind_of(device: HasCodes) -> Kind:
    """The sort of device; the first that fits, from the most particular to the most general."""
    keys, rels, axes = device.keys, device.rels, plain_axes(device)
    if BTN_SOUTH in keys:
        return Kind.GAMEPAD
    if KEYS["BTN_TOOL_PEN"] in keys or KEYS["BTN_STYLUS"] in keys:
        return Kind.TABLET
    if KEYS["BTN_TOOL_FINGER"] in keys:
        return Kind.TOUCHPAD
    if KEYS["BTN_TOUCH"] in keys and axes >= _X_AND_Y:
        return Kind.TOUCHSCREEN
    if keys >= LETTER_KEYS:
        return Kind.KEYBOARD
    if RELS["REL_X"] in rels and RELS["REL_Y"] in rels:
        return Kind.POINTER
    if any(key in _JOYSTICK_KEYS for key in keys) or (axes >= _X_AND_Y and buttons_of(device)):
        return Kind.JOYSTICK
    if keys and keys <= _MACHINE_KEYS:
        return Kind.MACHINE
    if any(key in _KEYBOARD_KEYS for key in keys):
        return Kind.SMALL_KEYBOARD
    if buttons_of(device):
        return Kind.SWITCHES
    return Kind.AXES if axes or rels else Kind.SILENT


def plain_axes(device: HasCodes) -> frozenset[int]:
    """The absolute axes without those of single fingers."""
    return frozenset(axis for axis in device.axes if axis < _FIRST_MULTITOUCH)


def buttons_of(device: HasCodes) -> list[int]:
    """The keys that are buttons to press, in the order of their codes; no tools of a tablet."""
    tools = range(KEYS["BTN_TOOL_PEN"], KEYS["BTN_TOOL_QUADTAP"] + 1)
    return sorted(key for key in device.keys if key not in tools)


def in_words(device: HasCodes) -> str:
    """As in `a joystick with 2 axes and 1 button`, to stand in a sentence."""
    kind = kind_of(device)
    axes = plain_axes(device)
    hats = len({(axis - _FIRST_HAT) // 2 for axis in axes if axis in _HATS})
    plain = len([axis for axis in axes if axis not in _HATS])
    buttons = len(buttons_of(device))
    match kind:
        case Kind.GAMEPAD:
            return _with("a gamepad", _gamepad_parts(device))
        case Kind.JOYSTICK:
            parts = [_count(plain, "axis", "axes"), _count(hats, "hat"), _count(buttons, "button")]
            return _with("a joystick", parts)
        case Kind.KEYBOARD:
            return "a keyboard that somebody can type on"
        case Kind.SMALL_KEYBOARD:
            wheel = "a knob or wheel" if device.rels else ""
            return _with("a small keyboard", [_count(buttons, "key"), wheel])
        case Kind.POINTER:
            mouse_buttons = len([key for key in device.keys if key in _MOUSE_KEYS])
            wheel = "a wheel" if device.rels & _WHEELS else ""
            return _with("a mouse or trackball", [_count(mouse_buttons, "button"), wheel])
        case Kind.TOUCHPAD:
            return "a touchpad"
        case Kind.TOUCHSCREEN:
            return "a touchscreen"
        case Kind.TABLET:
            return "a drawing tablet"
        case Kind.SWITCHES:
            parts = [_count(plain, "axis", "axes"), _count(hats, "hat")]
            return _with("a switch box", [_count(buttons, "switch", "switches"), *parts])
        case Kind.AXES:
            parts = [_count(plain, "axis", "axes"), _count(hats, "hat")]
            if device.rels:
                parts.append("a knob or wheel")
            return _with("a device", parts)
        case Kind.MACHINE:
            return "a button of the computer itself"
        case Kind.SILENT:
            return "a device with nothing to press or move"


def _gamepad_parts(device: HasCodes) -> list[str]:
    axes = plain_axes(device)
    sticks = len([pair for pair in _STICKS if axes >= pair])
    triggers = len(axes & _TRIGGERS)
    dpad_keys = range(KEYS["BTN_DPAD_UP"], KEYS["BTN_DPAD_RIGHT"] + 1)
    dpad = _FIRST_HAT in axes or any(key in dpad_keys for key in device.keys)
    buttons = len([key for key in buttons_of(device) if key not in dpad_keys])
    return [
        _count(sticks, "stick"),
        _count(triggers, "trigger axis", "trigger axes"),
        "a d-pad" if dpad else "",
        _count(buttons, "button"),
    ]


def _count(number: int, one: str, several: str = "") -> str:
    if not number:
        return ""
    return f"{number} {one if number == 1 else several or one + 's'}"


def _with(what: str, parts: Collection[str]) -> str:
    there = [part for part in parts if part]
    if not there:
        return what
    if len(there) == 1:
        return f"{what} with {there[0]}"
    return f"{what} with {', '.join(there[:-1])} and {there[-1]}"
