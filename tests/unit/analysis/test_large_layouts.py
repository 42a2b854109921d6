"""Layouts with fifty layers: checked in bounded work, and what was not looked at is said."""

from __future__ import annotations

import string

from remapd.analysis.reach.search import MOST_MOVES
from remapd.engine.pad_controls import TARGET_NAMES
from tests.support.checked import Weight, checked, found, one, way

_KEYS = [*string.ascii_uppercase, *string.digits]
_KEYS += [f"F{n}" for n in range(1, 13)] + [f"KP{n}" for n in range(10)]
CONTROLS = "".join(f"      c{n}: {{button: KEY_{key}}}\n" for n, key in enumerate(_KEYS))
TARGETS = TARGET_NAMES[:6] + TARGET_NAMES[8:11]


def fifty(how: str, more: str = "") -> str:
    """A control of its own for each of fifty layers, each of which gives one pad control."""
    base = ", ".join(f"c{n}: {{layer: l{n}, how: {how}}}" for n in range(50))
    layers = "".join(f"  l{n}: {{c{50 + n % 3}: {TARGETS[n % 9]}}}\n" for n in range(50))
    return f"  base: {{{base}{more}}}\n{layers}"


def test_fifty_toggled_layers() -> None:
    needs = f"needs: [{', '.join(TARGETS)}]\n"
    report = checked(fifty("toggle"), controls=CONTROLS, before=needs)
    assert report.can_play
    assert not report.proof.complete
    assert one(report, "search-bounded").weight is Weight.NOTE
    assert way(report, 0) == "press c0, then press c50"
    assert not found(report, "layer-never-on")


def test_fifty_held_or_cycled_layers_are_looked_at_whole() -> None:
    held = checked(fifty("hold"), controls=CONTROLS)
    assert held.proof.complete
    row = ", ".join(f"l{n}" for n in range(50))
    layers = "".join(f"  l{n}: {{c1: {TARGETS[n % 9]}}}\n" for n in range(50))
    cycled = checked(f"  base: {{c0: {{cycle: [base, {row}]}}}}\n{layers}", controls=CONTROLS)
    assert cycled.proof.complete
    assert way(cycled, 1) == "press c0 2 times, then press c1"


def test_a_way_that_was_not_found_is_not_said_to_be_impossible() -> None:
    """`dpad.up` stands in a layer that another one always hides: with so many, nobody can tell."""
    hidden = "  net: {c54: dpad.up}\n  chart: {c54: nothing}\n"
    switch = ", c53: {steps: [{layer: net, how: toggle}, {layer: chart, how: toggle}]}"
    report = checked(
        fifty("toggle", switch) + hidden, controls=CONTROLS, before="needs: [dpad.up]\n"
    )
    assert one(report, "need-not-proven").weight is Weight.ERROR
    assert not report.can_play
    assert len(report.proof.everyone.nodes) <= MOST_MOVES


def test_what_no_layer_holds_is_out_of_reach_however_many_layers_there_are() -> None:
    report = checked(fifty("toggle"), controls=CONTROLS, before="needs: [dpad.up]\n")
    assert found(report, "need-out-of-reach")
