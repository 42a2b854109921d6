"""Watch the running daemon: devices, controls, layers, the pad, and why a press did what it did.

`--page` shows the same in a browser, such as that of a tablet beside the player.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Final

from remapd.cli.daemon_name import add_name, checked_name
from remapd.cli.ending import ended_in_order
from remapd.cli.failure import CommandFailed

if TYPE_CHECKING:
    from remapd.cli.live_link import LiveLink
    from remapd.show.live.state import LiveState

#: Pictures so often at the most.
FRAME_S: Final = 0.1
#: While nothing happens, the picture is looked at again so often.
IDLE_S: Final = 0.5
#: What comes within this time of each other is told in one sentence.
_TOGETHER_S: Final = 0.03
#: For so long after the last message, what was lit for it may still go dark.
_MOVING_US: Final = 1_000_000
_PORT: Final = 0
_LOOPBACK: Final = "127.0.0.1"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare how it is shown, and of which daemon."""
    add_name(parser)
    how = parser.add_mutually_exclusive_group()
    how.add_argument(
        "--plain",
        action="store_true",
        help="one sentence for each change, for screen readers and pipes; without it too where the "
        "output is not a terminal of 80 columns and 24 rows, and with TERM=dumb or NO_COLOR",
    )
    how.add_argument(
        "--json", action="store_true", help="every message as one line of JSON, for programs"
    )
    how.add_argument(
        "--page",
        action="store_true",
        help="as a page in a browser; its address, with a secret in it, is printed",
    )
    parser.add_argument(
        "--port",
        type=port_number,
        default=_PORT,
        metavar="N",
        help="with --page: the port (default: any that is free)",
    )
    parser.add_argument(
        "--listen",
        default=_LOOPBACK,
        metavar="ADDRESS",
        help="with --page: the address of this computer that others in the house may reach, such "
        "as 192.168.1.20; whoever has the page's address can then see it (default: this computer "
        "alone)",
    )


def port_number(word: str) -> int:
    """A port as it is typed; raises ArgumentTypeError."""
    if word.isascii() and word.isdigit() and int(word) <= 65535:
        return int(word)
    raise argparse.ArgumentTypeError(f"{word!r} is not a port: write a number, 0 to 65535")


def run(args: argparse.Namespace) -> int:
    """Watch until Ctrl-C."""
    if not args.page and (args.port != _PORT or args.listen != _LOOPBACK):
        raise CommandFailed("--port and --listen are for the page: add --page")
    with ended_in_order() as is_told_to_end:
        link = connected(checked_name(args.name), is_told_to_end)
        try:
            if args.page:
                from remapd.cli.watch_page import serve_page

                serve_page(link, args.listen, args.port)
            elif args.json:
                as_json(link)
            elif args.plain:
                as_sentences(link)
            else:
                as_picture_or_sentences(link)
        except KeyboardInterrupt:
            return 0
        finally:
            link.close()
    return 0


def connected(name: str, is_told_to_end: Callable[[], bool]) -> LiveLink:
    """A connection; raises CommandFailed where there is no daemon, or it is somebody else's."""
    from remapd.cli.live_link import LiveLink
    from remapd.daemon.client import Denied, NotRunning
    from remapd.daemon.places import DEFAULT_NAME
    from remapd.show.live.state import TOPICS

    link = LiveLink(name, TOPICS, is_told_to_end=is_told_to_end)
    try:
        link.connect()
    except NotRunning as error:
        option = "" if name == DEFAULT_NAME else f" --name {name}"
        raise CommandFailed(f"{error}; start one with: remapd run LAYOUT{option}") from error
    except Denied as error:
        raise CommandFailed(f"{error}; watch as that user, or with sudo") from error
    return link


def now_us() -> int:
    """The monotonic clock, which is the daemon's too."""
    return time.monotonic_ns() // 1000


def clock() -> Callable[[int], str]:
    """Makes the time of day of a time of the monotonic clock."""
    start_s = time.time() - time.monotonic()
    return lambda us: time.strftime("%H:%M:%S", time.localtime(start_s + us / 1_000_000))


# ---------------------------------------------------------------- the three ways to show it


