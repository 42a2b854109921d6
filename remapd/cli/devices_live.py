"""What each device sends, as it is pressed: a picture, one sentence a line, or JSON lines."""

from __future__ import annotations

import contextlib
import json
import os
import sys
import termios
from collections.abc import Callable, Iterator, Mapping
from typing import Final, TextIO

from remapd.analysis.device_kinds import in_words
from remapd.analysis.input_seen import InputSeen
from remapd.cli.devices_listing import (
    Listed,
    allowing_command,
    gather,
    layout_lines,
)
from remapd.codes import EV_ABS, EV_KEY, EV_REL, code_name
from remapd.kernel.frames import Event
from remapd.kernel.hotplug import NodeDescription
from remapd.kernel.several import SeveralDevices
from remapd.kernel.timer import monotonic_us
from remapd.show.device_rows import ShownDevice, rows

#: How often the picture is painted anew at most: nothing flickers, and a press is seen at once.
_PAINT_US: Final = 40_000
_WIDEST: Final = 120

Wanted = Callable[[NodeDescription], bool]


def show_picture(stream: TextIO, wanted: Wanted, end_us: int | None) -> None:
    """Paints until Ctrl-C or `end_us`, then prints the lines for a layout of what was touched."""
    from remapd.show.terminal import Terminal, size_of

    with SeveralDevices(wanted) as devices:
        shown: dict[str, ShownDevice] = {}
        with contextlib.suppress(KeyboardInterrupt), typing_unseen(), Terminal(stream) as terminal:
            painted_us = 0
            while end_us is None or monotonic_us() < end_us:
                _follow(devices, shown)
                now_us = monotonic_us()
                if now_us >= painted_us + _PAINT_US:
                    painted_us = now_us
                    columns = min(size_of(stream)[0], _WIDEST)
                    terminal.paint(rows(list(shown.values()), columns, _notes(devices)))
                for device, (us, events) in devices.read(_next_us(shown, end_us, painted_us)):
                    each = shown.get(device.path)
                    if each is not None:
                        each.say(each.seen.feed(us, events))
                for each in shown.values():
                    each.say(each.seen.advance(monotonic_us()))
    _tell_lines(stream, shown)


def tell_sentences(stream: TextIO, wanted: Wanted, end_us: int | None) -> None:
    """One sentence a line, as it happens, until Ctrl-C or `end_us`."""
    with SeveralDevices(wanted) as devices:
        shown: dict[str, ShownDevice] = {}
        told_denied: set[str] = set()
        with contextlib.suppress(KeyboardInterrupt), typing_unseen():
            while end_us is None or monotonic_us() < end_us:
                for line in _follow(devices, shown):
                    print(line, file=stream, flush=True)
                for path in devices.denied.keys() - told_denied:
                    print(f"{path} may not be read: {allowing_command(path)}", file=stream)
                told_denied |= devices.denied.keys()
                said: list[tuple[str, str]] = []
                for device, (us, events) in devices.read(_next_us(shown, end_us, None)):
                    each = shown.get(device.path)
                    if each is not None:
                        said += [(each.source.name, s) for s in each.seen.feed(us, events)]
                now_us = monotonic_us()
                for each in shown.values():
                    said += [(each.source.name, s) for s in each.seen.advance(now_us)]
                for name, sentence in said:
                    print(f"{name}: {sentence}", file=stream, flush=True)
    _tell_lines(stream, shown)


def tell_json(stream: TextIO, wanted: Wanted, end_us: int | None) -> None:
    """One JSON object a frame: time (µs, monotonic), node, name, and events by their names."""
    type_names = {EV_KEY: "EV_KEY", EV_REL: "EV_REL", EV_ABS: "EV_ABS"}

    def named(event: Event) -> list[str | int]:
        return [type_names[event[0]], code_name(event[0], event[1]), event[2]]

    with SeveralDevices(wanted) as devices, contextlib.suppress(KeyboardInterrupt):
        while end_us is None or monotonic_us() < end_us:
            for device, (us, events) in devices.read(end_us):
                line = {
                    "us": us,
                    "node": device.path,
                    "name": device.source.name,
                    "events": [named(event) for event in events],
                }
                print(json.dumps(line, ensure_ascii=False), file=stream, flush=True)


def can_draw(stream: TextIO, environment: Mapping[str, str]) -> bool:
    """Whether a picture can be drawn here, and nobody has asked for plain text."""
    plain = environment.get("NO_COLOR") or environment.get("TERM", "") in {"", "dumb"}
    return not plain and stream.isatty()


@contextlib.contextmanager
def typing_unseen() -> Iterator[None]:
    """A switch that acts as a keyboard types into this terminal: neither shown nor kept."""
    if not sys.stdin.isatty():
        yield
        return
    fd = sys.stdin.fileno()
    before = termios.tcgetattr(fd)
    quiet = termios.tcgetattr(fd)
    quiet[3] &= ~(termios.ECHO | termios.ICANON)  # Ctrl-C goes on being a signal
    termios.tcsetattr(fd, termios.TCSADRAIN, quiet)
    try:
        yield
    finally:
        termios.tcflush(fd, termios.TCIFLUSH)
        termios.tcsetattr(fd, termios.TCSADRAIN, before)


def _follow(devices: SeveralDevices, shown: dict[str, ShownDevice]) -> list[str]:
    """Makes `shown` hold what is opened; a sentence for each that came or went."""
    gone = shown.keys() - devices.opened.keys()
    lines = [f"{shown.pop(path).source.name} is gone." for path in gone]
    for path in devices.opened.keys() - shown.keys():
        device = devices.opened[path]
        source = device.source
        seen = InputSeen(source.axes, device.held(), device.axes())
        shown[path] = ShownDevice(source, in_words(source), seen)
        lines.append(f"{source.name}: {in_words(source)}, at {path}.")
    return lines


def _next_us(
    shown: Mapping[str, ShownDevice], end_us: int | None, painted_us: int | None
) -> int | None:
    due = [each.seen.due_us for each in shown.values()]
    known = [us for us in (*due, end_us) if us is not None]
    if painted_us is not None:
        known.append(max(painted_us + _PAINT_US, monotonic_us() + _PAINT_US))
    return min(known, default=None)


def _notes(devices: SeveralDevices) -> list[str]:
    return [f"{path} may not be read: {allowing_command(path)}" for path in devices.denied]


def _tell_lines(stream: TextIO, shown: Mapping[str, ShownDevice]) -> None:
    """The lines for a layout of the devices that were touched, with what was pressed first."""
    touched = {path: each for path, each in shown.items() if each.is_touched}
    if not touched:
        return
    all_listed = gather()
    by_path: dict[str, Listed] = {listed.node.path: listed for listed in all_listed}
    print("\nFor a layout:", file=stream)
    for path, each in touched.items():
        if path in by_path:
            print(f"  # {each.source.name}", file=stream)
            for line in layout_lines(by_path[path], all_listed, each.seen.pressed):
                print(f"  {line}", file=stream)


def ends_at_us(seconds: float | None) -> int | None:
    """When a time that begins now is over."""
    return None if seconds is None else monotonic_us() + int(seconds * 1e6)


def is_plain_wanted() -> bool:
    """Whether standard output cannot show a picture."""
    return not can_draw(sys.stdout, os.environ)
