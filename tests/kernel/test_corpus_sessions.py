"""Sessions of the corpus played anew: the replay of what is recorded is what a game has seen.

This is the promise that everything else of recordings rests on: the daemon on a real clock, late as
it may be, with real devices, and the engine on virtual time make the same of the same input.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.corpus.make_recordings import replay
from tests.corpus.scenarios import SCENARIOS, Scenario
from tests.corpus.stage import Stage


@pytest.mark.parametrize("scenario", SCENARIOS, ids=lambda scenario: scenario.name)
def test_the_replay_is_what_the_game_saw(scenario: Scenario, tmp_path: Path) -> None:
    with Stage(tmp_path, scenario.name, scenario.layout, scenario.devices) as stage:
        scenario.play(stage)
    assert stage.seen
    assert replay(stage.recording) == stage.seen
