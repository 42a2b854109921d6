"""The stack of active layers, and what each control does in it.

A layer is active while anything has it on, and keeps its place meanwhile. What the controls do in a
stack is worked out once for each stack that comes up and then remembered, so that a layer change
costs one look-up and an event none.
"""

from __future__ import annotations

from collections.abc import Callable

from remapd.engine.actions import Action, Whole
from remapd.engine.layout import Chord, Layer, Layout

#: Stacks remembered at most: layers can be stacked in more orders than there is memory.
MOST_TABLES = 256


class Table:
    """What every button and every whole stick or lever does in one stack of layers."""

    __slots__ = ("actions", "chords", "layer_of", "wholes")

    def __init__(self, button_count: int, control_count: int) -> None:
        #: By button number; None where no layer says anything.
        self.actions: list[Action | None] = [None] * button_count
        #: By button number: the index of the layer in which the action was found.
        self.layer_of: list[int] = [0] * button_count
        #: By control number.
        self.wholes: list[Whole | None] = [None] * control_count
        #: By button number: the chords that it is a member of, the topmost first.
        self.chords: dict[int, list[Chord]] = {}


def _parts_by_control(layout: Layout) -> list[list[int]]:
    parts: list[list[int]] = [[] for _ in layout.controls]
    for number, button in enumerate(layout.buttons):
        if button.part is not None:
            parts[button.control].append(number)
    return parts


class Stack:
    """Which layers are active, base first."""

    __slots__ = ("_causes", "_changed", "_layout", "_parts", "_tables", "active", "table")

    def __init__(self, layout: Layout, changed: Callable[[int, bool, int], None]) -> None:
        """`changed(layer, active, us)` is called when a layer becomes active or inactive."""
        self._layout = layout
        self._changed = changed
        self._parts = _parts_by_control(layout)
        self._causes = [0] * len(layout.layers)
        self._tables: dict[tuple[int, ...], Table] = {}
        self.active: list[int] = [0]
        self.table = self._find_table()

    def add(self, layer: int, us: int) -> None:
        """One more cause has the layer on."""
        self._causes[layer] += 1
        if self._causes[layer] == 1 and layer:
            self.active.append(layer)
            self.table = self._find_table()
            self._changed(layer, True, us)

    def remove(self, layer: int, us: int) -> None:
        """One cause fewer has the layer on."""
        self._causes[layer] -= 1
        if self._causes[layer] == 0 and layer:
            self.active.remove(layer)
            self.table = self._find_table()
            self._changed(layer, False, us)

    def _find_table(self) -> Table:
        key = tuple(self.active)
        table = self._tables.get(key)
        if table is None:
            if len(self._tables) >= MOST_TABLES:
                self._tables.clear()
            table = self._tables[key] = self._build(key)
        return table

    def _build(self, active: tuple[int, ...]) -> Table:
        layout = self._layout
        table = Table(len(layout.buttons), len(layout.controls))
        for index in active:
            layer = layout.layers[index]
            for control, whole in layer.wholes.items():
                table.wholes[control] = whole
                for number in self._parts[control]:
                    table.actions[number] = None
            for number, action in layer.bindings.items():
                table.actions[number] = action
                table.layer_of[number] = index
                button = layout.buttons[number]
                if button.part is not None:
                    table.wholes[button.control] = None
        above: list[Layer] = []
        for index in reversed(active):
            layer = layout.layers[index]
            for chord in layer.chords:
                if not any(self._names(a, m) for a in above for m in (chord.first, chord.second)):
                    table.chords.setdefault(chord.first, []).append(chord)
                    table.chords.setdefault(chord.second, []).append(chord)
            above.append(layer)
        return table

    def _names(self, layer: Layer, number: int) -> bool:
        return number in layer.bindings or self._layout.buttons[number].control in layer.wholes
