"""What the body offers: things that can be pressed, and things that can be moved whole."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from remapd.fitting.setup import FoundControl, FoundDevice, Setup

#: The order in which the directions of a stick are handed out for deeds: forward is the surest
#: kick of most hands and feet, backward the least (common practice, no source).
KICKS = ("up", "right", "left", "down")
#: A breath is never held: who reads these words in a movement takes no long press from it.
_BREATH = ("sip", "puff", "breath", "blow")
#: Longer words for a movement do not go well into a sentence: then the control's name stands there.
_SAID_WORDS = 2


@dataclass(frozen=True, slots=True)
class Slot:
    """Something that can be pressed: a button, a direction of a stick, an end of a lever.

    Attributes:
        word: It as layouts name it.
        control: The control that it belongs to.
        told: It in words: `the left knee`.
        way: The direction or end, where it is one.
    """

    word: str
    control: FoundControl
    told: str
    way: str = ""

    @property
    def can_hold(self) -> bool:
        """Whether it can be held without strain."""
        return can_hold(self.control)

    @property
    def reliable(self) -> bool:
        """Whether it comes when it is wanted."""
        return self.control.reliable


def can_hold(control: FoundControl) -> bool:
    """Whether a control can be held, or kept pushed, without strain."""
    words = f"{control.movement} {control.name} {control.settings.get('ends', '')}".lower()
    return control.can_hold and not any(breath in words for breath in _BREATH)


def spoken(control: FoundControl, setup: Setup) -> str:
    """A control in words: `the left knee`, or its name where no movement is known."""
    words = control.movement.split()
    alike = [each for each in setup.controls if each.movement == control.movement]
    if not 0 < len(words) <= _SAID_WORDS or len(alike) > 1:
        return f"`{word_of(control, setup)}`"
    return control.movement if words[0] in {"the", "a", "both"} else f"the {control.movement}"


def word_of(control: FoundControl, setup: Setup) -> str:
    """A control as layouts name it: alone where its name is unique in the file."""
    alike = [each for each in setup.controls if each.name == control.name]
    return control.name if len(alike) == 1 else f"{control.device}.{control.name}"


def rests_in_the_middle(control: FoundControl) -> bool:
    """Whether it is a lever with two ends, as a sip-and-puff sensor is."""
    return control.kind == "lever" and control.settings.get("rests-at") == "middle"


def ends_of(control: FoundControl) -> tuple[str, str]:
    """The names of a lever's ends."""
    written = control.settings.get("ends", "").strip("[] ")
    names = [name.strip() for name in written.split(",")]
    return (names[0], names[1]) if len(names) == 2 and all(names) else ("low", "high")


@dataclass(frozen=True, slots=True)
class Body:
    """The controls of one person, sorted by what can be made of them; the surest first.

    Attributes:
        setup: What they are taken from.
        sticks: Sticks and pointers that can be kept pushed: they can be taken whole.
        pedals: Levers that rest at an end: they can give a trigger by degrees.
        slots: What can be pressed.
    """

    setup: Setup
    sticks: tuple[FoundControl, ...]
    pedals: tuple[FoundControl, ...]
    slots: tuple[Slot, ...]

    def directions(self, stick: FoundControl) -> tuple[Slot, ...]:
        """The four directions of a stick as things to press, the surest first."""
        return directions(stick, self.setup)

    @property
    def sure_slots(self) -> tuple[Slot, ...]:
        """The slots that come when they are wanted; all of them where none does."""
        sure = tuple(slot for slot in self.slots if slot.reliable)
        return sure or self.slots

    def without_stick(self, stick: FoundControl) -> Body:
        """The same with a stick taken apart: its directions are slots, after all others."""
        return Body(
            self.setup,
            tuple(each for each in self.sticks if each is not stick),
            self.pedals,
            (*self.slots, *directions(stick, self.setup)),
        )


def directions(stick: FoundControl, setup: Setup) -> tuple[Slot, ...]:
    """The four directions of a stick as things to press, the surest first."""
    word, told = word_of(stick, setup), spoken(stick, setup)
    moved = "rolled" if stick.kind == "pointer" else "pushed"
    return tuple(Slot(f"{word}.{way}", stick, f"{told} {moved} {_AWAY[way]}", way) for way in KICKS)


def ends(lever: FoundControl, setup: Setup) -> tuple[Slot, ...]:
    """The two ends of a lever that rests in the middle, as things to press."""
    word, told = word_of(lever, setup), spoken(lever, setup)
    return tuple(
        Slot(
            f"{word}.{end}",
            lever,
            f"a {end}" if end in _BREATH else f"{told} ({end})",
            end,
        )
        for end in ends_of(lever)
    )


_AWAY = {"up": "forward", "down": "back", "left": "to the left", "right": "to the right"}


def body_of(setup: Setup, *, helper: bool = False) -> Body:
    """What the player's body offers, or with `helper` what the helper's single controls do."""
    mine = (
        tuple(each for each in setup.controls if each not in setup.players_controls)
        if helper
        else setup.players_controls
    )
    sticks: list[FoundControl] = []
    pedals: list[FoundControl] = []
    slots: list[Slot] = []
    for control in mine:
        if control.kind in {"stick", "pointer"}:
            if can_hold(control):
                sticks.append(control)
            else:
                slots += directions(control, setup)
        elif rests_in_the_middle(control):
            slots += ends(control, setup)
        else:
            if control.kind == "lever":
                pedals.append(control)
            slots.append(Slot(word_of(control, setup), control, spoken(control, setup)))
    return Body(
        setup,
        tuple(_surest_first(sticks)),
        tuple(_surest_first(pedals)),
        tuple(sorted(slots, key=lambda slot: not slot.reliable)),
    )


def _surest_first(controls: Iterable[FoundControl]) -> list[FoundControl]:
    return sorted(controls, key=lambda control: (not control.reliable, control.small_range))


def helpers_gamepads(setup: Setup) -> tuple[FoundDevice, ...]:
    """The helper's devices that are used whole."""
    return tuple(device for device in setup.helpers_devices if device.gamepad)
