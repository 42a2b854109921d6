"""What stays on when another layout takes the place of one: it is carried over by name."""

from __future__ import annotations

from remapd.engine.actions import Cycle, Lead, parts_of
from remapd.engine.layout import Layout
from remapd.engine.notices import NoticeKind
from remapd.engine.performer import Performer


class Staying:
    """Toggled layers, tunings and leads, cycles, and `next` layers that stay on.

    Made of the old layout's performer when all that hands held has ended.
    """

    __slots__ = ("_active", "_cycles", "_layers", "_leads", "_locked", "_tunings")

    def __init__(self, old: Performer) -> None:
        layers = [layer.name for layer in old.layout.layers]
        self._active = [layers[index] for index in old.stack.active[1:]]
        self._layers = {layers[index] for index in old.toggled_layers}
        self._locked = [(layers[layer], person) for layer, person in old.next_layers.locked]
        self._cycles = [
            (tuple(layers[index] for index in state.layers), state.position)
            for state in old.cycles.states.values()
            if state.position != state.start
        ]
        self._tunings = [
            old.layout.tunings[index].name for index in old.tunings if index in old.toggled_tunings
        ]
        self._leads = list(old.toggled_leads.values())

    def restore(self, new: Performer, us: int) -> None:
        """Puts on what still exists in the new layout, in the order of the old stack."""
        index_of = {layer.name: index for index, layer in enumerate(new.layout.layers)}
        cycles = _cycles_of(new.layout)
        for name in self._active:
            index = index_of.get(name)
            if not index:
                continue
            if name in self._layers:
                new.toggled_layers.add(index)
                new.stack.add(index, us)
            for locked, person in self._locked:
                if locked == name:
                    new.next_layers.lock(index, person, us)
            for names, position in self._cycles:
                layers = tuple(index_of.get(n, -1) for n in names)
                if layers in cycles and position >= 0 and names[position] == name:
                    new.cycles.of(layers).stay(position, cycles[layers], us)
        still_on = {new.layout.layers[index].name for index in new.stack.active}
        for name in self._active:
            if name not in still_on:
                new.notice(us, NoticeKind.LAYER_OFF, name)
        tunings = {tuning.name: index for index, tuning in enumerate(new.layout.tunings)}
        for name in self._tunings:
            if name in tunings:
                new.toggled_tunings.add(tunings[name])
                new.tunings.append(tunings[name])
        for lead in self._leads:
            if any(isinstance(a, Lead) and _same(a, lead) for a in _actions_of(new.layout)):
                new.toggled_leads[lead.person, lead.slots] = lead
                new.add_lead(lead, us)


def _same(one: Lead, other: Lead) -> bool:
    return one.toggle and (one.person, one.slots) == (other.person, other.slots)


def _actions_of(layout: Layout) -> list[object]:
    actions: list[object] = []
    for layer in layout.layers:
        for action in (*layer.bindings.values(), *(chord.action for chord in layer.chords)):
            actions.extend(parts_of(action))
    return actions


def _cycles_of(layout: Layout) -> dict[tuple[int, ...], int]:
    """The lists of layers that take turns, and after how long (µs, 0: never) each goes back."""
    return {
        action.layers: action.back_after_us
        for action in _actions_of(layout)
        if isinstance(action, Cycle)
    }
