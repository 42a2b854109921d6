"""A plan that is being made: what each layer binds so far."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from remapd.fitting.body import Slot, can_hold, ends_of, rests_in_the_middle, word_of
from remapd.fitting.doings import Call, Doing, Latched, Listed, Stick
from remapd.fitting.plans import BASE, Plan, PlannedLayer
from remapd.fitting.setup import Setup
from remapd.fitting.wants import Want, given, stick_verbs

#: What a switch says that is left over.
SPARE: Final = "A break, please"


@dataclass(slots=True)
class Draft:
    """A plan that is being made: what each layer binds so far."""

    setup: Setup
    layers: dict[str, dict[str, Doing]] = field(default_factory=lambda: {BASE: {}})
    told: dict[str, str] = field(default_factory=dict)
    said: dict[str, str] = field(default_factory=dict)
    settings: dict[str, dict[str, str]] = field(default_factory=dict)

    def bind(self, layer: str, word: str, doing: Doing) -> None:
        """Gives a control something to do."""
        self.layers.setdefault(layer, {})[word] = doing

    def give(self, layer: str, slot: Slot, want: Want, *, alone: bool = False) -> None:
        """Gives a slot what is wanted, in the way that suits the body."""
        doing = given(self.setup, want, can_hold=slot.can_hold, alone=alone)
        self.bind(layer, slot.word, doing)

    def askew(self, direction: Slot) -> None:
        """Lets the stick of this direction give two directions at once."""
        self.settings[word_of(direction.control, self.setup)] = {}

    def plan(self, key: str, told: str, plays: str) -> Plan:
        """The plan, its bindings in the order in which the controls were found."""
        self._use_spares()
        self._one_way_at_a_time()
        order = {word_of(each, self.setup): n for n, each in enumerate(self.setup.controls)}

        def place(word: str) -> int:
            return order.get(word, order.get(word.rpartition(".")[0], len(order)))

        layers = tuple(
            PlannedLayer(
                name,
                {word: bindings[word] for word in sorted(bindings, key=place)},
                self.told.get(name, ""),
                self.said.get(name, ""),
            )
            for name, bindings in self.layers.items()
        )
        if self._turns_round():
            plays = (
                f"{plays} What goes on by itself is ended by the same again, before it turns round."
            )
        return Plan(key, sentence(told), sentence(plays), layers, settings=self.settings)

    def _turns_round(self) -> bool:
        """Whether one way of a stick goes on by itself, and another one as well."""
        latched = {
            inner.word
            for bindings in self.layers.values()
            for doing in bindings.values()
            for inner in doing.inner()
            if isinstance(inner, Latched) and "." in inner.word
        }
        return len(latched) > 1

    def _one_way_at_a_time(self) -> None:
        """A stick that is kicked for deeds gives one direction at a time, and never two."""
        moved = {f"{verb.name}.{way}" for verb in stick_verbs(self.setup.game) for way in verb.ways}
        for control in self.setup.players_controls:
            word = word_of(control, self.setup)
            kicks = [
                doing
                for layer, bindings in self.layers.items()
                for name, doing in bindings.items()
                if name.rpartition(".")[0] == word
                and (layer != BASE or getattr(doing, "word", "") not in moved)
            ]
            if kicks and control.kind in {"stick", "pointer"} and "ways" not in control.settings:
                self.settings.setdefault(word, {"ways": "4"})

    def _use_spares(self) -> None:
        """What is left over calls for somebody; a stick that is left over moves as the first."""
        words = {word for bindings in self.layers.values() for word in bindings}
        words |= {
            doing.take
            for bindings in self.layers.values()
            for each in bindings.values()
            for doing in each.inner()
            if isinstance(doing, Listed) and doing.take is not None
        }
        used = words | {word.rpartition(".")[0] for word in words}
        verbs = stick_verbs(self.setup.game)
        for control in self.setup.players_controls:
            word = word_of(control, self.setup)
            if word in used:
                continue
            if control.kind in {"stick", "pointer"}:
                if verbs and can_hold(control):
                    self.bind(BASE, word, Stick(verbs[0].name))
                else:
                    self.bind(BASE, f"{word}.up", Call(SPARE))
            elif rests_in_the_middle(control):
                self.bind(BASE, f"{word}.{ends_of(control)[0]}", Call(SPARE))
            else:
                self.bind(BASE, word, Call(SPARE))


def sentence(text: str) -> str:
    """The text with a capital letter at its beginning."""
    return text[:1].upper() + text[1:]