def as_json(link: LiveLink) -> None:
    """Every message as it comes; the daemon's end and return are told too."""
    while True:
        sys.stdout.flush()
        was_connected = link.is_connected
        for message in link.messages(IDLE_S):
            if message.get("event") == "layout" and message.get("applied"):
                link.ask("layout")
            print_json(message)
        if was_connected and not link.is_connected:
            print_json({"event": "ended", "us": now_us()})


def print_json(message: Mapping[str, object]) -> None:
    """One line."""
    print(json.dumps(message, ensure_ascii=False, separators=(",", ":")))


def as_sentences(link: LiveLink) -> None:
    """One sentence a change, first how things stand."""
    from remapd.daemon.report import sentences
    from remapd.show.live.sentences import LiveTeller

    teller = LiveTeller()
    is_new = True
    while True:
        was_connected = link.is_connected
        batch = link.messages(IDLE_S)
        if batch:  # what belongs to it comes right behind
            batch += link.messages(_TOGETHER_S)
        told: list[str] = []
        for message in batch:
            if "status" in message and is_new:
                told += sentences(message["status"])[:-1]
                is_new = False
            if message.get("event") == "layout" and message.get("applied"):
                link.ask("layout")
        told += [*teller.tell(batch), *teller.quiet(now_us())]
        if was_connected and not link.is_connected:
            told.append("The daemon ended; waiting for it.")
            is_new = True
        for sentence in told:
            print(sentence)
        if told:
            sys.stdout.flush()


def as_picture_or_sentences(link: LiveLink) -> None:
    """The picture where there is room for it; what keeps it from being drawn is said."""
    from remapd.show.live.screen import COLUMNS, ROWS
    from remapd.show.terminal import size_of

    small = ""
    if sys.stdout.isatty():
        if os.environ.get("TERM", "") not in {"", "dumb"} and not os.environ.get("NO_COLOR"):
            as_picture(link)  # until the terminal is too small
            columns, rows = size_of(sys.stdout)
            small = (
                f"This terminal has {columns} columns and {rows} rows, the picture needs "
                f"{COLUMNS} and {ROWS}: plain sentences instead."
            )
        if small:
            print(small, flush=True)
            link.ask("status")
    as_sentences(link)


def as_picture(link: LiveLink) -> None:
    """The picture, at most ten times a second; returns when the terminal is too small for it."""
    from remapd.show.live.picture import picture_of
    from remapd.show.live.screen import COLUMNS, ROWS, live_rows
    from remapd.show.live.state import LiveState
    from remapd.show.marks import signs_for
    from remapd.show.terminal import Terminal, size_of

    if not fits(size_of(sys.stdout), COLUMNS, ROWS):
        return
    state = LiveState()
    words = clock()
    signs = signs_for(sys.stdout.encoding, os.environ.get("TERM", ""))
    last_s, is_new = 0.0, True
    with Terminal(sys.stdout) as terminal:
        while True:
            wait_s = FRAME_S if is_new or moving(state) else IDLE_S
            is_new |= take_in(link, state, max(0.0, last_s + wait_s - time.monotonic()))
            if time.monotonic() - last_s < (FRAME_S if is_new else wait_s):
                continue
            columns, rows = size_of(sys.stdout)
            if not fits((columns, rows), COLUMNS, ROWS):
                return
            terminal.paint(live_rows(picture_of(state, now_us(), words), columns, rows, signs))
            last_s, is_new = time.monotonic(), False


def moving(state: LiveState) -> bool:
    """Whether something lit may go dark soon."""
    return now_us() - state.changed_us < _MOVING_US


def fits(size: tuple[int, int], columns: int, rows: int) -> bool:
    """Whether a picture of so many columns and rows can be drawn."""
    return size[0] >= columns and size[1] >= rows


def take_in(link: LiveLink, state: LiveState, wait_s: float) -> bool:
    """Takes what has come into the state, and asks for what it wants to know; whether it came."""
    was_connected = link.is_connected
    batch = link.messages(wait_s)
    for message in batch:
        state.take(message, now_us())
    for request in state.wants():
        link.ask(request)
    if was_connected and not link.is_connected:
        state.disconnected(now_us())
        return True
    return bool(batch)
