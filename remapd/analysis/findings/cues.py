"""Findings about states that nobody sees, hears or feels."""

from __future__ import annotations

from collections.abc import Iterator

from remapd.analysis.findings.finding import Finding, Weight
from remapd.analysis.reach.model import bound_actions
from remapd.analysis.reach.proof import Proof
from remapd.engine.actions import Cycle, NextLayer, ToggleLayer, parts_of

STATES = "EN 301 549, 5.6 (locking or toggle controls)"


def check_cues(proof: Proof) -> Iterator[Finding]:
    """Every layer that stays on by itself, whose cue is silenced or is the default's alone."""
    layout = proof.layout
    cues = layout.cues
    stays = _that_stay(proof)
    by_default: list[int] = []
    for layer in sorted(stays):
        name = layout.layers[layer].name
        if name in cues:
            silenced = cues[name] is None
        else:
            silenced = cues.get("layer-on", ...) is None
            if not silenced and stays[layer]:
                by_default.append(layer)
        if silenced:
            yield Finding(
                "no-cue",
                Weight.WARNING,
                f"`{name}` stays on by itself, and its cue is silenced: the state of a toggle "
                "should be seen, and heard or felt",
                (f"give it a soft one: `cues: {{{name}: {{tone: low}}}}`",),
                (("layer", name),),
                STATES,
            )
    if by_default:
        names = [layout.layers[layer].name for layer in by_default]
        yield Finding(
            "default-cue",
            Weight.NOTE,
            f"only the default cue tells of {', '.join(f'`{name}`' for name in names)}: the name "
            "is spoken when the layer comes on, while `remapd cues` runs",
            ("start `remapd cues` with the session, or put what is on in the player's sight",),
            (("layer", names[0]),),
            STATES,
        )


def _that_stay(proof: Proof) -> dict[int, bool]:
    """Layers that stay on by themselves: for good (True), or until the next press."""
    stays: dict[int, bool] = {}
    for bound in bound_actions(proof.layout):
        for part in parts_of(bound.action):
            if isinstance(part, ToggleLayer):
                stays[part.layer] = True
            elif isinstance(part, Cycle):
                stays.update(dict.fromkeys(part.layers, True))
            elif isinstance(part, NextLayer):
                stays.setdefault(part.layer, False)
    stays.pop(0, None)
    return stays
