"""Play the cues of the running daemon's layout: tones, words and notifications of this session.

A process of its own: when it ends, or was never started, play goes on just the same.
"""

from __future__ import annotations

import argparse
import fcntl
import os
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Final

from remapd.cli.daemon_name import add_name
from remapd.cli.ending import ended_in_order
from remapd.cli.failure import CommandFailed

if TYPE_CHECKING:
    from remapd.show.cues.cue import Cue
    from remapd.show.cues.player import CuePlayer

#: While programs run, they are looked after so often.
_TEND_S: Final = 0.03
_IDLE_S: Final = 1.0
#: The devices, and with them their batteries, are asked for so often.
_STATUS_S: Final = 60.0
#: What comes within this time of each other is one change: a layer in place of another.
_TOGETHER_S: Final = 0.005
#: So far apart that two rumbles are told from each other, in an attempt.
_APART_S: Final = 1.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare which daemon, and what else is done."""
    add_name(parser, "whose cues are played")
    parser.add_argument(
        "--print", action="store_true", help="write a line for each cue as well, as it is played"
    )
    parser.add_argument(
        "--try",
        dest="attempt",
        action="store_true",
        help="play every tone, a sentence and the layout's rumbles, say what plays them, and end",
    )


def run(args: argparse.Namespace) -> int:
    """Play until Ctrl-C, across the daemon's ends and starts."""
    from remapd.show.cues.player import CuePlayer

    name: str = args.name
    with ended_in_order() as is_told_to_end, closing(CuePlayer()) as player:
        try:
            if args.attempt:
                return attempt(player, name)
            with alone(name):
                follow(name, player, is_told_to_end, is_printed=args.print)
        except KeyboardInterrupt:
            pass
    return 0


def now_us() -> int:
    """The monotonic clock, which is the daemon's too."""
    return time.monotonic_ns() // 1000


@contextmanager
def alone(name: str) -> Iterator[None]:
    """Keeps a second one away, which would play everything twice."""
    folder = os.environ.get("XDG_RUNTIME_DIR") or tempfile.gettempdir()
    path = Path(folder) / f"remapd-cues-{os.getuid()}-{name}.lock"
    try:
        lock = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC | os.O_NOFOLLOW, 0o600)
    except OSError as error:
        raise CommandFailed(f"{path} cannot be made: {error.strerror}") from error
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(lock)
        raise CommandFailed(f"the cues of `{name}` are being played already") from None
    try:
        yield
    finally:
        os.close(lock)


def follow(
    name: str, player: CuePlayer, is_told_to_end: Callable[[], bool], *, is_printed: bool
) -> None:
    """Plays what the daemon tells, for ever."""
    from remapd.cli.battery_watch import BatteryWatch
    from remapd.cli.live_link import LiveLink
    from remapd.daemon.client import Denied, NotRunning
    from remapd.show.cues.book import CueBook

    book = CueBook()
    batteries = BatteryWatch()
    link = LiveLink(name, book.topics, status_s=_STATUS_S, is_told_to_end=is_told_to_end)
    try:
        link.connect()
    except NotRunning:
        print("No daemon is running yet; waiting for it.", flush=True)
    except Denied as error:
        raise CommandFailed(
            f"{error}; this user must be in the group that may ask it, see docs/cues.md"
        ) from error
    with closing(link):
        player.prepare(book.tones())
        while True:
            was_connected = link.is_connected
            batch = link.messages(wait_s(book.next_due_us(), is_busy=player.is_busy))
            if any(message.get("event") == "layer" for message in batch):
                batch += link.messages(_TOGETHER_S)
            cues = [*book.take(batch, now_us()), *book.due(now_us())]
            for message in batch:
                if "status" in message:
                    batteries.look_at(message["status"]["devices"])
                if "layout" in message:
                    link.topics = book.topics
                    player.prepare(book.tones())
                    if is_printed:
                        title = message["layout"]["title"]
                        print(f"The cues of “{title}” are played from now on.", flush=True)
            for device, battery in batteries.found():
                cues += book.battery(device, battery.percent, battery.status)
            for request in book.wants():
                link.ask(request)
            if was_connected and not link.is_connected:
                book.disconnected()
            for cue in cues:
                player.play(cue, now_us())
                if cue.rumble is not None:
                    link.ask("rumble", device=cue.rumble, strength=cue.strength)
                if is_printed:
                    print(in_words(cue), flush=True)
            player.tend(now_us())


def wait_s(due_us: int | None, *, is_busy: bool) -> float:
    """For how long nothing has to be done."""
    longest_s = _TEND_S if is_busy else _IDLE_S
    if due_us is None:
        return longest_s
    return min(longest_s, max(0.0, (due_us - now_us()) / 1_000_000))


def in_words(cue: Cue) -> str:
    """As in `layer-on net: says “net”`."""
    parts = []
    if cue.tone is not None:
        parts.append(f"{cue.tone} tone")
    if cue.say is not None:
        parts.append(f"says “{cue.say}”")
    if cue.notify is not None:
        parts.append(f"notifies “{cue.notify}”")
    if cue.rumble is not None:
        parts.append(f"rumbles {cue.rumble}")
    about = f" {cue.name}" if cue.name and cue.name != cue.event else ""
    return f"{cue.event}{about}: {', '.join(parts)}"


def attempt(player: CuePlayer, name: str) -> int:
    """Plays all there is, one after the other; for setting the volume before play."""
    from remapd.language.schema_cues import TONES
    from remapd.show.cues.cue import Cue

    print(player.in_words())
    for tone, about in TONES.items():
        print(f"{tone}: {about}", flush=True)
        play_to_the_end(player, Cue("try", tone, tone=tone))
    print("a sentence", flush=True)
    play_to_the_end(player, Cue("try", "words", say="This is how cues are spoken."))
    felt = feel_all(name)
    if not sys.stdout.isatty():
        return 0
    print("Too loud or too soft? Set the volume of the session, or `loudness:` in the layout.")
    if felt:
        print("Too strong or too weak? Set `strength:` beside the cue's `rumble:`.")
    return 0


def feel_all(name: str) -> bool:
    """Lets every rumble of the running daemon's cues be felt once; whether there was one."""
    from remapd.daemon.client import DaemonClient, Denied, NotRunning, Refused
    from remapd.show.cues.book import CueBook

    book = CueBook()
    with suppress(NotRunning, Denied, Refused), DaemonClient(name) as daemon:
        book.take([daemon.ask("layout")], now_us())
        for device, strength in sorted(book.rumbles()):
            print(f"a rumble on {device}, strength {strength:.0%}", flush=True)
            if not daemon.ask("rumble", device=device, strength=strength)["felt"]:
                print("  nothing is felt; `remapd status` says what is the matter with it")
            time.sleep(_APART_S)
    return bool(book.rumbles())


def play_to_the_end(player: CuePlayer, cue: Cue) -> None:
    """Plays one cue and waits for its programs."""
    player.play(cue, now_us())
    end_s = time.monotonic() + 5.0
    while player.is_busy and time.monotonic() < end_s:
        time.sleep(_TEND_S)
        player.tend(now_us())
