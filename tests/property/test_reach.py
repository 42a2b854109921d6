"""What the check says of reach is true of the engine: each way that it shows works, and nothing is
reached that it says is out of reach.

The check has a model of its own of what actions do to layers; here it is held against the engine.
"""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings

from remapd.analysis.check import check
from remapd.analysis.reach.goals import GOAL_COUNT, goal_name
from remapd.analysis.reach.model import Model
from remapd.analysis.reach.search import Search
from remapd.analysis.reach.situation import Situation
from remapd.analysis.reach.steps import Act
from remapd.engine.layout import Layout
from remapd.engine.pad_controls import HELPER, PLAYER, TARGET_COUNT
from remapd.language import load, render
from tests.support.idle_hands import IdleHands
from tests.support.layouts import HARBOUR, load_or_fail
from tests.support.small_layouts import SmallLayouts
from tests.support.strategies import layouts
from tests.support.way_play import TooSlowError, WayPlay

SHIPPED = sorted(
    path
    for path in (Path(__file__).parents[2] / "layouts").glob("*.yaml")
    if not path.name.endswith(".trials.yaml")
)
ALONE, TOGETHER = frozenset((PLAYER,)), frozenset((PLAYER, HELPER))
_MOST_MOVES = 4_000


def searches(layout: Layout, model: Model) -> list[Search]:
    people = frozenset(device.person for device in layout.devices)
    return [
        Search(model, group, at_once, most_moves=_MOST_MOVES, enough_moves=_MOST_MOVES)
        for group in (ALONE, frozenset((HELPER,)), TOGETHER)
        if group <= people
        for at_once in (1, 2)
    ]


def walk_every_way(layout: Layout) -> int:
    """Walks every way to every pad control; how many there are."""
    model = Model(layout)
    count = 0
    for search in searches(layout, model):
        for goal in range(GOAL_COUNT):
            for person in search.reached_by(goal):
                way = search.way(goal, person)
                assert way is not None
                count += 1
                assert WayPlay(layout, model.scans, way).walk(), (
                    f"{goal_name(goal)} is not reached by {way.steps}"
                )
    return count


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_every_way_in_a_shipped_layout_works(path: Path) -> None:
    loaded = load(path)
    if loaded.layout is None:
        pytest.fail("\n".join(map(render, loaded.diagnostics)))
    assert walk_every_way(loaded.layout) > 10


def test_every_way_in_the_language_pages_example_works() -> None:
    assert walk_every_way(load_or_fail(HARBOUR)) > 50


@pytest.mark.parametrize("first_seed", range(0, 24, 8))
def test_every_way_in_a_small_random_layout_works(first_seed: int) -> None:
    count = 0
    for seed in range(first_seed, first_seed + 8):
        count += walk_every_way(SmallLayouts(Random(seed)).make())
    assert count > 50


@pytest.mark.parametrize("first_seed", range(0, 64, 16))
def test_the_layers_of_every_situation_are_those_of_the_engine(first_seed: int) -> None:
    count = 0
    for seed in range(first_seed, first_seed + 16):
        layout = SmallLayouts(Random(seed), longest=False).make()
        model = Model(layout)
        search = Search(model, TOGETHER, 2, most_moves=_MOST_MOVES, enough_moves=_MOST_MOVES)
        for number in Random(seed).sample(range(len(search.nodes)), min(25, len(search.nodes))):
            situation = search.nodes[number].situation
            if ends_soon(situation):
                continue  # the play is a little slower than the search reckons
            way = search.way_to_node(number)
            if any(step.act is Act.WAIT for step in way.steps):
                continue
            try:
                layers = WayPlay(layout, model.scans, way).walk_into()
            except TooSlowError:
                continue
            assert model.order(layers) == situation.stack, f"seed {seed}: {way.steps}"
            count += 1
    assert count > 50


def ends_soon(situation: Situation) -> bool:
    """Whether something in it runs out within a second or two."""
    limits = [each.remaining_us for each in situation.nexts]
    limits += [each.remaining_us for each in situation.cycles]
    return any(0 < limit <= 1_500_000 for limit in limits) or bool(situation.scans)


@pytest.mark.parametrize("first_seed", range(0, 24, 8))
def test_idle_hands_find_nothing_that_is_out_of_reach(first_seed: int) -> None:
    for seed in range(first_seed, first_seed + 8):
        layout = SmallLayouts(Random(seed)).make()
        model = Model(layout)
        for people in (ALONE, TOGETHER):
            for at_once in (1, 2):
                search = Search(
                    model, people, at_once, most_moves=_MOST_MOVES, enough_moves=_MOST_MOVES
                )
                if not search.complete:
                    continue
                reached = {goal for goal in range(TARGET_COUNT) if search.reached_by(goal)}
                for play in range(2):
                    hands = IdleHands(layout, Random(f"{seed} {play}"), people, at_once)
                    found = {goal for goal in hands.play(8) if goal < TARGET_COUNT}
                    assert found <= reached, (
                        f"seed {seed}, play {play}, {sorted(people)}, {at_once} at once: "
                        f"{[goal_name(goal) for goal in found - reached]}"
                    )


@settings(max_examples=25)
@given(layouts())
def test_any_layout_can_be_checked(layout: Layout) -> None:
    report = check(layout)
    for goal in report.proof.goals_reached():
        for reached in report.proof.reached(goal):
            assert report.words.way(reached.way)
            assert reached.way.actions >= 1
