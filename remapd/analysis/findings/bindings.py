"""Findings about lines that never count, idle controls, and presses that undo themselves."""

from __future__ import annotations

from collections.abc import Iterator

from remapd.analysis.findings.finding import Finding, Weight, places_of, places_of_binding
from remapd.analysis.reach.goals import opposite
from remapd.analysis.reach.hands import can_press_together
from remapd.analysis.reach.model import bound_actions
from remapd.analysis.reach.proof import Proof
from remapd.analysis.reach.words import Words
from remapd.engine.actions import Latch, Nothing, Press, Pulse, Scan, Turbo, parts_of


def check_bindings(proof: Proof, words: Words) -> Iterator[Finding]:
    """Controls without a use, lines that are always hidden, chords that cannot be pressed."""
    yield from _unused(proof)
    yield from _opposites(proof, words)
    yield from _impossible_chords(proof, words)
    if proof.everyone.complete:
        yield from _hidden(proof, words)


def _unused(proof: Proof) -> Iterator[Finding]:
    layout = proof.layout
    used: set[int] = set()
    for bound in bound_actions(layout):
        if not isinstance(bound.action, Nothing):
            used.update(layout.buttons[button].control for button in bound.buttons)
        for part in parts_of(bound.action):
            if isinstance(part, Scan) and part.pick is not None:
                used.add(layout.buttons[part.pick].control)
    for layer in layout.layers:
        used.update(n for n, whole in layer.wholes.items() if not isinstance(whole, Nothing))
    for number, control in enumerate(layout.controls):
        # Of a whole gamepad nobody expects that every part is used.
        if number not in used and not layout.devices[control.device].gamepad:
            yield Finding(
                "control-unused",
                Weight.NOTE,
                f"`{control.name}` does nothing in any layer",
                ("bind it, or take it out so that it may be leaned on",),
                (("control", control.name), ("device", layout.devices[control.device].name)),
            )


def _opposites(proof: Proof, words: Words) -> Iterator[Finding]:
    for bound in bound_actions(proof.layout):
        for part in parts_of(bound.action):
            if not isinstance(part, Press | Turbo | Latch | Pulse):
                continue
            undone = [target for target in part.targets if opposite(target) in part.targets]
            if undone:
                yield Finding(
                    "opposites-together",
                    Weight.WARNING,
                    f"{' and '.join(words.goal(target) for target in undone)} are pressed "
                    "together, which gives neither",
                    ("take one of them out",),
                    places_of(proof.layout, bound),
                )


def _impossible_chords(proof: Proof, words: Words) -> Iterator[Finding]:
    for bound in bound_actions(proof.layout):
        if len(bound.buttons) == 2 and not can_press_together(proof.layout, *bound.buttons):
            yield Finding(
                "chord-impossible",
                Weight.WARNING,
                f"{words.controls(bound.buttons)} cannot be pressed together: they are two ways of "
                "one control",
                ("choose two controls, or two directions that make a diagonal with `ways: 8`",),
                places_of(proof.layout, bound),
            )


def _hidden(proof: Proof, words: Words) -> Iterator[Finding]:
    layout = proof.layout
    everyone = proof.everyone
    for index, layer in enumerate(layout.layers):
        if index and index not in everyone.entered:
            continue
        for button in layer.bindings:
            if (index, button) not in everyone.seen_bindings:
                yield _never_counts(
                    words.part(button), layer.name, places_of_binding(layout, index, button)
                )
        for control, whole in layer.wholes.items():
            if (control, id(whole)) not in everyone.seen_wholes:
                name = layout.controls[control].name
                device = layout.devices[layout.controls[control].device].name
                places = (("binding", layer.name, name), ("binding", layer.name, device))
                yield _never_counts(name, layer.name, places)
        for chord in layer.chords:
            if id(chord) not in everyone.seen_chords:
                buttons = (chord.first, chord.second)
                names = sorted(layout.buttons[button].name for button in buttons)
                place = ("chord", layer.name, " + ".join(names))
                yield _never_counts(" + ".join(names), layer.name, (place,))


def _never_counts(what: str, layer: str, places: tuple[tuple[str, ...], ...]) -> Finding:
    return Finding(
        "line-never-counts",
        Weight.WARNING,
        f"`{what}` in `{layer}` never counts: whenever `{layer}` is on, a layer above it gives "
        "that control something else",
        ("take one of the two lines out, or put the layers on in another way",),
        places,
    )
