"""What the check has to say of a layout, beside what is reached: faults of meaning, not of form."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from remapd.analysis.reach.model import Bound
from remapd.engine.layout import Layout

#: Where a thing stands, as the language calls places: ("binding", layer, control), ("need", word)…
Place = tuple[str, ...]


class Weight(Enum):
    """How much a finding weighs for the one who plays."""

    ERROR = "error"  #: something that the game needs is out of reach
    WARNING = "warning"  #: something does not do what it is there for
    NOTE = "note"  #: good to know


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found.

    Attributes:
        code: Stable, such as `need-out-of-reach`; docs/check.md has an entry for each.
        weight: How much it weighs.
        message: What it means for the player, in plain words.
        remedies: What to do about it, nearest first.
        places: Where it stands in the file: the first of these that the file has.
        source: The standard or study behind it, where there is one.
    """

    code: str
    weight: Weight
    message: str
    remedies: tuple[str, ...] = ()
    places: tuple[Place, ...] = ()
    source: str = ""


def places_of_binding(layout: Layout, layer: int, button: int) -> tuple[Place, ...]:
    """Where the line of a button in a layer may stand: its own, its control's or its device's."""
    entry = layout.buttons[button]
    control = layout.controls[entry.control]
    names = dict.fromkeys((entry.name, control.name, layout.devices[control.device].name))
    layer_name = layout.layers[layer].name
    return tuple(("binding", layer_name, name) for name in names)


def places_of(layout: Layout, bound: Bound) -> tuple[Place, ...]:
    """Where an action of a layer stands."""
    if len(bound.buttons) == 1:
        return places_of_binding(layout, bound.layer, bound.buttons[0])
    names = sorted(layout.buttons[button].name for button in bound.buttons)
    return (("chord", layout.layers[bound.layer].name, " + ".join(names)),)
