"""Run the trials beside layouts: what went in, and whether what came out is what was expected."""

from __future__ import annotations

import argparse
import shutil
from pathlib import Path

from remapd.cli.failure import CommandFailed
from remapd.cli.layout_file import fail_with, layout_of_file
from remapd.language.trials import load_trials, trials_path
from remapd.recording.timeline import WIDTH, draw
from remapd.recording.trials import run_trial

_WIDEST = 120


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the layouts."""
    parser.add_argument(
        "layouts",
        nargs="+",
        type=Path,
        metavar="LAYOUT",
        help="a layout file; its trials are in NAME.trials.yaml beside NAME.yaml",
    )


def run(args: argparse.Namespace) -> int:
    """Run the trials of each layout; exit code 1 where one failed or could not be read."""
    width = min(_WIDEST, max(WIDTH, shutil.get_terminal_size((WIDTH, 24)).columns))
    failed = 0
    passed = 0
    unreadable: list[CommandFailed] = []
    for path in args.layouts:
        try:
            failures, count = run_trials(path, width)
        except CommandFailed as failure:
            unreadable.append(failure)
            continue
        failed += failures
        passed += count - failures
    if passed or failed:
        print(f"{passed} passed, {failed} failed")
    if unreadable:
        raise CommandFailed("; ".join(map(str, unreadable)))
    return 1 if failed else 0


def run_trials(path: Path, width: int) -> tuple[int, int]:
    """The trials of one layout, each with a line, and a picture where it failed.

    Returns:
        How many failed, and how many there are.
    """
    layout = layout_of_file(path)
    beside = trials_path(path)
    if not beside.exists():
        raise CommandFailed(f"{path} has no trials: they would be in {beside}")
    loaded = load_trials(beside, layout)
    if loaded.errors:
        fail_with(loaded.errors, str(beside))
    failures = 0
    for trial in loaded.trials:
        result = run_trial(layout, trial)
        if result.passed:
            print(f"passed  {beside}:{trial.line}: {trial.name}")
        else:
            failures += 1
            print(f"FAILED  {beside}:{trial.line}: {trial.name}\n\n{draw(result, width)}\n")
    return failures, len(loaded.trials)
