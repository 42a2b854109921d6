"""A report of a recorded session, as one page to read, print and keep."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from remapd.analysis.effort import Intensity, Posture, Speed
from remapd.cli.failure import CommandFailed
from remapd.cli.layout_file import layout_of_file, layout_of_text
from remapd.cli.progress import with_progress
from remapd.cli.told import print_notes
from remapd.cli.written_file import is_page, keep_inputs, keep_others, write_whole
from remapd.recording.lines import RecordingError
from remapd.recording.player import NO_LAYOUT
from remapd.recording.reader import open_recording

_INTENSITIES = {each.name.lower().replace("_", "-"): each for each in Intensity}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the recording, the layout, and what only a person can judge."""
    parser.add_argument(
        "recording", type=Path, metavar="RECORDING", help="what `remapd record` wrote"
    )
    parser.add_argument(
        "--layout",
        type=Path,
        metavar="LAYOUT",
        help="play it with this layout; without one with the recording's own",
    )
    parser.add_argument(
        "-o",
        "--output",
        type=Path,
        metavar="FILE",
        help="write it there; `-` prints it (default: NAME-report.html here)",
    )
    judged = parser.add_argument_group("for the Strain Index, judged by whoever knows the player")
    judged.add_argument("--intensity", choices=_INTENSITIES, help="how hard an effort is")
    judged.add_argument(
        "--posture", choices=[each.value for each in Posture], help="how the joint stands"
    )
    judged.add_argument(
        "--speed",
        choices=[each.value for each in Speed],
        default="fair",
        help="how fast the movement is (default: fair)",
    )
    judged.add_argument(
        "--hours-a-day",
        type=hours,
        metavar="HOURS",
        help="for how long in a day (default: as long as the recording)",
    )
    parser.set_defaults(wrong_usage=parser.error)


def hours(text: str) -> float:
    """Hours of a day; for argparse."""
    try:
        number = float(text)
    except ValueError:
        number = 0.0
    if not 0 < number <= 24:
        raise argparse.ArgumentTypeError(f"`{text}` is no number of hours; write 0.5 or 3")
    return number


def run(args: argparse.Namespace) -> int:
    """Play the recording and write its report."""
    if (args.intensity is None) is not (args.posture is None):
        args.wrong_usage("--intensity and --posture go together: the Strain Index needs both")

    from remapd.show.report_effort import Judged
    from remapd.show.report_page import report_page
    from remapd.show.report_play import PlayReading

    output = args.output or Path(f"{args.recording.stem}-report.html")
    keep_inputs(output, args.recording, args.layout)
    keep_others(output, is_page, "a report")
    judged = Judged(
        _INTENSITIES.get(args.intensity or ""),
        None if args.posture is None else Posture(args.posture),
        Speed(args.speed),
        args.hours_a_day,
    )
    layout = None if args.layout is None else layout_of_file(args.layout)
    try:
        with open_recording(args.recording) as reader:
            reading = PlayReading(reader, layout, layout_of_text)
            size = args.recording.stat().st_size
            for _ in with_progress(reading, "reading", lambda: reader.bytes_read, size):
                pass
    except RecordingError as error:
        if error.what == NO_LAYOUT:
            raise CommandFailed(
                f"{args.recording}: {NO_LAYOUT}; give one with --layout LAYOUT"
            ) from error
        raise CommandFailed(str(error)) from error
    play = reading.play
    print_notes(play.notes)
    return _give(report_page(play, args.recording.name, judged), output)


def _give(page: str, output: Path) -> int:
    if output == Path("-"):
        sys.stdout.buffer.write(page.encode())
        sys.stdout.buffer.flush()
        return 0
    write_whole(output, page.encode())
    print(f"written: {output}")
    return 0
