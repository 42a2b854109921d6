"""Findings about states that nobody sees, hears or feels."""

from __future__ import annotations

from collections.abc import Iterator

from remapd.analysis.findings.finding import Finding, Weight
from remapd.analysis.reach.model import bound_actions
from remapd.analysis.reach.proof import Proof
from remapd.engine.actions import Cycle, NextLayer, ToggleLayer, parts_of

STATES = "EN 301 549, 5.6 (locking or toggle controls)"


def check_cues(proof: Proof) -> Iterator[Finding]:
    """Every layer that stays on by itself and has no cue of its own."""
    stays: set[int] = set()
    waits: set[int] = set()
    for bound in bound_actions(proof.layout):
        for part in parts_of(bound.action):
            if isinstance(part, ToggleLayer):
                stays.add(part.layer)
            elif isinstance(part, Cycle):
                stays.update(part.layers)
            elif isinstance(part, NextLayer):
                waits.add(part.layer)
    for layer in sorted((stays | waits) - {0}):
        name = proof.layout.layers[layer].name
        if name in proof.layout.cues:
            continue
        how = "stays on until it is put off" if layer in stays else "stays on for the next press"
        yield Finding(
            "no-cue",
            Weight.WARNING if layer in stays else Weight.NOTE,
            f"`{name}` {how}, and nothing of its own tells the player so: the state of a toggle "
            "should be seen, and heard or felt",
            (f"give it a cue: `cues: {{{name}: {{say: …}}}}`",),
            (("layer", name),),
            STATES,
        )
