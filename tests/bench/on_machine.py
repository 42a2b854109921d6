"""The part that needs no kernel: the engine's time, growth, start, replay, reload.

Times are of processor time where one thread works, so that other work on the machine counts less,
and the best of several, or the median where a spread is what matters.
"""

from __future__ import annotations

import gc
import os
import pickle
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from remapd.compiling.finder import COMPILED_NAME, PURE, PURE_NAME, form_in_use
from remapd.daemon.reading import Reading, Unpacker, pack
from remapd.engine import Layout
from remapd.kernel.pad import UINPUT_PATH
from remapd.language import load_text
from remapd.recording.lines import RecordedDevice
from remapd.recording.writer import RecordingWriter
from tests.bench.layouts import SUBJECTS, grown
from tests.bench.traffic import NODES, STREAMS, Stream, prepared_engine, source

_FRAMES: Final = 2000
_REPEATS: Final = 9
_REPLAY_FRAMES: Final = 100_000
#: (bindings, layers) of the layouts whose growth is looked at.
GROWTH: Final = ((10, 1), (100, 1), (1000, 1), (1000, 10), (1000, 50))

_PREFIX: Final = "bench"


@dataclass
class OnMachine:
    """Everything measured here."""

    form: str
    #: (layout, stream): microseconds per frame, and per event.
    engine_us: dict[tuple[str, str], tuple[float, float]] = field(default_factory=dict)
    #: By (bindings, layers): microseconds per frame, of the swap of layouts, and of the longest
    #: piece of the new one that is taken over from the process that reads it.
    growth_us: dict[tuple[int, int], tuple[float, float, float]] = field(default_factory=dict)
    #: Milliseconds until the daemon wants to make its pad, layout read; and of Python alone.
    start_ms: float = 0.0
    python_ms: float = 0.0
    #: Frames a second of `remapd replay`, with everything from the file to the file.
    replay: float = 0.0
    #: The same of the engine alone on the same frames.
    replay_engine: float = 0.0


def measure_form(compiled: bool) -> OnMachine:
    """All of it in one form of remapd, in a process of its own."""
    environment = os.environ | {PURE: "" if compiled else "1"}
    words = [sys.executable, "-m", "tests.bench.in_form"]
    done = subprocess.run(words, env=environment, stdout=subprocess.PIPE, check=True)
    results: OnMachine = pickle.loads(done.stdout)  # noqa: S301 - our own process
    assert results.form == (COMPILED_NAME if compiled else PURE_NAME)
    return results


def measure_here() -> OnMachine:
    """All of it, with whichever form of remapd is imported."""
    results = OnMachine(form_in_use().name)
    gc.disable()
    try:
        for subject in SUBJECTS:
            layout = loaded(subject.text(_PREFIX))
            for stream in STREAMS:
                results.engine_us[subject.key, stream.key] = engine_us(layout, subject.key, stream)
        stream = next(s for s in STREAMS if s.key == "1000")
        for bindings, layers in GROWTH:
            layout = loaded(grown(_PREFIX, bindings, layers))
            results.growth_us[bindings, layers] = (
                engine_us(layout, "a", stream)[0],
                *reload_us(layout),
            )
    finally:
        gc.enable()
    results.start_ms, results.python_ms = start_ms()
    results.replay, results.replay_engine = replay()
    return results


def loaded(text: str) -> Layout:
    """The built layout."""
    layout = load_text(text).layout
    assert layout is not None
    return layout


def engine_us(layout: Layout, key: str, stream: Stream) -> tuple[float, float]:
    """Microseconds of processor time per frame and per event: the engine alone."""
    names = list(NODES)
    frames = []
    events = 0
    for number in range(_FRAMES):
        frame = stream.frame(number)
        if number % 50:  # the kernel passes a button on only when it changes
            frame = [event for event in frame if event[0] != 1]
        events += len(frame)
        frames.append((names.index(stream.nodes[number % len(stream.nodes)]), frame))
    step_us = 1_000_000 // stream.rate
    best = float("inf")
    for _ in range(_REPEATS):
        engine, us = prepared_engine(layout, key, _PREFIX)
        began_ns = time.thread_time_ns()
        for node, frame in frames:
            us += step_us
            engine.feed(us, node, frame)
            if engine.output:
                engine.drain()
        best = min(best, (time.thread_time_ns() - began_ns) / 1000)
    return best / _FRAMES, best / events


