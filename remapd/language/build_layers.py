"""Layers: which action stands behind which button, whole control and chord."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from remapd.diagnostics import Span
from remapd.engine.actions import Action, Nothing, Press, SendLever, SendStick, Whole
from remapd.engine.layout import ButtonControl, Chord, Layer, LeverControl
from remapd.engine.pad_controls import LEFT_TRIGGER, RIGHT_TRIGGER
from remapd.engine.settings import Rest
from remapd.language import messages
from remapd.language.build_actions import ActionBuilder
from remapd.language.build_devices import Inventory, Places
from remapd.language.frozen import frozen
from remapd.language.meant import chord_meant
from remapd.language.names import RESERVED, Spot, direction_of, end_away_from_rest, is_pad_control
from remapd.language.reporter import Reporter
from remapd.language.suggest import any_of
from remapd.language.values import Entries, Entry, Fields, Value


def build_layer(name: str, entries: Entries, builder: ActionBuilder, places: Places) -> Layer:
    """One layer. Broken lines are reported and left out."""
    building = _Building(name, builder, places)
    for entry in entries.items:
        building.line(entry)
    building.same()
    return Layer(
        name,
        frozen(building.bindings),
        frozen(building.wholes),
        tuple(building.chords.values()),
    )


@dataclass(slots=True)
class _Building:
    """One pass over the lines of a layer."""

    name: str
    builder: ActionBuilder
    places: Places
    bindings: dict[int, Action] = field(default_factory=dict)
    wholes: dict[int, Whole] = field(default_factory=dict)
    chords: dict[frozenset[int], Chord] = field(default_factory=dict)
    #: Where each spot is named, with the words of the file; broken lines too.
    named: dict[Spot, tuple[str, Span]] = field(default_factory=dict)
    same_devices: list[tuple[int, Span]] = field(default_factory=list)

    @property
    def reporter(self) -> Reporter:
        return self.builder.reporter

    @property
    def inventory(self) -> Inventory:
        return self.builder.inventory

    def line(self, entry: Entry) -> None:
        """`control: action`, `one + other: action`, or `device: same`."""
        key = entry.name
        names = self.inventory.names
        if "+" in key:
            self.chord(entry)
        elif key in names.devices:
            self.device(entry)
        elif entry.value is not None and entry.value.data == "same":
            if names.find(key, entry.key.span, self.reporter) is not None:
                self.reporter.report(messages.SAME_FOR_CONTROL, entry.value.span, name=key)
        else:
            self.control(entry)

    def device(self, entry: Entry) -> None:
        value = entry.value
        if value is None:
            return
        if value.data != "same":
            self.reporter.report(messages.DEVICE_BOUND, value.span, name=entry.name)
            return
        self.places["binding", self.name, entry.name] = entry.key.span
        self.same_devices.append((self.inventory.names.devices[entry.name], value.span))

    def control(self, entry: Entry) -> None:
        """A button, a direction, or a whole control."""
        span = entry.key.span
        chord = chord_meant(entry.name, self.inventory.names.spellings)
        if chord:
            self.reporter.report(
                messages.UNKNOWN_CONTROL,
                span,
                name=entry.name,
                remedies=[f"did you mean `{chord}`?"],
            )
        spot = None if chord else self.inventory.names.find(entry.name, span, self.reporter)
        if spot is None:
            self.builder.bearers = ()
            if entry.value is not None:
                self.read_for_faults(entry.value)
            return
        if not self.claim(spot, entry.name, span):
            return
        control = self.inventory.controls[spot.control]
        if isinstance(control, ButtonControl) or spot.part is not None:
            if isinstance(control, LeverControl) and self.at_rest(control, spot, entry):
                return
            self.press(self.inventory.button_at(spot), entry.value)
        elif isinstance(control, LeverControl):
            self.whole_lever(spot.control, control, entry.value)
        else:
            self.whole_stick(spot.control, entry.name, entry.value)

    def read_for_faults(self, value: Value) -> None:
        """The action of a control that is unknown: its own faults are still shown."""
        if isinstance(value.data, Fields):
            if value.data.decider != "send":
                self.builder.action(value)
        elif value.data not in RESERVED and not self.builder.pad.knows(value.data):
            self.builder.unknown_pad_control(value, sticks=True)

    def claim(self, spot: Spot, words: str, span: Span) -> bool:
        """Notes that a spot has its line; False where it had one, or its whole or parts had."""
        earlier = self.named.get(spot)
        if earlier is not None:
            self.reporter.report(
                messages.BOUND_TWICE, span, name=words, notes=[("the first is here", earlier[1])]
            )
            return False
        relatives = (
            [Spot(spot.control)]
            if spot.part is not None
            else [Spot(spot.control, part) for part in range(4)]
        )
        self.named[spot] = (words, span)
        for relative in relatives:
            if relative in self.named:
                other, place = self.named[relative]
                whole, part = (other, words) if spot.part is not None else (words, other)
                self.reporter.report(
                    messages.WHOLE_AND_PART,
                    span,
                    whole=whole,
                    part=part,
                    notes=[("the other is here", place)],
                )
                return False
        own = self.inventory.controls[spot.control].name
        if spot.part is not None:
            button = self.inventory.button_at(spot)
            own = self.inventory.buttons[button].name
        self.places["binding", self.name, own] = span
        return True

    def at_rest(self, control: LeverControl, spot: Spot, entry: Entry) -> bool:
        """Whether an end is named where the lever rests, and so never presses."""
        rest = control.settings.rests_at
        if rest is Rest.MIDDLE or spot.part == end_away_from_rest(control):
            return False
        other = f"{entry.name.rpartition('.')[0]}.{control.ends[end_away_from_rest(control)]}"
        self.reporter.report(messages.END_AT_REST, entry.key.span, name=entry.name, other=other)
        return True

    def press(self, button: int, value: Value | None) -> None:
        """An action for something that is pressed."""
        self.builder.bearers = (button,)
        if value is None:
            return
        if isinstance(value.data, Fields) and value.data.decider == "send":
            self.reporter.report(
                messages.SEND_NEEDS_STICK,
                value.data.keys["send"].span,
                control=self.inventory.buttons[button].name,
            )
            return
        action = self.builder.action(value)
        if action is not None:
            self.bindings[button] = action

    def whole_lever(self, number: int, control: LeverControl, value: Value | None) -> None:
        """A trigger follows it, `nothing` blocks it, all else is pressed by it."""
        if value is None:
            return
        if value.data == "nothing":
            self.wholes[number] = Nothing(label="nothing")
            return
        if isinstance(value.data, str):
            target = self.builder.pad.target(value.data)
            if target in (LEFT_TRIGGER, RIGHT_TRIGGER):
                self.wholes[number] = SendLever(target, label=value.data)
                return
        self.press(control.buttons[end_away_from_rest(control)], value)

    def whole_stick(self, number: int, words: str, value: Value | None) -> None:
        """A stick of the pad follows it, or `nothing`."""
        if value is None:
            return
        if isinstance(value.data, Fields):
            self.send(number, words, value)
            return
        word: str = value.data
        if word == "nothing":
            self.wholes[number] = Nothing(label="nothing")
            return
        if self.builder.pad.is_broken(word):
            return
        stick = self.builder.pad.stick(word)
        if stick is not None:
            self.wholes[number] = SendStick(stick, label=word)
        elif self.builder.pad.target(word) is not None:
            self.reporter.report(messages.STICK_NEEDS_STICK, value.span, control=words, word=word)
        else:
            self.builder.unknown_pad_control(value, sticks=True, targets=False)

    def send(self, number: int, words: str, value: Value) -> None:
        fields: Fields = value.data
        if fields.decider != "send":
            key = fields.keys[next(iter(fields.keys))]
            self.reporter.report(
                messages.STICK_NEEDS_STICK, key.span, control=words, word=fields.decider
            )
            self.builder.bearers = ()
            self.builder.action(value)
            return
        stick = self.builder.stick(fields, "send", dpad=True)
        if stick is None:
            return
        flip = {each.data for each in fields.data("flip", [])}
        self.wholes[number] = SendStick(
            stick,
            fields.data("gain", 1.0),
            "x" in flip,
            "y" in flip,
            fields.data("change") == "centred",
            label=f"send {fields.data('send')}",
        )

    def chord(self, entry: Entry) -> None:
        """`one + other: action`."""
        span = entry.key.span
        words = [each.strip() for each in entry.name.split("+")]
        if len(words) != 2 or not all(words):
            count = sum(1 for each in words if each)
            self.reporter.report(messages.CHORD_OF_MANY, span, count=count)
            return
        members = [self.member(word, span) for word in words]
        self.builder.bearers = tuple(each for each in members if each is not None)
        value = entry.value
        if value is not None and isinstance(value.data, Fields) and value.data.decider == "send":
            self.reporter.report(
                messages.SEND_NEEDS_STICK, value.data.keys["send"].span, control=entry.name
            )
            return
        action = self.builder.action(value)
        first, second = members
        if first is None or second is None:
            return
        if first == second:
            self.reporter.report(messages.CHORD_WITH_ITSELF, span, name=words[0])
            return
        pair = frozenset((first, second))
        key = " + ".join(sorted(self.inventory.buttons[each].name for each in pair))
        place = self.places.get(("chord", self.name, key))
        if place is not None:
            self.reporter.report(messages.CHORD_TWICE, span, notes=[("the first is here", place)])
            return
        self.places["chord", self.name, key] = span
        if action is not None:
            self.chords[pair] = Chord(first, second, action)

    def member(self, word: str, span: Span) -> int | None:
        """A member of a chord: something that is pressed."""
        spot = self.inventory.names.find(word, span, self.reporter)
        if spot is None:
            return None
        control = self.inventory.controls[spot.control]
        if isinstance(control, ButtonControl):
            return control.button
        if isinstance(control, LeverControl):
            away = end_away_from_rest(control)
            if spot.part is None:
                return control.buttons[away]
            if control.settings.rests_at is not Rest.MIDDLE and spot.part != away:
                other = f"{word.rpartition('.')[0]}.{control.ends[away]}"
                self.reporter.report(messages.END_AT_REST, span, name=word, other=other)
                return None
        elif spot.part is None:
            self.reporter.report(messages.CHORD_OF_WHOLE, span, name=word)
            return None
        return control.buttons[spot.part]

    # ---------------------------------------------------------------- same

    def same(self) -> None:
        """Each control of a device to the pad control of its name, where it has no line itself."""
        for device, span in self.same_devices:
            alone = [
                self.inventory.controls[number].name.rpartition(".")[2]
                for number in self.inventory.devices[device].controls
                if not self.same_control(number)
            ]
            if alone:
                self.reporter.report(messages.SAME_WITHOUT_PARTNER, span, names=any_of(alone))

    def same_control(self, number: int) -> bool:
        """Whether the control has an action, or a partner that becomes it."""
        control = self.inventory.controls[number]
        name = control.name.rpartition(".")[2]
        if Spot(number) in self.named:
            return True
        stick = self.builder.pad.stick(name) if is_pad_control(name) else None
        target = self.builder.pad.target(name) if is_pad_control(name) else None
        if isinstance(control, ButtonControl):
            if target is not None:
                self.press_same(control.button, target, name)
                return True
        elif isinstance(control, LeverControl):
            away = end_away_from_rest(control)
            if any(Spot(number, part) in self.named for part in (0, 1)):
                return True
            if target in (LEFT_TRIGGER, RIGHT_TRIGGER):
                self.wholes[number] = SendLever(target, label=name)
                return True
            if target is not None:
                self.press_same(control.buttons[away], target, name)
                return True
        elif stick is not None:
            self.same_stick(number, control.buttons, stick, name)
            return True
        return False

    def same_stick(
        self, number: int, buttons: tuple[int, int, int, int], stick: int, name: str
    ) -> None:
        """Whole; where single directions have lines of their own, the others press theirs."""
        if not any(Spot(number, part) in self.named for part in range(4)):
            self.wholes[number] = SendStick(stick, label=name)
            return
        for part, button in enumerate(buttons):
            if Spot(number, part) not in self.named:
                direction = self.inventory.buttons[button].name.rpartition(".")[2]
                self.press_same(button, direction_of(stick, part), f"{name}.{direction}")

    def press_same(self, button: int, target: int, name: str) -> None:
        self.bindings[button] = Press((target,), label=name)


def layer_numbers(names: list[str], base: str | None) -> Mapping[str, int]:
    """The base is number 0, the others follow in the order of the file."""
    first = base if base in names else (names[0] if names else None)
    ordered = [name for name in names if name == first] + [n for n in names if n != first]
    return {name: number for number, name in enumerate(ordered)}
