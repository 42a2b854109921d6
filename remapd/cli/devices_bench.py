"""One switch on the bench: asks for presses to a beat, and says what the contact did."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from typing import Final, TextIO

from remapd.analysis.bench_words import data, sentences
from remapd.analysis.switch_bench import Edge, bench_report, pulse_length_us
from remapd.cli.devices_live import typing_unseen
from remapd.cli.failure import CommandFailed
from remapd.codes import EV_KEY, code_name
from remapd.kernel.frames import Frame
from remapd.kernel.several import SeveralDevices
from remapd.kernel.source import SourceDevice
from remapd.kernel.timer import monotonic_us

#: How long the switch is to be held, so that a box that sends pulses shows itself.
HOLD_US: Final = 2_000_000
#: After a release, for its chatter.
_AFTER_US: Final = 500_000
_FIRST_PRESS_LIMIT_US: Final = 60_000_000
_BELL: Final = "\a"


def bench(path: str, presses: int, every_us: int, *, as_json: bool) -> int:
    """Runs the bench on the node; exit code 0 where the switch is sound, 1 where it is not.

    What is asked of the tester goes to standard error, what came of it to standard output.
    """
    asks = sys.stderr
    with SeveralDevices(lambda node: node.path == path) as devices, typing_unseen():
        device = devices.opened.get(path)
        if device is None:
            raise devices.denied.get(path) or CommandFailed(f"{path} cannot be opened")
        print(f"On the bench: {device.source.name}. Ctrl-C ends it.", file=asks)
        if device.held():
            print("Something on it is pressed: let everything go.", file=asks)
            _collect(devices, device, lambda _frames: not device.held(), _FIRST_PRESS_LIMIT_US)
        code, pulse_us = _hold_test(devices, device, asks)
        edges, beats_us = _beats(devices, device, code, presses, every_us, asks)
    report = bench_report(edges, beats_us, pulse_us=pulse_us)
    if as_json:
        about = {"node": path, "name": device.source.name, "button": code_name(EV_KEY, code)}
        print(json.dumps(about | data(report), ensure_ascii=False))
    else:
        print(f"{device.source.name}, {code_name(EV_KEY, code)}")
        print("\n".join(sentences(report)))
    return 0 if report.sound and report.presses else 1


def _hold_test(
    devices: SeveralDevices, device: SourceDevice, asks: TextIO
) -> tuple[int, int | None]:
    """Which button it is, and the length of its pulse where it does not stay pressed."""
    seconds = HOLD_US // 1_000_000
    print(f"Press the switch and hold it for {seconds} seconds, until the bell.", file=asks)
    frames = _collect(
        devices, device, lambda frames: _first_press(frames) is not None, _FIRST_PRESS_LIMIT_US
    )
    first = _first_press(frames)
    if first is None:
        raise CommandFailed("no press came within a minute; is it the right device?")
    code, pressed_us = first
    frames += _collect_until(devices, device, pressed_us + HOLD_US)
    print(f"Let it go now.{_BELL}", file=asks, flush=True)
    _collect(devices, device, lambda _frames: code not in device.held(), _FIRST_PRESS_LIMIT_US)
    _collect_until(devices, device, monotonic_us() + _AFTER_US)
    return code, pulse_length_us(_edges(frames, code), HOLD_US)


def _beats(
    devices: SeveralDevices,
    device: SourceDevice,
    code: int,
    presses: int,
    every_us: int,
    asks: TextIO,
) -> tuple[list[Edge], list[int]]:
    """Asks for the presses; the edges that came, and when each press was asked for."""
    print(
        f"Now press once to each bell, {presses} times, as in play; one bell in "
        f"{every_us / 1e6:g} seconds.",
        file=asks,
    )
    frames = _collect_until(devices, device, monotonic_us() + 2 * every_us)
    beats_us: list[int] = []
    for number in range(1, presses + 1):
        beats_us.append(monotonic_us())
        if asks.isatty():
            print(f"\rpress {number} of {presses} {_BELL}", end="", file=asks, flush=True)
        else:
            print(f"press {number} of {presses}", file=asks, flush=True)
        frames += _collect_until(devices, device, beats_us[-1] + every_us)
    frames += _collect_until(devices, device, monotonic_us() + _AFTER_US)
    if asks.isatty():
        print(file=asks)
    return _edges(frames, code), beats_us


def _collect(
    devices: SeveralDevices,
    device: SourceDevice,
    enough: Callable[[list[Frame]], bool],
    limit_us: int,
) -> list[Frame]:
    """Frames until `enough` says so, or the limit is over."""
    frames: list[Frame] = []
    end_us = monotonic_us() + limit_us
    while not enough(frames) and monotonic_us() < end_us:
        frames += _read(devices, device, end_us)
    return frames


def _collect_until(devices: SeveralDevices, device: SourceDevice, end_us: int) -> list[Frame]:
    frames: list[Frame] = []
    while monotonic_us() < end_us:
        frames += _read(devices, device, end_us)
    return frames


def _read(devices: SeveralDevices, device: SourceDevice, end_us: int) -> list[Frame]:
    frames = [frame for _, frame in devices.read(end_us)]
    if device.path not in devices.opened:
        raise CommandFailed(f"{device.source.name} was unplugged; the bench has ended")
    return frames


def _first_press(frames: list[Frame]) -> tuple[int, int] | None:
    """The code of the first press, and its time."""
    for us, events in frames:
        for event_type, code, value in events:
            if event_type == EV_KEY and value:
                return code, us
    return None


def _edges(frames: list[Frame], code: int) -> list[Edge]:
    return [
        (us, bool(value))
        for us, events in frames
        for event_type, event_code, value in events
        if event_type == EV_KEY and event_code == code
    ]