def reload_us(layout: Layout) -> tuple[float, float]:
    """Microseconds that a reload keeps the input loop: the swap, and unpacking what was read."""
    before = loaded(SUBJECTS[0].text(_PREFIX))
    packed = pack(Reading("layout.yaml", 1, layout))

    def swap() -> Callable[[], object]:
        engine, us = prepared_engine(before, "a", _PREFIX)
        return lambda: engine.swap_layout(us + 1000, layout)

    return median_us(swap), longest_piece_us(packed)


def longest_piece_us(packed: bytes) -> float:
    """The longest that the loop is kept by one piece of a new layout; the median of several."""
    longest = []
    for _ in range(_REPEATS):
        unpacker = Unpacker()
        at = 0
        times = [0.0]
        while at < len(packed):
            piece = packed[at : at + unpacker.wanted]
            at += len(piece)
            began_ns = time.thread_time_ns()
            unpacker.take(piece)
            times.append((time.thread_time_ns() - began_ns) / 1000)
        longest.append(max(times))
    return statistics.median(longest)


def median_us(prepare: Callable[[], Callable[[], object]]) -> float:
    """The median time of what `prepare` makes ready each time."""
    times = []
    for _ in range(_REPEATS):
        call = prepare()
        began_ns = time.thread_time_ns()
        call()
        times.append((time.thread_time_ns() - began_ns) / 1000)
    return statistics.median(times)


#: Starts as the installed command does, and ends where it would open the node of virtual devices.
_UNTIL_THE_PAD: Final = f"""
import os, sys
from remapd.cli.begin import main
sys.addaudithook(lambda what, about: what == "open" and about[0] == {UINPUT_PATH!r} and os._exit(0))
sys.exit(main())
"""


def start_ms() -> tuple[float, float]:
    """Milliseconds until `remapd run` opens the node to make its pad, and of Python alone.

    By then all is imported, and the layout has been read.
    """
    with tempfile.TemporaryDirectory() as folder:
        layout = Path(folder, "layout.yaml")
        layout.write_text(SUBJECTS[0].text(_PREFIX))
        run = [sys.executable, "-c", _UNTIL_THE_PAD, "run", "--name", "bench-start", str(layout)]
        environment = os.environ | {"RUNTIME_DIRECTORY": folder}
        starts: list[float] = []
        nothings: list[float] = []
        for _ in range(_REPEATS):
            for words, times in ((run, starts), ([sys.executable, "-c", "pass"], nothings)):
                began_ns = time.monotonic_ns()
                subprocess.run(words, env=environment, capture_output=True, check=True)
                times.append((time.monotonic_ns() - began_ns) / 1e6)
        return statistics.median(starts), statistics.median(nothings)


def replay() -> tuple[float, float]:
    """Frames a second of `remapd replay` from file to file, and of the engine alone."""
    stream = next(s for s in STREAMS if s.key == "1000")
    with tempfile.TemporaryDirectory() as folder:
        layout, recording = Path(folder, "layout.yaml"), Path(folder, "recording.jsonl")
        layout.write_text(SUBJECTS[0].text(_PREFIX))
        with recording.open("wb") as out:
            writer = RecordingWriter(
                out,
                [RecordedDevice(source(name, _PREFIX, n)) for n, name in enumerate(NODES)],
                flush=False,
            )
            for number in range(_REPLAY_FRAMES):
                writer.frame(number * 1000, 0, [e for e in stream.frame(number) if e[0] != 1])
        words = [str(Path(sys.prefix, "bin", "remapd")), "replay", str(layout), str(recording)]
        words += ["--output", os.devnull]
        seconds = []
        for _ in range(3):
            before = os.times()
            subprocess.run(words, check=True, capture_output=True)
            after = os.times()
            seconds.append(after.children_user - before.children_user)
    per_frame_us = engine_us(loaded(SUBJECTS[0].text(_PREFIX)), "a", stream)[0]
    return _REPLAY_FRAMES / min(seconds), 1e6 / per_frame_us
