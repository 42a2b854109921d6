"""An engine that is watched: what hands did, what was refused, what it did by itself."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from remapd.codes import AXES, KEYS
from remapd.engine import Engine, Layout
from remapd.engine.buttons import Refusal
from remapd.engine.handlers import EV_ABS, EV_KEY
from remapd.engine.layout import ButtonControl
from remapd.engine.motions import Motion
from remapd.engine.pad_controls import (
    SLOT_HORIZONTAL,
    SLOT_LEFT_STICK,
    SLOT_RIGHT_STICK,
    SLOT_VERTICAL,
    TARGET_NAMES,
)
from remapd.engine.repeating import TurboRunning

#: Merging slots by the event that shows them; west and north share theirs for this purpose.
_SLOTS: Final = {
    (EV_KEY, KEYS[name]): TARGET_NAMES.index(target)
    for name, target in (
        ("BTN_SOUTH", "south"),
        ("BTN_EAST", "east"),
        ("BTN_TL", "left-shoulder"),
        ("BTN_TR", "right-shoulder"),
        ("BTN_SELECT", "select"),
        ("BTN_START", "start"),
        ("BTN_MODE", "mode"),
        ("BTN_THUMBL", "left-stick-press"),
        ("BTN_THUMBR", "right-stick-press"),
    )
} | {
    (EV_ABS, AXES[name]): slot
    for name, slot in (
        ("ABS_X", SLOT_LEFT_STICK),
        ("ABS_Y", SLOT_LEFT_STICK),
        ("ABS_RX", SLOT_RIGHT_STICK),
        ("ABS_RY", SLOT_RIGHT_STICK),
        ("ABS_Z", TARGET_NAMES.index("left-trigger")),
        ("ABS_RZ", TARGET_NAMES.index("right-trigger")),
        ("ABS_HAT0Y", SLOT_VERTICAL),
        ("ABS_HAT0X", SLOT_HORIZONTAL),
    )
}
_FACES: Final = ((EV_KEY, 0x133), (EV_KEY, 0x134))


@dataclass(slots=True)
class HandTrack:
    """What one person did with one control.

    `stretches` are when it was touched: a button's contact, closed without a break longer than its
    debounce; a stick, pointer or lever away from its rest. `refused` are (time, why).
    """

    name: str
    person: int
    is_button: bool
    stretches: list[tuple[int, int]] = field(default_factory=list)
    accepted: int = 0
    refused: list[tuple[int, str]] = field(default_factory=list)
    began_us: int | None = None

    def begin(self, us: int, gap_us: int = 0) -> None:
        """It is touched; within a gap of the last time, that goes on."""
        if self.began_us is None:
            self.began_us = us
            if gap_us and self.stretches and us - self.stretches[-1][1] < gap_us:
                self.began_us = self.stretches.pop()[0]

    def end(self, us: int) -> None:
        """It is let go."""
        if self.began_us is not None:
            self.stretches.append((self.began_us, us))
            self.began_us = None


@dataclass(slots=True)
class Watched:
    """All that was seen; the tracks of controls that share a name and a person are one."""

    hands: dict[tuple[str, int], HandTrack] = field(default_factory=dict)
    layers: dict[str, list[tuple[int, int]]] = field(default_factory=dict)
    #: Presses that a turbo made by itself, after its first, by person.
    machine_presses: list[int] = field(default_factory=lambda: [0, 0])
    #: For how long each slot of the pad was given by each person, microseconds.
    given_us: dict[int, list[int]] = field(default_factory=dict)


class WatchedEngine(Engine):
    """Does what an engine does, and writes down what a report tells."""

    def __init__(self, layout: Layout) -> None:
        self.watched = Watched()
        #: By source: event code of a key to the numbers of the controls that it is.
        self._contacts: dict[int, dict[int, list[int]]] = {}
        self._layers_on: dict[int, int] = {}
        self._turbos: dict[TurboRunning, bool] = {}
        self._giving: dict[int, tuple[int, int]] = {}
        self._now_us = 0
        super().__init__(layout)
        self._follow_layers(0)

    def finish(self, us: int) -> None:
        """The session is over: what goes on ends here."""
        for track in self.watched.hands.values():
            track.end(us)
        for layer in list(self._layers_on):
            self._layer_off(layer, us)
        for slot in list(self._giving):
            self._give(slot, None, us)

    # ---------------------------------------------------------------- hands
    def _track(self, control: int) -> HandTrack:
        entry = self.layout.controls[control]
        key = (entry.name, self.layout.devices[entry.device].person)
        track = self.watched.hands.get(key)
        if track is None:
            track = HandTrack(*key, is_button=isinstance(entry, ButtonControl))
            self.watched.hands[key] = track
        return track

    def feed(self, us: int, source_id: int, events: list[tuple[int, int, int]]) -> None:  # type: ignore[override]
        """One frame, and the contacts in it."""
        super().feed(us, source_id, events)
        contacts = self._contacts.get(source_id)
        if contacts:
            for event_type, code, value in events:
                if event_type == EV_KEY and code in contacts:
                    for control in contacts[code]:
                        self._contact(control, value != 0, us)

    def _contact(self, control: int, down: bool, us: int) -> None:
        entry = self.layout.controls[control]
        if not isinstance(entry, ButtonControl):
            return
        track = self._track(control)
        if down is not entry.inverted:
            track.begin(us, entry.settings.debounce_us)
        else:
            track.end(us)

    def _attach(self, source_id: int, device: int, us: int) -> None:
        super()._attach(source_id, device, us)
        contacts: dict[int, list[int]] = {}
        for control in self.layout.devices[device].controls:
            entry = self.layout.controls[control]
            self._track(control)
            if isinstance(entry, ButtonControl):
                contacts.setdefault(entry.code, []).append(control)
        self._contacts[source_id] = contacts

    def _detach(self, source_id: int, us: int) -> None:
        for control in self.layout.devices[self.taken[source_id]].controls:
            self._track(control).end(us)
        self._contacts.pop(source_id, None)
        super()._detach(source_id, us)

    def swap_layout(self, us: int, layout: Layout) -> None:
        """Another layout: what hands held counts as let go, as it does for the game."""
        for track in self.watched.hands.values():
            track.end(us)
        for layer in list(self._layers_on):
            self._layer_off(layer, us)
        self._contacts.clear()
        self._turbos.clear()
        super().swap_layout(us, layout)
        self._follow_layers(us)

    def motion_left_neutral(self, motion: Motion) -> None:
        """A stick, pointer or lever leaves its rest."""
        super().motion_left_neutral(motion)
        self._track(motion.key).begin(self._now_us)

    def motion_is_neutral(self, motion: Motion, us: int) -> None:
        """It is at rest again."""
        super().motion_is_neutral(motion, us)
        self._track(motion.key).end(us)

    def button_pressed(self, number: int, us: int) -> None:
        """A press is accepted."""
        self._track(self.layout.buttons[number].control).accepted += 1
        super().button_pressed(number, us)

    def button_refused(
        self, number: int, us: int, reason: Refusal, held_us: int, limit_us: int
    ) -> None:
        """A press did nothing; the chatter of a contact is no press."""
        if reason is not Refusal.DEBOUNCE:
            track = self._track(self.layout.buttons[number].control)
            track.refused.append((us, reason.value))
        super().button_refused(number, us, reason, held_us, limit_us)

    # ---------------------------------------------------------------- what comes of it
    def _resolve(self, us: int) -> None:
        self._now_us = us
        before = len(self.output)
        super()._resolve(us)
        if self._performer.nodes or self._turbos:
            self._follow_turbos()
        if len(self._layers_on) != len(self.active_layers) or any(
            layer not in self._layers_on for layer in self.active_layers
        ):
            self._follow_layers(us)
        for frame in self.output[before:]:
            self._follow_givers(frame.events, us)

    def _follow_turbos(self) -> None:
        running = {n for n in self._performer.nodes.values() if isinstance(n, TurboRunning)}
        for turbo in list(self._turbos):
            if turbo not in running:
                del self._turbos[turbo]
        for turbo in running:
            is_on = bool(turbo.pressed_targets())
            if turbo in self._turbos and is_on and not self._turbos[turbo]:
                self.watched.machine_presses[turbo.origin.person] += 1
            self._turbos[turbo] = is_on

    def _follow_layers(self, us: int) -> None:
        for layer in list(self._layers_on):
            if layer not in self.active_layers:
                self._layer_off(layer, us)
        for layer in self.active_layers:
            self._layers_on.setdefault(layer, us)

    def _layer_off(self, layer: int, us: int) -> None:
        since_us = self._layers_on.pop(layer)
        name = self.layout.layers[layer].name
        self.watched.layers.setdefault(name, []).append((since_us, us))

    def _follow_givers(self, events: list[int], us: int) -> None:
        for at in range(0, len(events) - 3, 3):
            event = (events[at], events[at + 1])
            if event in _FACES:
                west, north = TARGET_NAMES.index("west"), TARGET_NAMES.index("north")
                for slot in (west, north):
                    self._give(slot, self._merge.person_of(slot), us)
            elif event in _SLOTS:
                slot = _SLOTS[event]
                self._give(slot, self._merge.person_of(slot), us)

    def _give(self, slot: int, person: int | None, us: int) -> None:
        now = self._giving.get(slot)
        if now is not None and now[0] != person:
            self.watched.given_us.setdefault(slot, [0, 0])[now[0]] += us - now[1]
            del self._giving[slot]
        if person is not None and slot not in self._giving:
            self._giving[slot] = (person, us)
