"""What the names of a layout stand for: its controls and their parts, and the pad's."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from remapd.diagnostics import Span
from remapd.engine.layout import ButtonControl, Control, LeverControl
from remapd.engine.pad_controls import (
    DPAD,
    DPAD_UP,
    FIRST_DIRECTION,
    STICK_NAMES,
    TARGET_NAMES,
)
from remapd.engine.settings import Rest
from remapd.language import messages
from remapd.language.reporter import Reporter
from remapd.language.suggest import any_of

DIRECTIONS = ("up", "down", "left", "right")
#: What the writer of a layout may call things.
NAME = re.compile(r"[a-z][a-z0-9-]*")
#: Words that stand where names stand.
RESERVED = ("nothing", "same", "true", "false", "null")

_TARGETS: dict[str, int] = {name: number for number, name in enumerate(TARGET_NAMES)} | {
    f"dpad.{direction}": DPAD_UP + number for number, direction in enumerate(DIRECTIONS)
}
_STICKS: dict[str, int] = {name: number for number, name in enumerate(STICK_NAMES)}


@dataclass(frozen=True, slots=True)
class Spot:
    """A control, or a part of it: a direction of a stick or pointer, an end of a lever."""

    control: int
    part: int | None = None


@dataclass(slots=True)
class ControlNames:
    """Every name by which the layers can speak of controls."""

    controls: list[Control] = field(default_factory=list)
    devices: dict[str, int] = field(default_factory=dict)
    #: `device.control` to the control; None where its description is broken.
    full: dict[str, Spot | None] = field(default_factory=dict)
    short: dict[str, list[str]] = field(default_factory=dict)
    #: Whether some device could not be read, so that names may be missing through no fault.
    incomplete: bool = False

    def add(self, device: str, control: str, spot: Spot | None) -> None:
        """Makes a name known."""
        name = f"{device}.{control}"
        self.full[name] = spot
        self.short.setdefault(control, []).append(name)

    def own_name(self, device: str, control: str) -> str:
        """The shortest name that is unique, once all are known."""
        return control if len(self.short[control]) == 1 else f"{device}.{control}"

    def find(self, text: str, span: Span, reporter: Reporter) -> Spot | None:
        """What a name stands for; None where it is unknown or broken, which has been reported."""
        words = text.split(".")
        if len(words) > 1 and words[0] in self.devices:
            name, parts = ".".join(words[:2]), words[2:]
            if name not in self.full:
                self._unknown(text, span, reporter)
                return None
        else:
            owners = self.short.get(words[0], [])
            if not owners:
                self._unknown(text, span, reporter)
                return None
            if len(owners) > 1:
                choices = " or ".join(".".join([each, *words[1:]]) for each in owners)
                reporter.report(messages.AMBIGUOUS_CONTROL, span, name=words[0], choices=choices)
                return None
            name, parts = owners[0], words[1:]
        spot = self.full[name]
        if spot is None or not parts:
            return spot
        return self._part(spot, parts, text, span, reporter)

    def _part(
        self, spot: Spot, parts: list[str], text: str, span: Span, reporter: Reporter
    ) -> Spot | None:
        control = text[: -len(".".join(parts)) - 1]
        names = () if spot.part is not None else part_names(self.controls[spot.control])
        if not names:
            reporter.report(messages.NO_PARTS, span, control=control)
            return None
        if len(parts) > 1 or parts[0] not in names:
            part = ".".join(parts)
            reporter.report(
                messages.UNKNOWN_PART, span, control=control, part=part, near=(part, names)
            )
            return None
        return Spot(spot.control, names.index(parts[0]))

    def _unknown(self, text: str, span: Span, reporter: Reporter) -> None:
        if self.incomplete:
            return
        own = [each.partition(".")[2] for each in self.full if each.partition(".")[0] == text]
        if text in self.devices and own:
            device = f"`{text}` is a device; name one of its controls: {any_of(own)}"
            reporter.report(messages.UNKNOWN_CONTROL, span, name=text, remedies=[device])
            return
        reporter.report(
            messages.UNKNOWN_CONTROL, span, name=text, near=(text, self.spellings(text))
        )

    def spellings(self, text: str) -> Iterable[str]:
        """All names that can be written, for suggestions."""
        shorts = [short for short, owners in self.short.items() if len(owners) == 1]
        if "." not in text:
            return [*shorts, *self.devices]
        dotted = list(self.full)
        for short in shorts:
            spot = self.full[self.short[short][0]]
            if spot is not None and spot.part is None:
                dotted += [f"{short}.{part}" for part in part_names(self.controls[spot.control])]
        return dotted


def part_names(control: Control) -> tuple[str, ...]:
    """The names of a control's parts, in their order; none for a button."""
    if isinstance(control, ButtonControl):
        return ()
    return control.ends if isinstance(control, LeverControl) else DIRECTIONS


def end_away_from_rest(control: LeverControl) -> int:
    """The end that presses where the lever is named whole; of two, the high one."""
    return 0 if control.settings.rests_at is Rest.HIGH else 1


@dataclass(slots=True)
class PadNames:
    """The pad controls, and the layout's verbs for them."""

    #: Verb to the name of a pad control.
    verbs: dict[str, str] = field(default_factory=dict)
    #: Verbs whose meaning is broken.
    broken: set[str] = field(default_factory=set)

    def meaning(self, word: str) -> str:
        """A word with its verb, if it is one, replaced by the pad control."""
        first, dot, part = word.partition(".")
        return f"{self.verbs.get(first, first)}{dot}{part}"

    def is_broken(self, word: str) -> bool:
        """Whether the word is a verb whose own line is at fault."""
        return word.partition(".")[0] in self.broken

    def target(self, word: str) -> int | None:
        """The number of what can be pressed, or None."""
        return _TARGETS.get(self.meaning(word))

    def stick(self, word: str) -> int | None:
        """The number of a stick (2 is the d-pad taken as one), or None."""
        return _STICKS.get(self.meaning(word))

    def knows(self, word: str) -> bool:
        """Whether the word stands for something of the pad, or its own line is at fault."""
        return self.is_broken(word) or self.target(word) is not None or self.stick(word) is not None

    def words(self, *, sticks: bool, targets: bool = True) -> list[str]:
        """All words that can stand for a pad control, for suggestions."""
        known: Mapping[str, int] = (_TARGETS if targets else {}) | (_STICKS if sticks else {})
        plain = [word for word in known if not word.startswith("dpad.")]
        return [*(v for v, name in self.verbs.items() if name in known), *plain]


def direction_of(stick: int, direction: int) -> int:
    """The target of one direction of a stick, or of the d-pad taken as one."""
    return DPAD_UP + direction if stick == DPAD else FIRST_DIRECTION + 4 * stick + direction


def is_pad_control(word: str) -> bool:
    """Whether the language itself has the word for a pad control."""
    return word in _TARGETS or word in _STICKS


def canonical(word: str) -> str:
    """A pad control's own name: `dpad-up` for `dpad.up`."""
    return word.replace(".", "-") if word.startswith("dpad.") else word


def pad_control_words() -> list[str]:
    """The language's own words for pad controls, in pad order, sticks last."""
    return [*TARGET_NAMES, *STICK_NAMES]
