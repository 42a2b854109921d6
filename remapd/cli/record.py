"""Save input: what comes from now on, or what the running daemon remembers."""

import argparse
import os
import signal
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import BinaryIO

from remapd.cli.daemon_name import add_name, running_daemon
from remapd.cli.duration import duration_us
from remapd.cli.failure import CommandFailed
from remapd.daemon.client import DaemonClient
from remapd.daemon.recording_file import RecordingFile


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the file, the time and what is masked."""
    parser.add_argument(
        "-o", "--output", required=True, type=Path, metavar="FILE", help="the file that is written"
    )
    parser.add_argument(
        "--last", type=duration_us, metavar="TIME", help="what has been, such as 2m or 30s"
    )
    parser.add_argument(
        "--for", dest="length_us", type=duration_us, metavar="TIME", help="end after this time"
    )
    parser.add_argument(
        "--keys",
        action="store_true",
        help="keep which keys were pressed on a keyboard that somebody types on",
    )
    without = parser.add_argument_group("without a running daemon")
    without.add_argument(
        "--layout", type=Path, metavar="LAYOUT", help="record the devices that this layout takes"
    )
    without.add_argument(
        "--devices",
        nargs="+",
        metavar="NAME",
        help="record the devices of these names; * stands for anything (but for a keyboard that "
        "somebody types on, whose name has to be given whole)",
    )
    add_name(parser)


def run(args: argparse.Namespace) -> int:
    """Record from the daemon, or from the devices themselves."""
    from_devices = args.layout is not None or args.devices is not None
    if from_devices and args.last is not None:
        raise CommandFailed("--last is what the running daemon remembers: leave out the devices")
    recorded = record_devices(args) if from_devices else record_daemon(args)
    print(f"{args.output}: {recorded.summary()}")
    return 0


def record_daemon(args: argparse.Namespace) -> RecordingFile:
    """Ask the daemon, and write what it sends."""
    with running_daemon(args.name) as daemon, create(args.output) as stream:
        file = RecordingFile(stream, keep_keys=args.keys)
        with disk_errors_told(args.output):
            if args.last is not None:
                daemon.ask("record", what="last", last_us=args.last)
            else:
                daemon.ask("record", what="start")
                end_on_signals(daemon, args.length_us)
            follow(daemon, file)
    if not file.begun:
        args.output.unlink()
        raise CommandFailed("nothing is remembered: no device has sent anything yet")
    return file


def record_devices(args: argparse.Namespace) -> RecordingFile:
    """Read the devices beside other programs, and write what they send."""
    from remapd.daemon.record_devices import DeviceRecorder, NothingToRecord
    from remapd.daemon.record_wanted import named, taken_by
    from remapd.kernel.errors import KernelError

    layout = None
    if args.layout is not None:
        from remapd.cli.layout_file import layout_and_text

        built, text = layout_and_text(args.layout)
        wanted = taken_by(built)
        layout = (str(args.layout.absolute()), text)
    else:
        wanted = named(args.devices)
    with create(args.output) as stream, ExitStack() as at_end:
        at_end.callback(remove_if_empty, args.output)
        file = RecordingFile(stream, keep_keys=args.keys)
        try:
            recorder = DeviceRecorder(wanted, file, layout)
        except NothingToRecord as error:
            there = ", ".join(f"“{name}”" for name in error.there) or "no input device at all"
            raise CommandFailed(f"no such device is plugged in; there is {there}") from error
        except KernelError as error:
            raise CommandFailed(f"{error}; or record from the daemon that has it") from error
        at_end.callback(recorder.close)
        with disk_errors_told(args.output), stop_signals(args.length_us) as stop_fd:
            recorder.run(stop_fd, lambda: show_progress(file))
    return file


@contextmanager
def disk_errors_told(path: Path) -> Iterator[None]:
    """A full or broken disk becomes a CommandFailed."""
    try:
        yield
    except OSError as error:
        raise CommandFailed(
            f"{path} cannot be written: {error.strerror}; what is in it can be replayed"
        ) from error


def remove_if_empty(path: Path) -> None:
    """A recording that never began is no file."""
    if path.stat().st_size == 0:
        path.unlink()


@contextmanager
def stop_signals(length_us: int | None) -> Iterator[int]:
    """A descriptor that becomes readable at Ctrl-C or the end of the time."""
    reading, writing = os.pipe()

    def stop(number: int, frame: object) -> None:
        del number, frame
        os.write(writing, b"x")

    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGALRM):
        signal.signal(number, stop)
    if length_us is not None:
        signal.setitimer(signal.ITIMER_REAL, length_us / 1e6)
    yield reading


def create(path: Path) -> BinaryIO:
    """A new file that only its owner may read; never in the place of another."""
    try:
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, 0o600)
    except FileExistsError as error:
        raise CommandFailed(f"{path} exists already; choose another name") from error
    except OSError as error:
        raise CommandFailed(f"{path} cannot be made: {error.strerror}") from error
    return os.fdopen(descriptor, "wb")


def end_on_signals(daemon: DaemonClient, length_us: int | None) -> None:
    """From now on Ctrl-C, or the end of the time, asks the daemon for the end of the recording."""

    def stop(number: int, frame: object) -> None:
        del number, frame
        daemon.send("record", what="stop")

    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGALRM):
        signal.signal(number, stop)
    if length_us is not None:
        signal.setitimer(signal.ITIMER_REAL, length_us / 1e6)


def follow(daemon: DaemonClient, file: RecordingFile) -> None:
    """Write until the recording's end, or the daemon's."""
    for message in daemon.messages():
        if file.take(message):
            break
        show_progress(file)


def show_progress(file: RecordingFile) -> None:
    """On a terminal: how much there is."""
    if sys.stderr.isatty():
        print(f"\rrecording: {file.summary()}, Ctrl-C ends it \r", end="", file=sys.stderr)
