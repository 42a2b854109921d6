"""What was measured, as tables; the last two times are kept in docs/performance.md."""

from __future__ import annotations

import os
import platform
import statistics
import time
from pathlib import Path
from typing import Any, Final

from remapd.language import load_text
from tests.bench.latencies import Measured, measure, raw_marks, share
from tests.bench.layouts import SUBJECTS
from tests.bench.on_kernel import COMPILED, LIMIT, NOTHING, PLAIN
from tests.bench.on_machine import OnMachine
from tests.bench.traffic import STREAMS, Stream, marks_seen

PAGE: Final = Path(__file__).resolve().parents[2] / "docs" / "performance.md"
BEGIN: Final = "<!-- measured: python3 tests/bench writes from here on -->\n"
_BETWEEN: Final = "\n<!-- the time before -->\n"


def heading() -> str:
    """Which machine, and when."""
    processor = next(
        (
            line.partition(":")[2].strip()
            for line in Path("/proc/cpuinfo").read_text().splitlines()
            if line.startswith("model name")
        ),
        platform.machine(),
    )
    load = ", ".join(f"{value:.1f}" for value in os.getloadavg())
    return (
        f"## {time.strftime('%Y-%m-%d %H:%M')}: {processor}, {os.cpu_count()} processors, "
        f"Python {platform.python_version()}; load before it: {load}\n"
    )


def machine_table(forms: list[OnMachine]) -> str:
    """What needs no kernel, of each form of remapd."""
    titles = {subject.key: subject.title for subject in SUBJECTS}
    streams = {stream.key: stream.title for stream in STREAMS}
    names = [here.form for here in forms]
    lines = ["### The engine alone, processor time\n"]
    lines += table_head("layout", "frames", *(f"{n}, µs a frame | an event" for n in names))
    for key, stream in forms[0].engine_us:
        both = [here.engine_us[key, stream] for here in forms]
        values = " | ".join(f"{frame:.2f} | {event:.2f}" for frame, event in both)
        lines.append(f"| {titles[key]} | {streams[stream]} | {values} |")
    lines += ["", "### How it grows\n"]
    columns = (f"{n}, µs a frame | swap, ms | longest piece taken over, ms" for n in names)
    lines += table_head("bindings", "layers", *columns)
    for bindings, layers in forms[0].growth_us:
        cells = [here.growth_us[bindings, layers] for here in forms]
        values = " | ".join(f"{f:.2f} | {s / 1000:.2f} | {p / 1000:.2f}" for f, s, p in cells)
        lines.append(f"| {bindings} | {layers} | {values} |")
    lines += ["", "### Start and replay\n", *table_head("what", *names)]
    for what, row_values in (
        (
            "start until the pad is to be made, layout read, ms",
            [f"{here.start_ms:.0f}" for here in forms],
        ),
        ("of which Python alone, ms", [f"{here.python_ms:.0f}" for here in forms]),
        (
            "`remapd replay`, file to file, frames a second",
            [f"{here.replay:,.0f}" for here in forms],
        ),
        (
            "the engine alone on these frames, frames a second",
            [f"{here.replay_engine:,.0f}" for here in forms],
        ),
    ):
        lines.append(f"| {what} | {' | '.join(row_values)} |")
    return "\n".join([*lines, ""])


def table_head(*columns: str) -> list[str]:
    """The two lines with which a table begins; a column may hold several."""
    line = f"| {' | '.join(columns)} |"
    return [line, "|---" * (line.count("|") - 1) + "|"]


def kernel_table(results: dict[str, Any], folder: Path) -> str:
    """End to end, each as a ratio to the C pass-through of the same boot."""
    streams = {stream.key: stream for stream in STREAMS}
    measured: dict[tuple[str, str], list[tuple[Measured, dict[str, Any]]]] = {}
    for run in results["runs"]:
        stream = streams[run["stream"]]
        marks = marks_of(run["subject"], stream)
        files = folder / run["files"]
        one = measure(files.with_suffix(".sent"), files.with_suffix(".seen"), stream, marks)
        measured.setdefault((stream.key, run["subject"]), []).append((one, run))
    counted = folder / "counted"
    clock = ""
    if counted.exists():
        clock = f", in a VM whose clock goes by instructions, {counted.read_text()} ns each"
    lines = [f"### End to end, Linux {results['kernel']}{clock}\n"]
    lines += ["| frames | what | p50 µs | × C | p90 | p99 | µs of CPU a frame | × C | lost |"]
    lines += ["|---|---|---|---|---|---|---|---|---|"]
    for stream_key in dict.fromkeys(key for key, _ in measured):
        limit = summary(measured[stream_key, LIMIT])
        for (key, subject), runs in measured.items():
            if key == stream_key:
                lines.append(row(streams[key].title, subject, summary(runs), limit))
    lines += ["", "| process | ready after, ms | resident, MB | proportional | wake-ups a second |"]
    lines += ["|---|---|---|---|---|"]
    for subject, parts in results["memory"].items():
        for part, (resident, proportional) in parts.items():
            starts = results["start_us"].get(subject) if part == "itself" else None
            start = f"{starts[0] / 1000:.0f}" if starts else ""
            lines.append(
                f"| {subject} {part} | {start} | {resident / 1024:.1f} | {proportional / 1024:.1f} "
                f"| {results['wakes'][subject][part]:.1f} |"
            )
    return "\n".join([*lines, ""])


def marks_of(subject: str, stream: Stream) -> dict[tuple[int, int], int]:
    """How the marks of a stream come out of a subject."""
    if subject in {LIMIT, NOTHING, PLAIN}:
        return raw_marks(stream)
    key = subject.removesuffix(COMPILED)
    layout = load_text(next(s for s in SUBJECTS if s.key == key).text(subject)).layout
    assert layout is not None
    return marks_seen(layout, key, subject, stream)


def summary(runs: list[tuple[Measured, dict[str, Any]]]) -> tuple[float, ...]:
    """p50, p90, p99 (medians over the rounds), CPU a frame, lost; µs."""
    arrived = [one for one, _ in runs if one.arrived]
    if not arrived:
        return float("nan"), float("nan"), float("nan"), float("nan"), sum(m.lost for m, _ in runs)
    shares = [
        statistics.median(share(one.latencies_us, wanted) for one in arrived)
        for wanted in (0.5, 0.9, 0.99)
    ]
    cpu = statistics.median(run["cpu_ns"] / 1000 / max(one.arrived, 1) for one, run in runs)
    return *shares, cpu, sum(one.lost for one, _ in runs)


def row(stream: str, subject: str, of: tuple[float, ...], limit: tuple[float, ...]) -> str:
    """One line of the table."""
    p50, p90, p99, cpu, lost = of
    return (
        f"| {stream} | {subject} | {p50:.0f} | {p50 / limit[0]:.2f} | {p90:.0f} | {p99:.0f} | "
        f"{cpu:.0f} | {cpu / limit[3] if limit[3] else 0:.2f} | {lost:.0f} |"
    )


def keep(text: str) -> None:
    """Puts it into the page, before what was measured the time before; older ones go."""
    before, _, measured = PAGE.read_text().partition(BEGIN)
    last = measured.partition(_BETWEEN)[0].strip()
    PAGE.write_text(before + BEGIN + "\n" + text.strip() + "\n" + (_BETWEEN + "\n" + last + "\n"))
