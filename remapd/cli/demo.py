"""Watch a recorded session: a shipped layout at work, drawn in the terminal as it goes.

Where virtual gamepads can be made, the session plays into a real one that any game can see.
"""

from __future__ import annotations

import argparse
import math
import os
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from remapd.cli.ending import ended_in_order
from remapd.cli.failure import CommandFailed

if TYPE_CHECKING:
    from remapd.kernel.pad import Pad
    from remapd.show.session import Moment, Session

PAD_NAME = "remapd demo pad"
FASTEST = 1000.0
READ_S = 0.1
WIDEST = 120  # columns: wider than this the picture is only longer to look at


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare how it is shown and how fast."""
    parser.add_argument(
        "--plain",
        action="store_true",
        help="one sentence for each thing that happens, for screen readers; without it too where "
        "the output is not a terminal of 80 columns and 24 rows, and with TERM=dumb or NO_COLOR",
    )
    parser.add_argument(
        "--speed",
        type=speed,
        default=1.0,
        metavar="N",
        help="so many times as fast as it was played (default: 1)",
    )
    parser.add_argument(
        "--no-pad", action="store_true", help="make no virtual gamepad, only show what it would do"
    )


def speed(word: str) -> float:
    """A speed as it is typed.

    Raises:
        ArgumentTypeError: not a number above 0 and up to FASTEST.
    """
    try:
        number = float(word)
    except ValueError:
        number = math.nan
    if not 0.0 < number <= FASTEST:
        raise argparse.ArgumentTypeError(
            f"{word!r} is not a speed: write a number above 0, up to {FASTEST:g}"
        )
    return number


def run(args: argparse.Namespace) -> int:
    """Play the session, and say what to try next."""
    with ended_in_order(), pad_where_possible(wanted=not args.no_pad) as pad:
        show = draw if not args.plain and can_draw(sys.stdout, os.environ) else tell
        show(sys.stdout, Clock(args.speed), pad)
    print(what_next())
    return 0


# ---------------------------------------------------------------- the two ways to show it


def tell(stream: TextIO, clock: Clock, pad: DemoPad) -> None:
    """One sentence a line, each at its time."""
    from remapd.show.sentences import Teller

    session = new_session()
    teller = Teller(session.layout)
    print(f"A recorded session with {session.layout_path}: {session.layout.title}.", file=stream)
    print(pad.about, file=stream, flush=True)
    clock.start()
    for moment in session:
        clock.wait_until(moment.us)
        pad.play(moment)
        for sentence in teller.tell(moment):
            print(f"{moment.us / 1_000_000:4.1f} s  {sentence}", file=stream, flush=True)
    print(f"{session.end_us / 1_000_000:4.1f} s  The end.", file=stream)


def draw(stream: TextIO, clock: Clock, pad: DemoPad) -> None:
    """The picture, filled in as time goes; it stays on the screen when it is over."""
    from remapd.show.demo_screen import Cast, DemoScreen, Row
    from remapd.show.marks import Style, signs_for
    from remapd.show.pacing import paced
    from remapd.show.sentences import Teller
    from remapd.show.terminal import Terminal, size_of, styled

    session = new_session()
    teller = Teller(session.layout)
    signs = signs_for(stream.encoding, os.environ.get("TERM", ""))
    screen = DemoScreen(session.layout, session.end_us, Cast.of(new_session()), signs)

    about: Row = [(f" {pad.about}", Style.FAINT)]

    def columns() -> int:
        return min(size_of(stream)[0], WIDEST)

    with Terminal(stream) as terminal:
        clock.start()
        for moment in paced(
            session, session.end_us, now_us=clock.now_us, wait_until=clock.wait_until
        ):
            if moment is None:
                terminal.paint([*screen.rows(clock.now_us(), columns()), about])
            else:
                pad.play(moment)
                screen.show(moment, teller.tell(moment))
    for row in [*screen.score(session.end_us, columns()), screen.legend(), about]:
        print(styled(row), file=stream)


def can_draw(stream: TextIO, environment: Mapping[str, str]) -> bool:
    """Whether a picture can be drawn here, and nobody has asked for plain text."""
    from remapd.show.demo_screen import COLUMNS, ROWS
    from remapd.show.terminal import size_of

    if environment.get("NO_COLOR") or environment.get("TERM", "") in {"", "dumb"}:
        return False
    columns, rows = size_of(stream)
    return stream.isatty() and columns >= COLUMNS and rows >= ROWS


def what_next() -> str:
    """What to try after the demo, with the command as it has to be typed here."""
    command = Path(sys.prefix, "bin", "remapd")
    if command.is_relative_to(Path.cwd()):
        command = command.relative_to(Path.cwd())
    layouts = Path("layouts")
    installed = Path(sys.prefix, "share", "remapd", "layouts")
    if not layouts.is_dir() and installed.is_dir():
        layouts = installed
    return (
        "\nThat was a recording, played through layouts/trackball-and-knees.yaml.\n"
        f"To play yourself, keys for switches: {command} run {layouts / 'keyboard.yaml'}"
    )


# ---------------------------------------------------------------- the session and its time


def new_session() -> Session:
    """The recorded session from its beginning.

    Raises:
        CommandFailed: the recording that came with remapd is damaged.
    """
    from remapd.cli.layout_file import layout_of_text
    from remapd.recording.lines import RecordingError
    from remapd.show.demo_recording import open_demo
    from remapd.show.session import Session

    try:
        with open_demo() as recording:
            return Session(recording, layout_of_text)
    except (RecordingError, OSError) as error:
        raise CommandFailed(f"the demo's recording cannot be played: {error}") from error


class Clock:
    """The session's time, so many times as fast as that of the world; starts when told to."""

    def __init__(self, times_as_fast: float) -> None:
        self._times_as_fast = times_as_fast
        self._start_s = time.monotonic()

    def start(self) -> None:
        """It is 0 now."""
        self._start_s = time.monotonic()

    def now_us(self) -> int:
        """How far the session has come."""
        return int((time.monotonic() - self._start_s) * self._times_as_fast * 1_000_000)

    def wait_until(self, us: int) -> None:
        """Returns when the session has come so far."""
        left_s = (us - self.now_us()) / 1_000_000 / self._times_as_fast
        if left_s > 0:
            time.sleep(left_s)


