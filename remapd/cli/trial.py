"""Run the trials beside layouts, or draft one from a recording."""

from __future__ import annotations

import argparse
import shutil
from pathlib import Path

from remapd.cli.duration import duration_us
from remapd.cli.failure import CommandFailed
from remapd.cli.layout_file import fail_with, layout_of_file, layouts_named
from remapd.language.trials import load_trials, trials_path
from remapd.recording.timeline import WIDTH, draw
from remapd.recording.trials import run_trial

_WIDEST = 120


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the layouts, or the recording that a trial is drafted from."""
    parser.add_argument(
        "layouts",
        nargs="*",
        type=Path,
        metavar="LAYOUT",
        help="a layout file; its trials are in NAME.trials.yaml beside NAME.yaml",
    )
    draft = parser.add_argument_group("to draft a trial instead")
    draft.add_argument(
        "--from",
        dest="recording",
        type=Path,
        metavar="RECORDING",
        help="draft a trial of what was done in this recording, and what comes of it now",
    )
    draft.add_argument(
        "--layout",
        type=Path,
        metavar="LAYOUT",
        help="the layout that it is for; without one the recording's own",
    )
    draft.add_argument(
        "--between",
        nargs=2,
        type=duration_us,
        metavar=("FROM", "UNTIL"),
        help="only this part of the recording, such as 10s 20s",
    )
    draft.add_argument(
        "-o",
        "--output",
        type=Path,
        metavar="FILE",
        help="write it into this new file instead of printing it",
    )
    parser.set_defaults(wrong_usage=parser.error)


def run(args: argparse.Namespace) -> int:
    """Run the trials of each layout; exit code 1 where one failed or could not be read."""
    if args.recording is not None:
        if args.layouts:
            args.wrong_usage("with --from, the layout is named by --layout")
        from remapd.cli.trial_draft import draft

        if args.between is not None and args.between[0] >= args.between[1]:
            args.wrong_usage("--between names the earlier time first")
        return draft(args.recording, args.layout, args.output, args.between)
    if not (args.layout is args.output is args.between is None):
        args.wrong_usage("--layout, --between and --output go with --from")
    if not args.layouts:
        args.wrong_usage("name a layout whose trials to run, or a recording with --from")
    width = min(_WIDEST, max(WIDTH, shutil.get_terminal_size((WIDTH, 24)).columns))
    failed = 0
    passed = 0
    unreadable: list[CommandFailed] = []
    for path in layouts_named(args.layouts):
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
        raise CommandFailed(
            f"{path} has no trials: they would be in {beside}; "
            f"draft one with: remapd trial --layout {path} --from RECORDING -o {beside}"
        )
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
