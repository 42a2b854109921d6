"""Tell what became of each press in a recording, why, and which value would have changed that."""

from __future__ import annotations

import argparse
import re
import textwrap
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from remapd.cli.failure import CommandFailed
from remapd.cli.layout_file import layout_of_file, layout_of_text
from remapd.cli.progress import with_progress
from remapd.cli.read_again import must_be_readable_again
from remapd.cli.told import print_notes
from remapd.recording.lines import RecordingError
from remapd.recording.player import NO_LAYOUT, Player
from remapd.recording.reader import open_recording

if TYPE_CHECKING:
    from remapd.analysis.why.account import Entry
    from remapd.analysis.why.changes import Change
    from remapd.analysis.why.leaning import LeanLog
    from remapd.analysis.why.press_log import PressLog
    from remapd.engine import Layout

Log = TypeVar("Log", bound="PressLog")

_BEFORE_US = 10_000_000
_AFTER_US = 2_000_000
_MOST_TRIED = 8
_WIDTH = 80


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the recording, and what of it is asked about."""
    parser.add_argument(
        "recording", type=Path, metavar="RECORDING", help="what `remapd record` wrote"
    )
    parser.add_argument(
        "--at",
        metavar="MARK",
        help="a remark in the recording, or a part of one, or a time such as 12.5s; "
        "without it every remark",
    )
    parser.add_argument(
        "--layout",
        type=Path,
        metavar="LAYOUT",
        help="the layout to play with; without one the recording's own",
    )


def run(args: argparse.Namespace) -> int:
    """Play the recording, tell of the presses around each place, and try the values out."""
    must_be_readable_again(args.recording)
    try:
        return tell(args.recording, args.at, args.layout)
    except RecordingError as error:
        if error.what == NO_LAYOUT:
            raise CommandFailed(
                f"{args.recording}: {NO_LAYOUT}; give one with --layout LAYOUT"
            ) from error
        raise CommandFailed(str(error)) from error


def tell(recording: Path, at: str | None, layout: Path | None) -> int:
    """The account of each place that is asked about."""
    from remapd.analysis.why.account import account
    from remapd.analysis.why.leaning import LeanLog

    with played(recording, layout, LeanLog) as (log, player):
        marks = list(player.marks)
        end_us = player.now_us
        print_notes(player.notes)
    tried: dict[Change, str] = {}
    for number, (us, text) in enumerate(places(marks, at, end_us, recording)):
        if number:
            print()
        print(f"around {us / 1_000_000:.3f} s" + (f", {text!r}:" if text else ":"))
        entries = account(log, us - _BEFORE_US, us + _AFTER_US)
        if us > end_us:
            print(f"  the recording is over after {end_us / 1_000_000:.3f} s")
        elif not entries:
            print("  nothing was pressed there")
        for entry in entries:
            print_entry(entry, tried, log, recording, layout)
    return 0


def places(
    marks: list[tuple[int, str]], at: str | None, end_us: int, recording: Path
) -> list[tuple[int, str]]:
    """The times that are asked about, each with its remark."""
    if at is None:
        return marks or [(end_us, "")]
    matching = [(us, text) for us, text in marks if at in text]
    if matching:
        return matching
    time = re.fullmatch(r"(\d+(?:\.\d+)?)\s*s?", at)
    if time is not None:
        return [(round(float(time.group(1)) * 1_000_000), "")]
    known = "; ".join(repr(text) for _, text in marks) or "it has none"
    raise CommandFailed(
        f"{recording} has no remark like {at!r} ({known}); a time is written `12.5s`"
    )


def print_entry(
    entry: Entry,
    tried: dict[Change, str],
    log: LeanLog,
    recording: Path,
    layout: Path | None,
) -> None:
    """One press, and the value that would have changed it."""
    head = f"  {entry.us / 1_000_000:>9.3f} s  {entry.name}: "
    print(_wrapped(head + entry.text, 14))
    if entry.suggestion is None:
        return
    change = entry.suggestion.change
    if change not in tried:
        tried[change] = (
            "not tried on the whole recording: too many values already"
            if len(tried) >= _MOST_TRIED
            else gain_and_loss(change, log, recording, layout)
        )
    where = f" at {change.where}" if change.where else ""
    print(
        _wrapped(
            f"{'':>14}`{change.setting}`{where} {entry.suggestion.effect}; {tried[change]}", 14
        )
    )


def gain_and_loss(change: Change, log: LeanLog, recording: Path, layout: Path | None) -> str:
    """What a value would have gained and lost over the whole recording."""
    from remapd.analysis.why.comparison import compare, told, told_of_motion
    from remapd.analysis.why.leaning import LeanLog
    from remapd.analysis.why.press_log import PressLog

    if change.is_motion:
        with played(recording, layout, LeanLog, change) as (moved, _player):
            return told_of_motion(change.where, log.leans, moved.leans)
    with played(recording, layout, PressLog, change) as (other, _player):
        return told(compare(log.presses, other.presses))


@contextmanager
def played(
    recording: Path, layout: Path | None, kind: type[Log], change: Change | None = None
) -> Iterator[tuple[Log, Player]]:
    """The whole recording played into a log of that kind, with one value changed or none."""

    def changed(plain: Layout) -> Layout:
        return plain if change is None else change.apply(plain)

    logs: list[Log] = []

    def make_engine(plain: Layout) -> Log:
        logs.append(kind(plain))
        return logs[0]

    with open_recording(recording) as reader:
        player = Player(
            reader,
            None if layout is None else changed(layout_of_file(layout)),
            load_layout=lambda path, text: changed(layout_of_text(path, text)),
            make_engine=make_engine,
        )
        label = "playing" if change is None else f"trying {change.setting}"
        total = recording.stat().st_size
        for _frame in with_progress(player, label, lambda: reader.bytes_read, total):
            pass
        yield logs[0], player


def _wrapped(text: str, indent: int) -> str:
    return textwrap.fill(
        text,
        _WIDTH,
        subsequent_indent=" " * indent,
        break_long_words=False,
        break_on_hyphens=False,
    )
