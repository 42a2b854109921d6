"""Save input: what comes from now on, or what the running daemon remembers."""

import argparse
import os
import signal
import sys
from pathlib import Path
from typing import BinaryIO

from remapd.cli.daemon_name import add_name, running_daemon
from remapd.cli.duration import duration_us
from remapd.cli.failure import CommandFailed
from remapd.daemon.client import DaemonClient
from remapd.daemon.recording_file import RecordingFile


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the file, the time and what is masked."""
    parser.add_argument("-o", "--output", required=True, type=Path, metavar="FILE")
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
    add_name(parser)


def run(args: argparse.Namespace) -> int:
    """Ask the daemon, and write what it sends."""
    with running_daemon(args.name) as daemon, create(args.output) as stream:
        file = RecordingFile(stream, keep_keys=args.keys)
        try:
            if args.last is not None:
                daemon.ask("record", what="last", last_us=args.last)
            else:
                daemon.ask("record", what="start")
                end_on_signals(daemon, args.length_us)
            follow(daemon, file)
        except OSError as error:
            raise CommandFailed(
                f"{args.output} cannot be written: {error.strerror}; what is in it can be replayed"
            ) from error
    if not file.begun:
        args.output.unlink()
        raise CommandFailed("nothing is remembered: no device has sent anything yet")
    print(f"{args.output}: {file.summary()}")
    return 0


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
    shows = sys.stderr.isatty()
    for message in daemon.messages():
        if file.take(message):
            break
        if shows:
            print(f"\rrecording: {file.summary()}, Ctrl-C ends it ", end="", file=sys.stderr)
    if shows:
        print(file=sys.stderr)
