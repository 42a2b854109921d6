"""What watching costs play, and how soon a cue is heard: `python -m tests.bench.watchers`.

The daemon of the tests (everything but kernel and pad is real) with a stick that reports 1000 times
a second: its processor time for each report, alone, and with a picture in a terminal and a page
beside it, and how often these show a new picture. Then cues: from the press until its words are at
the speech server. No limits: figures to read.
"""

from __future__ import annotations

import math
import os
import re
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import urllib.request
from collections import Counter
from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from tests.support.speech_server import SpeechServerStandIn
from tests.support.stand_in_daemon import StandInDaemon
from tests.support.watching import Watching

_LAYOUT: Final = """\
remapd: 1
title: A boat
base: sail
devices:
  foot: {find: {name: "Foot stick"}, controls: {tiller: {stick: [ABS_X, ABS_Y]}}}
  knees: {find: {name: "Knee box"}, controls: {knee: {button: BTN_0}}}
layers:
  sail: {tiller: left-stick, knee: {layer: net, how: toggle}}
  net: {}
"""
_RATE_HZ: Final = 1000
_SECONDS: Final = 4
_ROUNDS: Final = 3
_PRESSES: Final = 30
_LIMIT_S: Final = 20.0


class PageReader:
    """A browser as far as the daemon and the page's server know: it takes every picture."""

    def __init__(self, address: str) -> None:
        self.pictures = 0
        self._events = urllib.request.urlopen(f"{address}events", timeout=_LIMIT_S)  # noqa: S310
        self._thread = threading.Thread(target=self._read, daemon=True)
        self._thread.start()

    def _read(self) -> None:
        for line in self._events:
            self.pictures += line.startswith(b"data: ")


@dataclass(frozen=True)
class Watchers:
    """A picture in a terminal, and a page that somebody reads."""

    terminal: Watching
    server: Watching
    page: PageReader

    @property
    def pids(self) -> Sequence[int]:
        return [self.terminal.process.pid, self.server.process.pid]


def cpu_ns(pid: int) -> int:
    """Processor time of a process, all its threads together."""
    return sum(
        int((task / "schedstat").read_text().split()[0])
        for task in Path(f"/proc/{pid}/task").iterdir()
    )


def sweep(daemon: StandInDaemon, watchers: Watchers | None) -> int:
    """Moves the stick round, `_RATE_HZ` times a second; how many reports that were."""
    began_s = time.monotonic()
    count = _SECONDS * _RATE_HZ
    for number in range(count):
        angle = number / 100
        daemon.move("tiller", math.cos(angle), math.sin(angle))
        if watchers is not None and number % 20 == 0:
            watchers.terminal.take_in()
        wait_s = began_s + number / _RATE_HZ - time.monotonic()
        if wait_s > 0:
            time.sleep(wait_s)
    return count


def drawn(text: str) -> int:
    """How many pictures a terminal was shown, where in each at least one row was another one."""
    return max(Counter(re.findall(r"\x1b\[(\d+);1H", text)).values(), default=0)


@dataclass(frozen=True)
class Measured:
    """What a sweep took of the daemon and of each screen, and what was seen of it."""

    us_a_report: float
    share_of_screen: float = 0.0
    in_terminal_hz: float = 0.0
    on_page_hz: float = 0.0
    let_go: int = 0


def measured(daemon: StandInDaemon, watchers: Watchers | None = None) -> Measured:
    """One sweep."""
    clients = daemon.ask("status")["status"]["clients"]
    pids = [] if watchers is None else watchers.pids
    if watchers is not None:
        watchers.terminal.text, watchers.page.pictures = "", 0
    before, of_screens = cpu_ns(daemon.process.pid), sum(map(cpu_ns, pids))
    began_s = time.monotonic()
    count = sweep(daemon, watchers)
    took_s = time.monotonic() - began_s
    us = (cpu_ns(daemon.process.pid) - before) / count / 1000
    if watchers is None:
        return Measured(us)
    return Measured(
        us,
        (sum(map(cpu_ns, pids)) - of_screens) / 1e9 / took_s / len(pids),
        drawn(watchers.terminal.text) / took_s,
        watchers.page.pictures / took_s,
        clients - daemon.ask("status")["status"]["clients"],
    )


