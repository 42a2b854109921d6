"""Findings about layers: those that are never on, and those that cannot be left."""

from __future__ import annotations

from collections.abc import Iterator

from remapd.analysis.findings.finding import Finding, Weight, places_of
from remapd.analysis.reach.model import Bound, bound_actions
from remapd.analysis.reach.possible import layers_put_on
from remapd.analysis.reach.proof import Proof, Who
from remapd.analysis.reach.search import Search
from remapd.analysis.reach.words import Words
from remapd.engine.actions import Cycle, NextLayer, ToggleLayer, parts_of
from remapd.engine.pad_controls import HELPER


def check_layers(proof: Proof, words: Words) -> Iterator[Finding]:
    """Every layer but the base: whether it can be put on, and whether it can be left."""
    for layer in range(1, len(proof.layout.layers)):
        if layer in proof.everyone.entered:
            yield from _leaving(proof, words, layer)
        elif layer not in proof.possible.layers or proof.everyone.complete:
            yield _never_on(proof, layer)


def _never_on(proof: Proof, layer: int) -> Finding:
    layout = proof.layout
    name = layout.layers[layer].name
    switches = [b for b in bound_actions(layout) if layer in layers_put_on(b.action)]
    if not switches:
        why = "nothing puts it on"
        remedy = f"bind `{{layer: {name}, how: next}}` or the like in a layer that is on"
    elif all(bound.layer not in proof.everyone.entered and bound.layer for bound in switches):
        other = layout.layers[switches[0].layer].name
        why = f"it is put on only from `{other}`, which is never on itself"
        remedy = f"put `{name}` on from the base layer, or see that `{other}` can be on"
    else:
        why = "what puts it on is always hidden, or can never be pressed so"
        remedy = "bind it in the base layer, where nothing is in its way at the start"
    return Finding(
        "layer-never-on",
        Weight.WARNING,
        f"the layer `{name}` is never on: {why}",
        (remedy, "or take the layer out of the file"),
        (("layer", name),),
    )


def _leaving(proof: Proof, words: Words, layer: int) -> Iterator[Finding]:
    name = proof.layout.layers[layer].name
    stuck = _stuck_in(proof.everyone, layer)
    if stuck is not None:
        yield _cannot_be_left(proof, words, layer, stuck)
        return
    for at_once, price in ((2, "the player alone"), (1, "one control at a time")):
        search = proof.search(Who.PLAYER, at_once)
        if search is None or layer not in search.entered:
            continue
        stuck = _stuck_in(search, layer)
        if stuck is not None:
            helped = at_once == 2 and HELPER in proof.people
            yield Finding(
                "layer-hard-to-leave",
                Weight.WARNING,
                f"`{name}` can be put on with {price}, but not left so: "
                f"{words.way(search.way_to_node(stuck))}"
                + (", and then only the helper can put it off" if helped else ""),
                (f"give `{name}` a control of the player's that puts it off again",),
                (("layer", name),),
                "" if at_once == 2 else "EN 301 549, 5.9 (simultaneous user actions)",
            )
            return


def _stuck_in(search: Search, layer: int) -> int | None:
    """The nearest situation with the layer on from which no way leads out of the layer."""
    outside = [n for n, node in enumerate(search.nodes) if layer not in node.situation.stack]
    stuck = search.cannot_reach(outside)
    return min(stuck, key=lambda n: search.nodes[n].cost, default=None)


def _cannot_be_left(proof: Proof, words: Words, layer: int, stuck: int) -> Finding:
    layout = proof.layout
    name = layout.layers[layer].name
    way = words.way(proof.everyone.way_to_node(stuck))
    rebound = _rebound_exit(proof, layer)
    if rebound is None:
        why = "nothing puts it off again"
        places: tuple[tuple[str, ...], ...] = (("layer", name),)
    else:
        control = words.controls(rebound.buttons)
        why = f"{control} would put it off, but there {control} does something else"
        places = (*places_of(layout, Bound(layer, rebound.buttons, rebound.action)),)
        places += (("layer", name),)
    return Finding(
        "layer-stays-on",
        Weight.WARNING,
        f"`{name}` cannot be left: {why} (it is put on so: {way})",
        (
            f"in `{name}`, give a control `{{layer: {name}, how: toggle}}` or "
            "`{release: everything}`",
            "or put it on with `how: next`, so that it goes off by itself after one press",
        ),
        places,
    )


def _rebound_exit(proof: Proof, layer: int) -> Bound | None:
    """What would put the layer off, were its control not bound anew in the layer itself."""
    layout = proof.layout
    own = layout.layers[layer]
    for bound in bound_actions(layout):
        if bound.layer == layer:
            continue
        ends = any(
            (isinstance(part, ToggleLayer | NextLayer) and part.layer == layer)
            or (isinstance(part, Cycle) and layer in part.layers)
            for part in parts_of(bound.action)
        )
        if ends and any(
            button in own.bindings or layout.buttons[button].control in own.wholes
            for button in bound.buttons
        ):
            return bound
    return None
