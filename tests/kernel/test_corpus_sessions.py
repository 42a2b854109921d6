"""Sessions of the corpus played anew: the replay of what is recorded is what a game has seen.

This is the promise that everything else of recordings rests on: the daemon on a real clock, late as
it may be, with real devices, and the engine on virtual time make the same of the same input. Here
are the sessions with the most in the way of it: a filter that ticks while a stick shakes, a plug
that comes out, lost events, two people. Each takes a daemon of its own, so there are no more of
them; `tests.corpus.make_recordings` asks the same of all.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.corpus.make_recordings import replay
from tests.corpus.scenarios import SCENARIOS, Scenario
from tests.corpus.stage import Stage

HARDEST = ("tremor", "unplugged", "lost-events", "two-people")


@pytest.mark.parametrize(
    "scenario",
    [scenario for scenario in SCENARIOS if scenario.name in HARDEST],
    ids=lambda scenario: scenario.name,
)
def test_the_replay_is_what_the_game_saw(scenario: Scenario, tmp_path: Path) -> None:
    with Stage(tmp_path, scenario.name, scenario.layout, scenario.devices) as stage:
        scenario.play(stage)
    assert stage.seen
    assert replay(stage.recording) == stage.seen