def watching_cost(folder: Path) -> None:
    """Alone and watched in turn, so that whatever else the machine does is in both."""
    layout = folder / "boat.yaml"
    layout.write_text(_LAYOUT)
    alone: list[Measured] = []
    watched: list[Measured] = []
    with StandInDaemon(folder, layout) as daemon:
        for _ in range(_ROUNDS):
            alone.append(measured(daemon))
            with ExitStack() as at_round_end:
                terminal, server = Watching(daemon, size=(100, 30)), Watching(daemon, "--page")
                at_round_end.callback(terminal.close)
                at_round_end.callback(server.close)
                terminal.read_until("what the hands do")
                address = server.read_until("Ctrl-C ends it.").split("The page: ")[1]
                page = PageReader(address.splitlines()[0])
                watched.append(measured(daemon, Watchers(terminal, server, page)))
    print(f"one stick at {_RATE_HZ} Hz, {_ROUNDS} rounds of {_SECONDS} s, processor time:")
    for name, each in (("alone", alone), ("with two screens", watched)):
        times_us = [one.us_a_report for one in each]
        print(f"  the daemon, {name}: {min(times_us):.0f} to {max(times_us):.0f} µs a report")
    share = statistics.median(one.share_of_screen for one in watched)
    print(f"  each screen: {100 * share:.1f} % of a core")
    for name, rates in (
        ("in the terminal", [one.in_terminal_hz for one in watched]),
        ("on the page", [one.on_page_hz for one in watched]),
    ):
        print(f"  pictures {name}: {min(rates):.1f} to {max(rates):.1f} a second")
    print(f"  screens that were let go: {sum(one.let_go for one in watched)}")


def cue_times(folder: Path) -> None:
    """From the press to the words at the speech server."""
    layout = folder / "boat.yaml"
    layout.write_text(_LAYOUT)
    server = SpeechServerStandIn(folder / "speech-dispatcher" / "speechd.sock")
    with ExitStack() as at_end:
        at_end.callback(server.close)
        daemon = at_end.enter_context(StandInDaemon(folder, layout))
        companion = subprocess.Popen(
            [sys.executable, "-m", "remapd", "cues", "--print"],
            env=daemon.environment | {"XDG_RUNTIME_DIR": str(folder)},
            stdout=subprocess.PIPE,
            text=True,
        )
        at_end.callback(companion.wait)
        at_end.callback(companion.terminate)
        assert companion.stdout is not None
        companion.stdout.readline()
        times_ms = [_spoken_ms(daemon, server) for _ in range(_PRESSES)]
    print(
        "a spoken cue, from the press to the speech server: "
        f"median {statistics.median(times_ms):.0f} ms, longest {max(times_ms):.0f} ms "
        f"of {len(times_ms)}"
    )


def _spoken_ms(daemon: StandInDaemon, server: SpeechServerStandIn) -> float:
    time.sleep(0.3)
    spoken = server.received.count("net")
    pressed_s = time.monotonic()
    daemon.press("knee")
    while server.received.count("net") == spoken:
        assert time.monotonic() < pressed_s + _LIMIT_S
        time.sleep(0.0005)
    took_ms = (time.monotonic() - pressed_s) * 1000
    daemon.release("knee")
    time.sleep(0.1)  # longer than `debounce`
    daemon.tap("knee")
    return took_ms


def main() -> None:
    """Prints the figures."""
    print(f"{os.cpu_count()} processors, load {', '.join(f'{x:.1f}' for x in os.getloadavg())}")
    for measure in (watching_cost, cue_times):
        with tempfile.TemporaryDirectory() as name:
            measure(Path(name))


if __name__ == "__main__":
    main()
