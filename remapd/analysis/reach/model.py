"""What a search needs to know of a layout again and again, worked out once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from remapd.analysis.reach.gestures import Gestures
from remapd.analysis.reach.hands import can_press, handling_of
from remapd.engine.actions import Action, Scan, parts_of
from remapd.engine.layout import Layout
from remapd.engine.pad_controls import slot_of_target
from remapd.engine.stack import Stack, Table


@dataclass(frozen=True, slots=True)
class Bound:
    """An action that stands in a layer, and by which buttons it is pressed (a chord has two)."""

    layer: int
    buttons: tuple[int, ...]
    action: Action


def bound_actions(layout: Layout) -> Iterator[Bound]:
    """Every action of every layer, chords after single controls, in the order of the file."""
    for index, layer in enumerate(layout.layers):
        for button, action in layer.bindings.items():
            yield Bound(index, (button,), action)
        for chord in layer.chords:
            yield Bound(index, (chord.first, chord.second), chord.action)


class Model:
    """A layout with its gestures, hands, people and stacks of layers at hand."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.gestures = Gestures(layout.tap_us)
        self.person_of = [
            layout.devices[layout.controls[button.control].device].person
            for button in layout.buttons
        ]
        self.handling = [handling_of(layout, number) for number in range(len(layout.buttons))]
        self.can_press = [can_press(layout, number) for number in range(len(layout.buttons))]
        self.people = frozenset(device.person for device in layout.devices if device.controls)
        self.slots = [slot_of_target(target) for target in range(25)]
        self.scans: list[Scan] = []
        self._scan_numbers: dict[int, int] = {}
        for bound in bound_actions(layout):
            for action in parts_of(bound.action):
                if isinstance(action, Scan):
                    self._scan_numbers[id(action)] = len(self.scans)
                    self.scans.append(action)
        self._stack = Stack(layout, lambda _layer, _active, _us: None)
        self._tables: dict[tuple[int, ...], Table] = {}
        self._orders: dict[tuple[int, ...], tuple[int, ...]] = {}
        named = [_controls_named(layout, index) for index in range(len(layout.layers))]
        self._meets = [[bool(one & other) for other in named] for one in named]

    def scan_number(self, scan: Scan) -> int:
        """The number of one of the layout's scans, in `scans`."""
        return self._scan_numbers[id(scan)]

    def table(self, stack: tuple[int, ...]) -> Table:
        """What every control does under this stack of layers (above the base, oldest first)."""
        table = self._tables.get(stack)
        if table is None:
            for layer in stack:
                self._stack.add(layer, 0)
            table = self._tables[stack] = self._stack.table
            for layer in stack:
                self._stack.remove(layer, 0)
        return table

    def order(self, stack: tuple[int, ...]) -> tuple[int, ...]:
        """The stack in a fixed order among all that mean the same.

        Two layers that name no control in common may stand either way round: what they and all
        others do is the same. So of all such orders the one with the lowest numbers first is taken.
        """
        known = self._orders.get(stack)
        if known is not None:
            return known
        left = list(stack)
        ordered: list[int] = []
        while left:
            best = min(
                (n for n, layer in enumerate(left) if not self._met_below(left, n, layer)),
                key=lambda n: left[n],
            )
            ordered.append(left.pop(best))
        self._orders[stack] = tuple(ordered)
        return self._orders[stack]

    def _met_below(self, stack: list[int], place: int, layer: int) -> bool:
        meets = self._meets[layer]
        return any(meets[stack[n]] for n in range(place))


def _controls_named(layout: Layout, index: int) -> set[int]:
    layer = layout.layers[index]
    buttons = set(layer.bindings)
    for chord in layer.chords:
        buttons |= {chord.first, chord.second}
    return {layout.buttons[number].control for number in buttons} | set(layer.wholes)
