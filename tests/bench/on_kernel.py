"""The part that needs a kernel: `python -m tests.bench.on_kernel FOLDER`, in the VM or here.

Everything stands side by side in one boot, the C pass-through and one real daemon for each layout,
each with source devices of its own, and they are measured in turn, round by round. FOLDER holds the
compiled programs; the results go there too: `runs.json`, and for each run what was sent when and
what was seen when. Nothing is worked out here, where Python is slow.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any, Final

from evdev import AbsInfo, UInput

from remapd.codes import EV_ABS, EV_KEY, EV_REL
from remapd.compiling.finder import COMPILED_NAME, PURE, PURE_NAME
from remapd.daemon.client import DaemonClient
from tests.bench.layouts import SUBJECTS, grown
from tests.bench.traffic import (
    BALL,
    NODES,
    PAD,
    PREPARATION,
    PREPARATION_STEP_US,
    STREAMS,
    Event,
    Node,
    Stream,
)

#: The C pass-through, and a reader on the source itself with nothing in between.
LIMIT: Final = "limit"
NOTHING: Final = "nothing"
#: The same pass-through in Python: what no Python program can get below.
PLAIN: Final = "python"
#: What is put after a layout's key for the compiled form of remapd.
COMPILED: Final = "+"

CHECKOUT: Final = Path(__file__).resolve().parent.parent.parent
_START_LIMIT_S: Final = 90.0
_IDLE_S: Final = 10.0
#: After a run: the last frames have arrived, and the machine has calmed down.
_REST_S: Final = 0.15
#: So little in that time is no work; and a process that never rests is not waited for.
_CALM_NS: Final = 2_000_000
_CALM_LIMIT_S: Final = 3.0
RELOAD_BINDINGS: Final = 1000


@dataclass
class Run:
    """One subject with one stream in one round."""

    subject: str
    stream: str
    round: int
    files: str
    #: Nanoseconds of processor time that the subject used meanwhile, and how often it was woken.
    cpu_ns: int = 0
    switches: int = 0
    #: How many times the kernel threw frames away that the daemon had not read.
    losses: int = 0


@dataclass
class Results:
    """All that is measured here."""

    kernel: str
    processors: int
    runs: list[Run] = field(default_factory=list)
    #: By subject: microseconds from the start of the program to its being ready.
    start_us: dict[str, list[int]] = field(default_factory=dict)
    #: The same of a Python that does nothing.
    python_us: list[int] = field(default_factory=list)
    #: By subject and process: memory in KiB, resident and proportional.
    memory: dict[str, dict[str, tuple[int, int]]] = field(default_factory=dict)
    #: By subject and process: how often it was woken, a second, with no input.
    wakes: dict[str, dict[str, float]] = field(default_factory=dict)
    #: What `remapd status` says at the end, by subject.
    figures: dict[str, dict[str, Any]] = field(default_factory=dict)
    reloads: list[dict[str, Any]] = field(default_factory=list)


def main() -> int:
    """Measures everything that was asked for."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--subjects", default=",".join(s.key for s in SUBJECTS))
    parser.add_argument("--streams", default=",".join(s.key for s in STREAMS))
    parser.add_argument("--only-runs", action="store_true")
    parser.add_argument("--compiled", action="store_true", help="the compiled form as well")
    options = parser.parse_args()
    keys = options.subjects.split(",")
    if options.compiled:
        keys += [f"{key}{COMPILED}" for key in keys]
    streams = [stream for stream in STREAMS if stream.key in options.streams.split(",")]
    with ExitStack() as at_end:
        # not in FOLDER itself, which the VM shares with the machine: no sockets, and slow
        work = Path(at_end.enter_context(tempfile.TemporaryDirectory(prefix="remapd-bench-")))
        bench = KernelBench(work, options.folder)
        bench.stand_up(at_end, keys)
        for number in range(options.rounds):
            for stream in streams:
                for subject in (NOTHING, LIMIT, PLAIN, *keys):
                    bench.measure(subject, stream, number)
        if not options.only_runs:
            bench.rest()
            bench.reload("a")
        for file in [*work.glob("*.sent"), *work.glob("*.seen"), *work.glob("*.journal")]:
            shutil.copy(file, options.folder)
        (options.folder / "runs.json").write_text(json.dumps(asdict(bench.results)))
    return 0


