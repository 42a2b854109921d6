"""Which device something was heard on: what to call it, and how a layout will find it again."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from remapd.analysis.device_kinds import Kind as DeviceKind
from remapd.analysis.device_kinds import in_words, kind_of
from remapd.analysis.layout_lines import find_line
from remapd.engine.matching import is_keyboard, is_pointer
from remapd.engine.source import Source


@dataclass(frozen=True, slots=True)
class Identity:
    """A device that is plugged in, as a fitting remembers it.

    Attributes:
        key: What tells it from every other that is plugged in now; the same after a pause.
        name: The name that it bears.
        words: What sort of thing it is: `a joystick with 2 axes and 1 button`.
        find: What a layout's `find` holds for it.
        because: How it is told from others of the same name; empty where there are none.
        acts_as: `keyboard` or `mouse`, where it may be the one that the family types or points
            with, or a box that acts as one.
        is_gamepad: Whether it is a whole gamepad.
        in_words: Whether a layout has to say in words that it is taken for remapd alone.
        serial: Its serial number, if it has one.
        port: Where it is plugged in, if that is known.
    """

    key: str
    name: str
    words: str
    find: dict[str, str] = field(default_factory=dict)
    because: str = ""
    acts_as: str = ""
    is_gamepad: bool = False
    in_words: bool = False
    serial: str = ""
    port: str = ""

    @property
    def told(self) -> str:
        """It in words, with what tells it from others: `Switch box (serial 12)`."""
        name = self.name or "a device without a name"
        if "serial" in self.find:
            return f"{name} (serial {self.serial})"
        if "port" in self.find:
            return f"{name} (at {self.port})"
        return name

    @property
    def only_by_port(self) -> bool:
        """Whether nothing but where it is plugged in tells it from another."""
        return "port" in self.find

    def to_data(self) -> dict[str, Any]:
        """As JSON can hold it."""
        return {
            "key": self.key,
            "name": self.name,
            "words": self.words,
            "find": dict(self.find),
            "because": self.because,
            "acts_as": self.acts_as,
            "is_gamepad": self.is_gamepad,
            "in_words": self.in_words,
            "serial": self.serial,
            "port": self.port,
        }

    @classmethod
    def from_data(cls, data: dict[str, Any]) -> Identity:
        """What `to_data` gave; raises KeyError or TypeError for anything else."""
        return cls(**{name: data[name] for name in cls.__slots__})


def identify(device: Source, plugged: Iterable[Source]) -> Identity:
    """The identity of `device`; `plugged` is all that is plugged in, itself too or not."""
    line = find_line(device, [each for each in plugged if each.id != device.id])
    acts_as = ""
    if is_keyboard(device):
        acts_as = "keyboard"
    elif is_pointer(device):
        acts_as = "mouse"
    return Identity(
        key=key_of(device),
        name=device.name,
        words=in_words(device),
        find=dict(line.criteria),
        because=line.because,
        acts_as=acts_as,
        is_gamepad=kind_of(device) is DeviceKind.GAMEPAD,
        in_words=bool(acts_as),
        serial=device.serial,
        port=device.port,
    )


def key_of(device: Source) -> str:
    """What tells a device from the others that are plugged in."""
    numbers = f"{device.vendor:04x}:{device.product:04x}"
    # two nodes of one thing share name and port; what they can send differs
    sends = hash((device.keys, device.rels, frozenset(device.axes))) & 0xFFFF
    return "|".join((device.name, numbers, device.port, device.serial, f"{sends:04x}"))
