"""Which layers can stay on when no hand holds them: those that a player can lose their way in."""

from __future__ import annotations

from remapd.engine.actions import Action, Cycle, NextLayer, ToggleLayer, parts_of
from remapd.engine.layout import Layout


def layers_that_stay(layout: Layout) -> set[int]:
    """Layers that some control can leave on when it is let go; never the base."""
    stays: set[int] = set()
    for layer in layout.layers:
        actions: list[Action] = list(layer.bindings.values())
        actions += [chord.action for chord in layer.chords]
        for part in (part for action in actions for part in parts_of(action)):
            match part:
                case ToggleLayer() | NextLayer():
                    stays.add(part.layer)
                case Cycle():
                    stays.update(part.layers)
                case _:
                    pass
    return stays - {0}
