"""What games send to the pad, and what cues want to be felt, on the devices that the layout names.

Games are answered whether anybody feels it or not. Nothing is felt on a device for which the layout
does not ask: a sudden shake can set off a startle or a spasm.
"""

from __future__ import annotations

from typing import Final

from remapd.daemon.devices import Devices
from remapd.daemon.felt_device import FeltDevice
from remapd.daemon.journal import WARNING, Journal
from remapd.daemon.loop import Loop, OpenedDevice
from remapd.daemon.rumble_mix import STILL, RumbleMix, Strength
from remapd.engine.layout import Device, Layout
from remapd.kernel.effects import FULL, Effect, Envelope
from remapd.kernel.motor import Motor, can_rumble
from remapd.kernel.pad import Pad
from remapd.kernel.pad_feedback import Erased, Feedback, GainSet, Played, Uploaded

#: A rumble that goes on is asked for again so often, and stops by itself a moment after that time:
#: so the device is still within 2.5 s of a daemon that hangs. Shorter would only cost more.
_AGAIN_US: Final = 2_000_000
_SLACK_US: Final = 500_000
#: A cue swells and fades as its tones do, and is as short.
_CUE_US: Final = 240_000
_CUE_FADE_US: Final = 60_000


class _Feeling:
    """One device that is there and that the layout wants something to be felt on."""

    def __init__(self, opened: OpenedDevice, device: Device) -> None:
        self.opened = opened
        self.device = device
        self.motors: FeltDevice | None = None
        self.trouble = ""  #: why nothing is felt on it
        self.is_told = False
        self.cue = RumbleMix()

    def close(self) -> None:
        if self.motors is not None:
            self.motors.close()


class Rumble:
    """Answers games at once, and drives the motors of the devices."""

    def __init__(self, loop: Loop, pad: Pad, devices: Devices, journal: Journal) -> None:
        self._loop = loop
        self._pad = pad
        self._devices = devices
        self._journal = journal
        self._mix = RumbleMix()
        self._alarm = loop.alarm(self._drive)
        self._feelings: dict[int, _Feeling] = {}

    def begin(self) -> None:
        """Answers games from now on."""
        self._loop.add(self._pad.fileno(), self._asked)

    # ---------------------------------------------------------------- who feels it
    def choose(self, layout: Layout) -> None:
        """The layout, or what is plugged in, has changed: motors are stopped and taken so."""
        wanted: dict[int, tuple[OpenedDevice, Device]] = {}
        cued = layout.cue_devices
        for opened in self._devices.opened.values():
            index = self._devices.taken_index(opened)
            if index is not None:
                device = layout.devices[index]
                if device.rumble > 0 or device.name in cued:
                    wanted[opened.id] = opened, device
        for number, feeling in list(self._feelings.items()):
            if number not in wanted or feeling.opened is not wanted[number][0]:
                feeling.close()
                del self._feelings[number]
        for number, (opened, device) in wanted.items():
            if number in self._feelings:
                self._feelings[number].device = device
            else:
                self._feelings[number] = self._taken(opened, device)
        self._drive(self._loop.now())

    def _taken(self, opened: OpenedDevice, device: Device) -> _Feeling:
        feeling = _Feeling(opened, device)
        if not can_rumble(opened.device.fileno()):
            feeling.trouble = "it cannot rumble"
        else:
            try:
                feeling.motors = FeltDevice(Motor(opened.path), device.name)
            except OSError as error:
                feeling.trouble = error.strerror or str(error)
        self._look_after(feeling)
        return feeling

    def _look_after(self, feeling: _Feeling) -> None:
        """Tells once where a device cannot be felt."""
        if feeling.motors is not None and feeling.motors.trouble:
            feeling.trouble = feeling.motors.trouble
        if feeling.trouble and not feeling.is_told:
            feeling.is_told = True
            self._journal.say(
                WARNING,
                "device",
                f"nothing is felt on `{feeling.device.name}` ({feeling.opened.source.name}): "
                f"{feeling.trouble}",
            )

    def trouble(self, opened: OpenedDevice) -> str | None:
        """Why nothing is felt on a device; empty where all is well, None where nothing shall be."""
        feeling = self._feelings.get(opened.id)
        if feeling is None:
            return None
        self._look_after(feeling)
        return feeling.trouble

    # ---------------------------------------------------------------- what is felt
    def _asked(self, mask: int) -> None:
        """A game asks for something."""
        del mask
        now_us = self._loop.now()
        for feedback in self._pad.take_feedback():
            self._take(feedback, now_us)
        self._drive(now_us)

    def _take(self, feedback: Feedback, now_us: int) -> None:
        match feedback:
            case Uploaded(effect):
                self._mix.upload(now_us, effect)
            case Erased(number):
                self._mix.erase(now_us, number)
            case Played(number, times):
                self._mix.play(now_us, number, times)
            case GainSet(gain):
                self._mix.set_gain(now_us, gain)

    def cue(self, device_name: str, strength: float) -> bool:
        """A short, soft rumble of this strength (0 to 1) on a device; whether it is felt."""
        now_us = self._loop.now()
        level = round(FULL * strength)
        envelope = Envelope(attack_us=_CUE_FADE_US, fade_us=_CUE_FADE_US)
        for feeling in self._feelings.values():
            if feeling.device.name == device_name and not feeling.trouble:
                feeling.cue.upload(now_us, Effect(0, level, level, _CUE_US, envelope=envelope))
                feeling.cue.play(now_us, 0, 1)
                self._drive(now_us)
                return True
        return False

    def still(self) -> None:
        """Ends all that is felt; the game is felt again when it plays something anew."""
        self._mix.stop()
        for feeling in self._feelings.values():
            feeling.cue.stop()
        self._drive(self._loop.now())

    def _drive(self, now_us: int) -> None:
        """Tells each device how strongly it turns now, and wakes up when that changes."""
        if not self._feelings:
            self._alarm.set(None)
            return
        played = self._mix.strength(now_us)
        due_us = self._mix.next_change_us(now_us)
        strengths: list[tuple[_Feeling, Strength]] = []
        for feeling in self._feelings.values():
            self._look_after(feeling)
            strength = played.scaled(feeling.device.rumble) + feeling.cue.strength(now_us)
            strengths.append((feeling, strength))
            cue_due_us = feeling.cue.next_change_us(now_us)
            if cue_due_us is not None:
                due_us = cue_due_us if due_us is None else min(due_us, cue_due_us)
        is_felt = any(strength != STILL for _, strength in strengths)
        again_us = now_us + _AGAIN_US
        until_us = again_us if due_us is None else min(due_us, again_us)
        for feeling, strength in strengths:
            if feeling.motors is not None:
                feeling.motors.drive(strength, until_us, _SLACK_US)
        self._alarm.set(until_us if is_felt or due_us is not None else None)
