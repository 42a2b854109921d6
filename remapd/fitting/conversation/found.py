"""What an interview has found so far: devices and controls, under names that do not clash."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Final

from remapd.fitting.games import name_from
from remapd.fitting.identity import Identity
from remapd.fitting.setup import FoundControl, FoundDevice, Person

_LONGEST_NAME: Final = 24


@dataclass(slots=True)
class Found:
    """Devices by their identity's key, and controls, in the order in which they were found."""

    devices: dict[str, FoundDevice] = field(default_factory=dict)
    controls: list[FoundControl] = field(default_factory=list)
    #: Keyboards and mice that are not to be played with: their keys, and what they are called.
    left_alone: dict[str, str] = field(default_factory=dict)
    #: Names that are in use elsewhere.
    reserved: tuple[str, ...] = ()
    #: Controls that stand for something already: their device's key, and their codes.
    used: set[tuple[str, tuple[str, ...]]] = field(default_factory=set)
    #: Buttons that send a short pulse however long they are held: their device's key, their codes.
    pulsing: set[tuple[str, tuple[str, ...]]] = field(default_factory=set)

    @property
    def control_names(self) -> tuple[str, ...]:
        """Names of controls that are in use."""
        return (*self.reserved, *(control.name for control in self.controls))

    def add_control(self, control: FoundControl) -> None:
        """Takes a control in; a device that has its name makes room for it."""
        if any(device.name == control.name for device in self.devices.values()):
            control = self._with_device_renamed(control)
        self.controls.append(control)

    def device_of(self, control: FoundControl) -> tuple[str, FoundDevice]:
        """The device that a control is on, and its key."""
        return next(
            (key, device) for key, device in self.devices.items() if device.name == control.device
        )

    def replace_control(self, old: FoundControl, new: FoundControl) -> None:
        """Puts a control in the place of another."""
        self.controls = [new if each is old else each for each in self.controls]

    def rename_control(self, control: FoundControl, name: str, movement: str) -> FoundControl:
        """Gives a control another name; the control as it is then."""
        new = replace(control, name=name, movement=movement)
        self.replace_control(control, new)
        if any(device.name == name for device in self.devices.values()):
            made_room = self._with_device_renamed(new)
            new = next(each for each in self.controls if each.name == made_room.name)
        return new

    def remove_control(self, control: FoundControl) -> None:
        """Takes a control out, and its device where it was the last one of it."""
        self.controls = [each for each in self.controls if each is not control]
        if not any(each.device == control.device for each in self.controls):
            self.remove_device(control.device)

    def remove_device(self, name: str) -> None:
        """Takes a device out that no control is left on."""
        self.devices = {key: each for key, each in self.devices.items() if each.name != name}

    def _with_device_renamed(self, control: FoundControl) -> FoundControl:
        old = control.name
        new = self._free_name(f"{old[: _LONGEST_NAME - 4]} box", but=old)
        for key, device in self.devices.items():
            if device.name == old:
                self.devices[key] = replace(device, name=new)
        self.controls = [
            replace(each, device=new) if each.device == old else each for each in self.controls
        ]
        return replace(control, device=new) if control.device == old else control

    def add_device(self, identity: Identity, person: Person, *, gamepad: bool = False) -> str:
        """Takes a device in, if it is not yet; its name in the layout."""
        known = self.devices.get(identity.key)
        if known is None:
            known = FoundDevice(
                name=self._free_name(identity.name or identity.words),
                find=identity.find,
                told=identity.told,
                person=person.name,
                exclusive=identity.in_words,
                gamepad=gamepad,
                optional=person.helper,
            )
            self.devices[identity.key] = known
        return known.name

    def add_stand_in(
        self,
        name: str,
        find: dict[str, str],
        told: str,
        person: Person,
        *,
        gamepad: bool = False,
        own: bool = False,
    ) -> str:
        """Takes a device in that stands in for one that is still to be had.

        `own`: it is another one even where there is one of that name already.
        """
        key = f"stand-in {name}"
        number = 1
        while own and key in self.devices:
            number += 1
            key = f"stand-in {name} {number}"
        if key not in self.devices:
            self.devices[key] = FoundDevice(
                self._free_name(name),
                find,
                told,
                person.name,
                stand_in=True,
                gamepad=gamepad,
                optional=person.helper,
            )
        return self.devices[key].name

    def control_at(self, key: str, codes: tuple[str, ...]) -> FoundControl | None:
        """The control of that device which has one of these codes, if it is known already."""
        device = self.devices.get(key)
        if device is None:
            return None
        for control in self.controls:
            if control.device == device.name and set(control.codes) & set(codes):
                return control
        return None

    def _device_names(self) -> Iterator[str]:
        return (device.name for device in self.devices.values())

    def _free_name(self, words: str, but: str = "") -> str:
        name = name_from(words)[:_LONGEST_NAME].rstrip("-") or "device"
        taken = (*self._device_names(), *self.control_names, but)
        if name not in taken:
            return name
        number = 2
        while f"{name}-{number}" in taken:
            number += 1
        return f"{name}-{number}"
