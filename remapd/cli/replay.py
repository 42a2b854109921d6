"""Play a recording through a layout on virtual time, and write what the pad would have done."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Iterator
from contextlib import AbstractContextManager, closing, contextmanager, nullcontext
from pathlib import Path
from typing import BinaryIO, TypeVar

from remapd.cli.duration import duration_us
from remapd.cli.failure import CommandFailed
from remapd.cli.layout_file import layout_of_file, layout_of_text
from remapd.cli.progress import with_progress
from remapd.cli.read_again import must_be_readable_again
from remapd.cli.told import print_notes
from remapd.cli.written_file import is_pads_recording, keep_inputs, keep_others, written_whole
from remapd.recording.differences import Difference, differences
from remapd.recording.lines import RecordingError
from remapd.recording.pad_description import pad_device
from remapd.recording.player import Player
from remapd.recording.reader import open_recording
from remapd.recording.writer import RecordingWriter
from remapd.show.live.readable import readable

T = TypeVar("T")

_MOST_ROWS = 200


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the layout, the recording and what is wanted of them."""
    parser.add_argument(
        "layout",
        nargs="?",
        type=Path,
        metavar="LAYOUT",
        help="the layout to play with; without one the recording's own",
    )
    parser.add_argument(
        "recording", type=Path, metavar="RECORDING", help="what `remapd record` wrote"
    )
    parser.add_argument(
        "-o",
        "--output",
        type=Path,
        metavar="FILE",
        help="write the pad's recording there instead of printing it",
    )
    wanted = parser.add_mutually_exclusive_group()
    wanted.add_argument(
        "--explain",
        action="store_true",
        help="print every decision and why; the pad's recording only with --output",
    )
    wanted.add_argument(
        "--compare",
        type=Path,
        metavar="OTHER-LAYOUT",
        help="print when and where the pad would differ with another layout",
    )
    wanted.add_argument(
        "--pad",
        action="store_true",
        help="play it in real time into a pad that games see, as `remapd run` makes it",
    )
    parser.add_argument(
        "--speed",
        type=speed,
        metavar="TIMES",
        help="with --pad: so many times as fast as it was (default: 1)",
    )
    parser.add_argument(
        "--delay",
        type=duration_us,
        metavar="TIME",
        help="with --pad: how long it is there before it moves, for games to find it (default: 2s)",
    )
    parser.set_defaults(wrong_usage=parser.error)


def speed(text: str) -> float:
    """A factor from a hundredth to a hundredfold; for argparse."""
    try:
        factor = float(text)
    except ValueError:
        factor = 0.0
    if not 0.01 <= factor <= 100:
        raise argparse.ArgumentTypeError(f"`{text}` is no speed; write 1, 0.5 or 4 (0.01 to 100)")
    return factor


def run(args: argparse.Namespace) -> int:
    """Play, and write what was asked for."""
    if not args.pad and (args.speed is not None or args.delay is not None):
        args.wrong_usage("--speed and --delay go with --pad; without it nothing waits")
    if args.output is not None and (args.pad or args.compare is not None):
        args.wrong_usage("--output goes without --pad and --compare; play twice for both")
    if args.recording.suffix in {".yaml", ".yml"}:
        if args.layout is None:
            args.wrong_usage(f"{args.recording} is a layout: name a recording after it")
        args.wrong_usage(
            f"{args.recording} is a layout: the layout comes first, then the recording"
        )
    keep_inputs(args.output, args.recording, args.layout)
    keep_others(args.output, is_pads_recording, "a recording of the pad")
    try:
        if args.pad:
            delay_us = 2_000_000 if args.delay is None else args.delay
            return play_into_pad(args.layout, args.recording, args.speed or 1.0, delay_us)
        if args.compare is not None:
            must_be_readable_again(args.recording)
            return compare(args.layout, args.compare, args.recording)
        return replay(args.layout, args.recording, args.output, explain=args.explain)
    except RecordingError as error:
        raise CommandFailed(str(error)) from error


