"""What a layout could reach at the very most: every layer that anything puts on, in any order.

Nothing outside this can be reached, however long one searches; what is inside may still be out of
reach, hidden by another layer.
"""

from __future__ import annotations

from dataclasses import dataclass

from remapd.analysis.reach.goals import direction_target, trigger_by_degrees
from remapd.analysis.reach.model import bound_actions
from remapd.engine.actions import (
    Action,
    Cycle,
    HoldLayer,
    Latch,
    Lead,
    NextLayer,
    Press,
    Pulse,
    Push,
    SendLever,
    SendStick,
    ToggleLayer,
    Turbo,
    parts_of,
)
from remapd.engine.layout import Layout, RuleKind
from remapd.engine.pad_controls import DPAD, HELPER, PLAYER, TARGET_COUNT, slot_of_target


@dataclass(frozen=True, slots=True)
class Possible:
    """Layers that could be on, and the goals of each person's controls in them."""

    layers: frozenset[int]
    #: (goal, person); merge rules aside.
    given: frozenset[tuple[int, int]]
    goals: frozenset[int]


def possible(layout: Layout) -> Possible:
    """The outer limit of what a layout reaches."""
    layers = {0}
    grown = True
    while grown:
        grown = False
        for bound in bound_actions(layout):
            if bound.layer in layers:
                new = layers_put_on(bound.action) - layers
                layers |= new
                grown |= bool(new)
    given = _given(layout, layers)
    led = any(
        isinstance(part, Lead) for bound in bound_actions(layout) for part in parts_of(bound.action)
    )
    goals = {goal for goal, person in given if led or _counts(layout, goal, person, given)}
    return Possible(frozenset(layers), frozenset(given), frozenset(goals))


def layers_put_on(action: Action) -> set[int]:
    """The layers that an action, or one inside it, puts on."""
    layers: set[int] = set()
    for part in parts_of(action):
        if isinstance(part, HoldLayer | ToggleLayer | NextLayer):
            layers.add(part.layer)
        elif isinstance(part, Cycle):
            layers.update(part.layers)
    return layers


def targets_of(action: Action) -> set[int]:
    """The pad controls that an action, or one inside it, presses or pushes."""
    targets: set[int] = set()
    for part in parts_of(action):
        if isinstance(part, Press | Turbo | Latch | Pulse):
            targets.update(part.targets)
        elif isinstance(part, Push):
            amounts = (-part.y, part.y, -part.x, part.x)
            targets.update(
                direction_target(part.stick, n) for n, amount in enumerate(amounts) if amount > 0
            )
    return targets


def slot_of_goal(goal: int) -> int:
    """The merging slot of a goal."""
    if goal < TARGET_COUNT:
        return slot_of_target(goal)
    whole = goal - TARGET_COUNT
    return slot_of_target(direction_target(whole, 0)) if whole < 2 else whole + 4


def _given(layout: Layout, layers: set[int]) -> set[tuple[int, int]]:
    people = [layout.devices[control.device].person for control in layout.controls]
    given: set[tuple[int, int]] = set()
    for bound in bound_actions(layout):
        if bound.layer in layers:
            person = people[layout.buttons[bound.buttons[0]].control]
            given.update((target, person) for target in targets_of(bound.action))
    for layer in layers:
        for control, whole in layout.layers[layer].wholes.items():
            if isinstance(whole, SendStick):
                goals = {direction_target(whole.stick, direction) for direction in range(4)}
                if whole.stick != DPAD:
                    goals.add(TARGET_COUNT + whole.stick)
            elif isinstance(whole, SendLever):
                goals = {whole.trigger, trigger_by_degrees(whole.trigger)}
            else:
                continue
            given.update((goal, people[control]) for goal in goals)
    return given


def _counts(layout: Layout, goal: int, person: int, given: set[tuple[int, int]]) -> bool:
    kind = layout.rules[slot_of_goal(goal)].kind
    if kind is RuleKind.BOTH:
        return (goal, 1 - person) in given
    if kind is RuleKind.PLAYER_ONLY:
        return person == PLAYER
    return kind is not RuleKind.HELPER_ONLY or person == HELPER
