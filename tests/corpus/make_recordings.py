"""Plays the corpus's sessions on a real kernel and records them, each into NAME.jsonl.

    python tests/vm/run.py --timeout 900 --results FOLDER -- python -m tests.corpus.make_recordings

Names of sessions after that limit it to these. What the replay of each recording gives is compared
with what a game read from the pad meanwhile: the two must be the same, or the recording is no good.
"""

from __future__ import annotations

import os
import sys
import tempfile
from itertools import zip_longest
from pathlib import Path

from remapd.cli.layout_file import layout_of_text
from remapd.kernel.frames import Event
from remapd.recording.player import Player
from remapd.recording.reader import open_recording
from tests.corpus.scenarios import SCENARIOS, Scenario
from tests.corpus.stage import Stage


def main() -> int:
    """Plays those that are named, or all."""
    names = sys.argv[1:] or [scenario.name for scenario in SCENARIOS]
    failed = 0
    target = Path(os.environ.get("REMAPD_VM_RESULTS", "."))
    for scenario in SCENARIOS:
        if scenario.name in names:
            with tempfile.TemporaryDirectory(prefix="corpus-") as folder:
                recording, agrees = record(scenario, Path(folder))
                kept = target / (recording.name if agrees else f"{scenario.name}.wrong.jsonl")
                # the temporary folder's name means nothing to anybody
                kept.write_text(recording.read_text().replace(f"{folder}/", ""))
            print(f"{kept.name}: {kept.stat().st_size} bytes", flush=True)
            failed += not agrees
    return 1 if failed else 0


def record(scenario: Scenario, folder: Path) -> tuple[Path, bool]:
    """Plays one session; its recording, and whether its replay is what the game saw."""
    layout_folder = folder / "harbour"
    layout_folder.mkdir()
    stage = Stage(layout_folder, scenario.name, scenario.layout, scenario.devices)
    with stage:
        scenario.play(stage)
    replayed = replay(stage.recording)
    assert replayed, "nothing came out"
    if stage.seen != replayed:
        pairs = zip_longest(stage.seen, replayed)
        number, (seen, wanted) = next(
            (number, pair) for number, pair in enumerate(pairs) if pair[0] != pair[1]
        )
        print(f"{scenario.name}: frame {number} was {seen} for the game, replayed {wanted}")
    return stage.recording, stage.seen == replayed


def replay(recording: Path) -> list[list[Event]]:
    """The frames that the recording gives with the layouts that it holds."""
    with open_recording(recording) as reader:
        player = Player(reader, load_layout=layout_of_text)
        return [
            list(zip(frame.events[0:-3:3], frame.events[1:-3:3], frame.events[2:-3:3], strict=True))
            for frame in player
        ]


if __name__ == "__main__":
    sys.exit(main())
