"""The check of a layout: what it reaches, and what is to be said about it."""

from __future__ import annotations

from dataclasses import dataclass

from remapd.analysis.findings.bindings import check_bindings
from remapd.analysis.findings.cues import check_cues
from remapd.analysis.findings.devices import check_devices
from remapd.analysis.findings.finding import Finding, Weight
from remapd.analysis.findings.lasting import check_lasting
from remapd.analysis.findings.layers import check_layers
from remapd.analysis.findings.merge import check_merge
from remapd.analysis.findings.needs import check_needs
from remapd.analysis.findings.rumble import check_rumble
from remapd.analysis.findings.timing import check_timing
from remapd.analysis.findings.turbo import check_turbo
from remapd.analysis.reach.proof import Proof
from remapd.analysis.reach.words import Words
from remapd.engine.layout import Layout

_ORDER = {Weight.ERROR: 0, Weight.WARNING: 1, Weight.NOTE: 2}


@dataclass(frozen=True, slots=True)
class Report:
    """A layout checked: `findings` have the heaviest first, each kind in the order of the file."""

    proof: Proof
    words: Words
    findings: tuple[Finding, ...]

    @property
    def can_play(self) -> bool:
        """Whether nothing that the game needs is out of reach."""
        return not any(each.weight is Weight.ERROR for each in self.findings)


def check(layout: Layout) -> Report:
    """Checks a layout. Takes a second or two at the most, however many layers it has."""
    proof = Proof(layout)
    words = Words(proof.model)
    if not proof.people:
        return Report(proof, words, tuple(check_needs(proof, words)))
    findings = [
        *check_needs(proof, words),
        *check_layers(proof, words),
        *check_lasting(proof),
        *check_timing(proof, words),
        *check_bindings(proof, words),
        *check_merge(proof, words),
        *check_turbo(proof),
        *check_devices(proof),
        *check_cues(proof),
        *check_rumble(proof),
    ]
    if not proof.complete:
        findings.append(
            Finding(
                "search-bounded",
                Weight.NOTE,
                "this layout has more situations than were looked at: every way shown is right, "
                "but a shorter one may exist, and a trap may have been missed",
                ("fewer layers that stay on independently of each other make it provable",),
            )
        )
    findings.sort(key=lambda each: _ORDER[each.weight])
    return Report(proof, words, tuple(findings))
