"""The pad as the one device of an output recording."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from remapd.codes import AXES, KEYS
from remapd.engine.layout import Layout
from remapd.engine.source import AxisRange, Source
from remapd.recording.lines import RecordedDevice

_STICK: Final = AxisRange(-32767, 32767)
_TRIGGER: Final = AxisRange(0, 255)
_HAT: Final = AxisRange(-1, 1)
_BUS_USB: Final = 0x03

PAD_KEYS: Final = frozenset(
    KEYS[name]
    for name in (
        *("BTN_SOUTH", "BTN_EAST", "BTN_NORTH", "BTN_WEST", "BTN_TL", "BTN_TR", "BTN_SELECT"),
        *("BTN_START", "BTN_MODE", "BTN_THUMBL", "BTN_THUMBR"),
    )
)
PAD_AXES: Final = MappingProxyType(
    {
        **{AXES[name]: _STICK for name in ("ABS_X", "ABS_Y", "ABS_RX", "ABS_RY")},
        **{AXES[name]: _TRIGGER for name in ("ABS_Z", "ABS_RZ")},
        **{AXES[name]: _HAT for name in ("ABS_HAT0X", "ABS_HAT0Y")},
    }
)
#: What the pad is called and numbered as, unless the layout's `pad: identity` says otherwise.
PAD_NAME: Final = "remapd pad"
PAD_PORT: Final = "remapd/pad"
PAD_IDENTITY: Final = (0x1209, 0x5244, 0x0001)


def pad_device(layout: Layout) -> RecordedDevice:
    """The pad at rest, with the identity that the layout gives it."""
    identity = layout.identity
    vendor, product, version = (
        PAD_IDENTITY if identity is None else (identity.vendor, identity.product, identity.version)
    )
    source = Source(
        id=0,
        name=PAD_NAME,
        vendor=vendor,
        product=product,
        version=version,
        bus=_BUS_USB,
        port=PAD_PORT,
        keys=PAD_KEYS,
        axes=PAD_AXES,
    )
    return RecordedDevice(source, axes=MappingProxyType(dict.fromkeys(PAD_AXES, 0)))