class KernelBench:
    """The devices, the processes, and what is measured of them."""

    def __init__(self, folder: Path, programs: Path) -> None:
        """`programs` holds the C pass-through, the sender and the reader."""
        self.folder = folder
        self.programs = programs
        self.results = Results(os.uname().release, os.cpu_count() or 1)
        #: By subject: the process, its sources by name, and the node that games would read.
        self.processes: dict[str, subprocess.Popen[bytes]] = {}
        self.sources: dict[str, dict[str, UInput]] = {}
        self.nodes: dict[str, str] = {}
        self.layouts: dict[str, Path] = {}

    # ---------------------------------------------------------------- standing up
    def stand_up(self, at_end: ExitStack, keys: list[str]) -> None:
        """Makes every device and starts every process; all end with `at_end`."""
        os.environ["RUNTIME_DIRECTORY"] = str(self.folder)
        for _ in range(3):
            began_ns = time.monotonic_ns()
            subprocess.run([sys.executable, "-c", "pass"], check=True)
            self.results.python_us.append((time.monotonic_ns() - began_ns) // 1000)
        for key in (LIMIT, PLAIN, *keys):
            self.sources[key] = {
                name: at_end.enter_context(made(f"{key} {name}", node))
                for name, node in NODES.items()
            }
        self.sources[NOTHING] = self.sources[LIMIT]
        self._start_limit(at_end, LIMIT, [str(self.programs / "passthrough")])
        program = str(Path(__file__).with_name("passthrough.py"))
        self._start_limit(at_end, PLAIN, [sys.executable, "-I", program])
        for key in keys:
            self._start_daemon(key, at_end)
            self._prepare(key)

    def _start_limit(self, at_end: ExitStack, key: str, program: list[str]) -> None:
        out = at_end.enter_context(made(f"{key} out", _everything()))
        descriptors: list[int] = []
        for source in self.sources[key].values():
            node = os.open(source.device.path, os.O_RDONLY | os.O_NONBLOCK)
            at_end.callback(os.close, node)
            descriptors += [node, out.fd]
        words = [*program, *map(str, descriptors)]
        process = subprocess.Popen(words, pass_fds=descriptors)
        at_end.callback(_end, process)
        self.processes[key] = process
        self.nodes[key] = str(out.device.path)

    def _start_daemon(self, key: str, at_end: ExitStack) -> None:
        layout, form = key[0], key[1:]
        text = next(s for s in SUBJECTS if s.key == layout).text(key)
        self.layouts[key] = self.folder / f"{key}.yaml"
        self.layouts[key].write_text(text)
        with _notify_socket(self.folder / f"{key}.notify") as (address, notified):
            journal = at_end.enter_context((self.folder / f"{key}.journal").open("wb"))
            words = [sys.executable, "-m", "remapd", "run", "--name", daemon_name(key)]
            began_ns = time.monotonic_ns()
            process = subprocess.Popen(
                [*words, str(self.layouts[key])],
                stderr=journal,
                stdin=subprocess.DEVNULL,
                cwd=CHECKOUT,
                env=os.environ | {"NOTIFY_SOCKET": address, PURE: "" if form else "1"},
            )
            at_end.callback(_end, process)
            while b"READY=1" not in notified.recv(4096):
                pass
            took_us = (time.monotonic_ns() - began_ns) // 1000
        self.results.start_us.setdefault(key, []).append(took_us)
        self.processes[key] = process
        status = self._status(key)
        assert status["form"]["name"] == (COMPILED_NAME if form else PURE_NAME), status["form"]
        self.nodes[key] = status["pad"]["node"]
        until(lambda: all(d["state"] == "taken" for d in self._status(key)["devices"]))
        print(f"bench: ({key}) ready after {took_us / 1000:.0f} ms", flush=True)

    def _prepare(self, key: str) -> None:
        for name, events in PREPARATION[key[0]]:
            send(self.sources[key][name], events)
            time.sleep(PREPARATION_STEP_US / 1e6)
        time.sleep(PREPARATION_STEP_US / 1e6)

    def _status(self, key: str) -> dict[str, Any]:
        with DaemonClient(daemon_name(key)) as client:
            status: dict[str, Any] = client.ask("status")["status"]
        return status

    # ---------------------------------------------------------------- measuring
    def measure(self, subject: str, stream: Stream, number: int) -> None:
        """Sends the stream once through the subject, and keeps what was sent and seen."""
        run = Run(subject, stream.key, number, f"{subject}-{stream.key}-{number}")
        node = self.nodes.get(subject) or str(
            self.sources[subject][stream.nodes[0]].device.path  # of several, the first alone
        )
        losses = self._losses(subject)
        with self._reading(node, run.files):
            process = self.processes.get(subject)
            before = _used(process.pid) if process else (0, 0)
            self._send(subject, stream, run.files)
            time.sleep(_REST_S)
            after = _used(process.pid) if process else (0, 0)
            for name in stream.nodes:  # what stays out would be added to what the next one sends
                centred = [(EV_ABS, axis, 0) for axis in NODES[name][2]]
                send(self.sources[subject][name], centred)
            if process:
                _until_calm(process.pid)
        run.cpu_ns, run.switches = after[0] - before[0], after[1] - before[1]
        run.losses = self._losses(subject) - losses
        self.results.runs.append(run)
        print(
            f"bench: round {number + 1}, {stream.title}, {subject}: "
            f"{run.cpu_ns / stream.count / 1000:.0f} µs of processor a frame",
            flush=True,
        )

    def _losses(self, subject: str) -> int:
        if subject in {LIMIT, NOTHING, PLAIN}:
            return 0
        return int(self._status(subject)["figures"]["losses"])

    @contextmanager
    def _reading(self, node: str, files: str) -> Iterator[None]:
        words = [str(self.programs / "reader"), node, str(self.folder / f"{files}.seen")]
        reader = subprocess.Popen(words, stdout=subprocess.PIPE)
        assert reader.stdout is not None
        reader.stdout.readline()
        try:
            yield
        finally:
            while reader.poll() is None:  # a signal just before its read would be missed
                reader.send_signal(signal.SIGTERM)
                with contextlib.suppress(subprocess.TimeoutExpired):
                    reader.wait(0.2)
            reader.stdout.close()

    def _send(self, subject: str, stream: Stream, files: str) -> None:
        frames = self.folder / f"{stream.key}.frames"
        length = self.folder / f"{stream.key}.length"
        if not frames.exists():
            data, frame_bytes = stream.data()
            frames.write_bytes(data)
            length.write_text(str(frame_bytes))
        descriptors = [self.sources[subject][name].fd for name in stream.nodes]
        words = [str(self.programs / "sender"), str(1_000_000_000 // stream.rate)]
        words += [length.read_text(), str(frames), str(self.folder / f"{files}.sent")]
        subprocess.run([*words, *map(str, descriptors)], pass_fds=descriptors, check=True)

    # ---------------------------------------------------------------- at rest, and a reload
    def rest(self) -> None:
        """With nothing held and nothing sent: memory, and how often each process wakes."""
        for key, process in self.processes.items():
            if key not in {LIMIT, PLAIN}:
                self.results.figures[key] = self._status(key)["figures"]
                with DaemonClient(daemon_name(key)) as client:
                    client.ask("release")
                for name, source in self.sources[key].items():
                    held = [(EV_KEY, code, 0) for code in NODES[name][0]]
                    send(source, held + [(EV_ABS, axis, 0) for axis in NODES[name][2]])
            del process
        time.sleep(3.0)
        pids = {key: _family(process.pid) for key, process in self.processes.items()}
        before = {pid: _used(pid)[1] for family in pids.values() for pid in family.values()}
        time.sleep(_IDLE_S)
        for key, family in pids.items():
            self.results.wakes[key] = {
                part: (_used(pid)[1] - before[pid]) / _IDLE_S for part, pid in family.items()
            }
            self.results.memory[key] = {part: _memory(pid) for part, pid in family.items()}

    def reload(self, key: str) -> None:
        """While 1000 frames a second go through, the layout becomes a large one and back again."""
        stream = next(s for s in STREAMS if s.key == "1000")
        large, small = grown(key, RELOAD_BINDINGS, 10), SUBJECTS[0].text(key)
        for number, text in enumerate((large, small, large)):
            before = self._status(key)
            files = f"reload-{number}"
            sendings = 0
            with self._reading(self.nodes[key], files):
                self.layouts[key].write_text(text)
                status = before
                while status["layout"]["title"] == before["layout"]["title"] and sendings < 20:
                    self._send(key, stream, f"{files}-{sendings}")
                    sendings += 1
                    status = self._status(key)
            self.results.reloads.append(
                {
                    "to": status["layout"]["title"],
                    "files": files,
                    "sendings": sendings,
                    "took_us": status["layout"]["took_us"],
                    "stall_before_us": before["figures"]["longest_stall_us"],
                    "stall_us": status["figures"]["longest_stall_us"],
                }
            )


def daemon_name(key: str) -> str:
    """The name of the daemon that plays this layout in this form."""
    return "bench-" + key.replace(COMPILED, "-compiled")


# -------------------------------------------------------------------- devices


@contextmanager
def made(name: str, node: Node) -> Iterator[UInput]:
    """A source device of this kind for as long as this lasts."""
    keys, rels, axes = node
    codes: dict[int, Any] = {
        EV_KEY: list(keys),
        EV_REL: list(rels),
        EV_ABS: [
            (axis, AbsInfo(0 if low else low, low, high, 0, 0, 0))
            for axis, (low, high) in axes.items()
        ],
    }
    with UInput(codes, name=name, vendor=0x1209, product=0x0001) as device:
        yield device


def _everything() -> Node:
    axes: dict[int, tuple[int, int]] = {**PAD[2], **BALL[2]}
    return (*PAD[0], *BALL[0], *NODES["one"][0]), BALL[1], axes


def send(device: UInput, events: list[Event]) -> None:
    """One frame."""
    for event in events:
        device.write(*event)
    device.syn()


# -------------------------------------------------------------------- processes


def until(reached: Any, limit_s: float = _START_LIMIT_S) -> None:
    """Asks again and again until it is so."""
    deadline = time.monotonic() + limit_s
    while not reached():
        if time.monotonic() > deadline:
            raise TimeoutError(f"not within {limit_s:.0f} s")
        time.sleep(0.1)


@contextmanager
def _notify_socket(path: Path) -> Iterator[tuple[str, socket.socket]]:
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as notified:
        notified.bind(str(path))
        notified.settimeout(_START_LIMIT_S)
        yield str(path), notified


def _end(process: subprocess.Popen[bytes]) -> None:
    process.terminate()
    try:
        process.wait(20)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()


def _used(pid: int) -> tuple[int, int]:
    """Nanoseconds of processor time, and how often it was switched to."""
    cpu_ns, _, _ = Path(f"/proc/{pid}/schedstat").read_text().split()
    lines = _status_lines(pid)
    switches = int(lines["voluntary_ctxt_switches"]) + int(lines["nonvoluntary_ctxt_switches"])
    return int(cpu_ns), switches


def _until_calm(pid: int) -> None:
    """Waits until a process has nothing left to do: else it would take time from the next one."""
    limit = time.monotonic() + _CALM_LIMIT_S
    used_ns = _used(pid)[0]
    while time.monotonic() < limit:
        time.sleep(_REST_S)
        before_ns, used_ns = used_ns, _used(pid)[0]
        if used_ns - before_ns < _CALM_NS:
            return


def _memory(pid: int) -> tuple[int, int]:
    """KiB resident, and proportional (what is shared counted in parts)."""
    rollup = Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines()
    sizes = {line.split(":")[0]: line.split() for line in rollup[1:]}
    return int(sizes["Rss"][1]), int(sizes["Pss"][1])


def _family(pid: int) -> Mapping[str, int]:
    """The process itself, and the one that reads layouts for it."""
    family = {"itself": pid}
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            with contextlib.suppress(OSError):
                if int(_status_lines(int(entry.name))["PPid"]) == pid:
                    family["reader of layouts"] = int(entry.name)
    return family


def _status_lines(pid: int) -> dict[str, str]:
    lines = Path(f"/proc/{pid}/status").read_text().splitlines()
    return {name: value.strip() for name, _, value in (line.partition(":") for line in lines)}


if __name__ == "__main__":
    sys.exit(main())
