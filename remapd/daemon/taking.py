"""How a device is taken: for remapd alone or not, and what is called after each of its frames."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from remapd.daemon.loop import Events, OpenedDevice
from remapd.engine.layout import Device
from remapd.engine.matching import is_keyboard, is_pointer
from remapd.engine.source import Source


def nobody_asks(opened: OpenedDevice, index: int) -> None:
    """For `Devices.on_frame_of`: nobody wants to see the frames."""
    del opened, index


def is_taken_alone(device: Device, source: Source) -> bool:
    """Whether nobody else shall see what the device sends.

    A keyboard or a mouse only where the layout says so in words: it may be the only one.
    """
    if not device.exclusive:
        return False
    return device.exclusive_in_words or not (is_keyboard(source) or is_pointer(source))


def all_of(
    hooks: Iterable[Callable[[int, Events], None]],
) -> Callable[[int, Events], None] | None:
    """One call for all of them; None where there is none."""
    calls = list(hooks)
    if not calls:
        return None
    if len(calls) == 1:
        return calls[0]

    def call_all(us: int, events: Events) -> None:
        for call in calls:
            call(us, events)

    return call_all