# ---------------------------------------------------------------- the pad


class DemoPad:
    """The virtual gamepad that the session plays into, or none."""

    def __init__(self, pad: Pad | None, about: str) -> None:
        self.about = about
        self._pad = pad
        self._away: set[tuple[int, int]] = set()  # type and code of what is not at rest

    def play(self, moment: Moment) -> None:
        """Sends the frames of a moment."""
        if self._pad is None:
            return
        for frame in moment.frames:
            parts = (frame.events[0:-3:3], frame.events[1:-3:3], frame.events[2:-3:3])
            values = {(kind, code): value for kind, code, value in zip(*parts, strict=True)}
            # An interruption may come at any point: what is to be let go is known before it is
            # pressed, and forgotten after it has been let go.
            self._away |= {place for place, value in values.items() if value}
            self._pad.write(frame.events)
            self._away -= {place for place, value in values.items() if not value}

    def close(self) -> None:
        """Lets go of everything, then takes it away: a pad that vanishes while something on it is
        pressed stays pressed in some games.
        """
        if self._pad is None:
            return
        if self._away:
            rest = [number for place in sorted(self._away) for number in (*place, 0)]
            self._pad.write([*rest, 0, 0, 0])
            # What a game has not read when the device goes is lost to it (evdev_read in the
            # kernel's drivers/input/evdev.c); three of its pictures at 30 a second are time enough.
            time.sleep(READ_S)
        self._pad.close()


@contextmanager
def pad_where_possible(*, wanted: bool) -> Iterator[DemoPad]:
    """A virtual gamepad where one can be made."""
    if not wanted:
        yield DemoPad(None, "Only shown: no virtual gamepad was asked for.")
        return
    only_shown = "Only shown, no virtual gamepad here: "
    try:
        from remapd.kernel.errors import KernelError
        from remapd.kernel.pad import Pad
    except ImportError:  # the set-up found no compiler for the device libraries
        yield DemoPad(None, f"{only_shown}the device libraries are missing.")
        return
    try:
        made = Pad(PAD_NAME)
    except KernelError as error:
        yield DemoPad(None, f"{only_shown}{error.message.partition(':')[0]}.")
        return
    pad = DemoPad(made, f'It is real: games see it as "{PAD_NAME}" ({made.node}).')
    try:
        yield pad
        pad.close()
    except KernelError as error:
        raise CommandFailed(str(error)) from error
    except KeyboardInterrupt:
        pad.close()
        raise
    finally:
        made.close()