def replay(layout: Path | None, recording: Path, output: Path | None, *, explain: bool) -> int:
    """The pad's recording to `output`, or to standard output where nothing else goes there."""
    with opened_player(layout, recording, explain=explain) as player:
        try:
            with nullcontext() if explain and output is None else opened_output(output) as stream:
                writer = (
                    None
                    if stream is None
                    else RecordingWriter(stream, [pad_device(player.layout)], flush=False)
                )
                for frame in watched(player, recording, player):
                    if writer is not None:
                        writer.flat_frame(frame.us, 0, frame.events)
                    if explain:
                        print_trace(player)
                if explain:
                    print_trace(player)
                if stream is not None:
                    stream.flush()
        except BrokenPipeError:
            raise
        except OSError as error:
            where = output or "standard output"
            raise CommandFailed(f"{where} cannot be written: {error.strerror}") from error
        print_notes(player.notes)
    return 0


def play_into_pad(layout: Path | None, recording: Path, factor: float, delay_us: int) -> int:
    """Make the pad, play, and take it away."""
    from remapd.cli.real_time import RealTime
    from remapd.daemon.pad_of import pad_identity
    from remapd.kernel.errors import KernelError
    from remapd.kernel.pad import Pad

    with opened_player(layout, recording) as player:
        try:
            with closing(Pad(identity=pad_identity(player.layout))) as pad:
                print(f"remapd: the pad is {pad.node}", file=sys.stderr)
                played = RealTime(player, pad, factor)
                played.play(delay_us)
        except KernelError as error:
            raise CommandFailed(str(error)) from error
        print_notes(player.notes)
    print(
        f"played {player.now_us / 1e6:.1f} s: {played.frames} changes of the pad, "
        f"at most {played.latest_us / 1e3:.0f} ms late"
    )
    return 0


def print_trace(player: Player) -> None:
    """The decisions since the last time, with the recording's marks among them."""
    lines = [(line.us, f"{line.subject}: {line.text}") for line in player.drain_trace()]
    lines += [(us, f"--- {text} ---") for us, text in player.marks]
    player.marks.clear()
    for us, text in sorted(lines, key=lambda line: line[0]):
        print(f"{seconds(us)} {readable(text)}")


def compare(layout: Path | None, other: Path, recording: Path) -> int:
    """A table of the times at which the pad differs between two layouts."""
    with (
        opened_player(layout, recording) as first,
        opened_player(other, recording) as second,
    ):
        rows = list(watched(differences(first, second), recording, first))
        print_notes(first.notes)
        print_notes(note for note in second.notes if note not in first.notes)
    names = ("the recording's own" if layout is None else str(layout), str(other))
    if not rows:
        print(f"{names[0]} and {names[1]} do the same with this recording")
        return 0
    print_table(sorted(rows, key=lambda row: row.from_us), names)
    return 0


def print_table(rows: list[Difference], names: tuple[str, str]) -> None:
    """One row a difference; below, how many there are."""
    cells = [("from", "until", "pad control", "first", "second", "apart")]
    cells += [
        (
            seconds(row.from_us).strip(),
            seconds(row.until_us).strip(),
            row.control,
            row.first,
            row.second,
            "" if row.most == 1.0 else f"{round(100 * row.most)}%",
        )
        for row in rows[:_MOST_ROWS]
    ]
    widths = [max(len(row[column]) for row in cells) for column in range(6)]
    print(f"first:  {names[0]}\nsecond: {names[1]}\n")
    for row in cells:
        padded = [
            f"{cell:>{width}}" if column < 2 else f"{cell:<{width}}"
            for column, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        print("  ".join(padded).rstrip())
    left_out = len(rows) - _MOST_ROWS
    more = f", of which {left_out} are not shown" if left_out > 0 else ""
    print(f"\n{len(rows)} {'difference' if len(rows) == 1 else 'differences'}{more}")


def seconds(us: int) -> str:
    """`    1.234567 s`, of even width for the first hours."""
    return f"{us // 1_000_000:>5}.{us % 1_000_000:06d} s"


@contextmanager
def opened_player(
    layout: Path | None, recording: Path, *, explain: bool = False
) -> Iterator[Player]:
    """A player of the recording, with the layout of a file or with the recording's own."""
    with open_recording(recording) as reader:
        yield Player(
            reader,
            None if layout is None else layout_of_file(layout),
            load_layout=layout_of_text,
            explain=explain,
        )


def opened_output(path: Path | None) -> AbstractContextManager[BinaryIO]:
    """A file to write, there whole or not at all, or standard output as bytes."""
    return nullcontext(sys.stdout.buffer) if path is None else written_whole(path)


def watched(items: Iterable[T], recording: Path, player: Player) -> Iterator[T]:
    """The items with a progress bar."""
    reader = player.recording
    return with_progress(items, "replaying", lambda: reader.bytes_read, recording.stat().st_size)
