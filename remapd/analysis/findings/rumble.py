"""Findings about what the player feels: a shake that nobody expects can set off a spasm."""

from __future__ import annotations

from collections.abc import Iterator

from remapd.analysis.findings.finding import Finding, Weight
from remapd.analysis.reach.proof import Proof
from remapd.engine.pad_controls import PLAYER


def check_rumble(proof: Proof) -> Iterator[Finding]:
    """Every device of the player's that shakes by the game's or a cue's will."""
    layout = proof.layout
    for device in layout.devices:
        whose = []
        if device.rumble > 0:
            whose.append("the game's rumble")
        if device.name in layout.cue_devices:
            whose.append("a cue")
        if whose and device.person == PLAYER:
            yield Finding(
                "felt-by-the-player",
                Weight.NOTE,
                f"{' and '.join(whose)} is felt on the player's `{device.name}`: a sudden shake "
                "can set off a startle or a spasm, and wears on skin that rests on it",
                (
                    "keep it where the hands hold the device and can let go; leave it out where "
                    "the device is strapped on, or the body leans on it",
                    "begin with little, such as `rumble: 20%`, and try it with the player first",
                ),
                (("device", device.name),),
                "common practice, no source",
            )
