"""How long a replay takes: an hour of a stick that sends 1000 times a second, steadied or not.

    python -m tests.bench.replay_hour [SECONDS]

The stick circles ever wider and narrower, with noise, so that nearly every sample is a frame; the
recording (326 MB for the hour) is made first and thrown away afterwards.
"""

from __future__ import annotations

import math
import os
import random
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from types import MappingProxyType
from typing import Final

from remapd.codes import AXES, KEYS
from remapd.engine.source import AxisRange, Source
from remapd.recording.lines import RecordedDevice
from remapd.recording.writer import RecordingWriter

_AXIS: Final = AxisRange(0, 1023)
_STICK: Final = Source(
    id=0,
    name="Foot stick",
    vendor=0x1209,
    product=0x2101,
    version=1,
    bus=3,
    port="usb-1/input0",
    serial="",
    keys=frozenset({KEYS["BTN_TRIGGER"]}),
    rels=frozenset(),
    axes=MappingProxyType({AXES["ABS_X"]: _AXIS, AXES["ABS_Y"]: _AXIS}),
)
_LAYOUT: Final = """\
remapd: 1
title: A stick
devices:
  foot:
    find: {name: "Foot stick"}
    controls:
      tiller: {stick: [ABS_X, ABS_Y]SETTINGS}
layers:
  sail:
    tiller: left-stick
"""


def make_recording(path: Path, seconds: int) -> int:
    """Writes it; how many frames there are."""
    noise = random.Random(4)
    frames = 0
    with path.open("wb") as stream:
        writer = RecordingWriter(stream, [RecordedDevice(_STICK)], flush=False)
        last = (0, 0)
        for number in range(1000 * seconds):
            angle = number / 1000
            radius = 400 * math.sin(angle / 3)
            place = (
                int(512 + radius * math.cos(angle) + noise.gauss(0, 3)),
                int(512 + radius * math.sin(angle) + noise.gauss(0, 3)),
            )
            events = [(3, code, place[code]) for code in (0, 1) if place[code] != last[code]]
            last = place
            if events:
                frames += 1
                writer.frame(1000 * number + noise.randrange(60), 0, events)
        writer.end(1_000_000 * seconds)
    return frames


def main() -> int:
    """Makes the recording, replays it twice, and prints what it took."""
    seconds = int(sys.argv[1]) if len(sys.argv) > 1 else 3600
    with tempfile.TemporaryDirectory(prefix="remapd-hour-") as name:
        folder = Path(name)
        recording = folder / "hour.jsonl"
        frames = make_recording(recording, seconds)
        size = recording.stat().st_size / 1e6
        print(f"{seconds} s, {frames} frames, {size:.0f} MB, Python {sys.version.split()[0]}")
        for kind, settings in (("plain", ""), ("with steady", ", steady: medium")):
            layout = folder / "stick.yaml"
            layout.write_text(_LAYOUT.replace("SETTINGS", settings))
            used = resource.getrusage(resource.RUSAGE_CHILDREN)
            began = time.monotonic()
            subprocess.run(
                [
                    *(sys.executable, "-m", "remapd", "replay", str(layout), str(recording)),
                    *("-o", os.devnull),
                ],
                check=True,
            )
            took = time.monotonic() - began
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            processor = after.ru_utime + after.ru_stime - used.ru_utime - used.ru_stime
            print(
                f"{kind}: {took:.1f} s, {processor:.1f} s of them processor time, "
                f"at most {after.ru_maxrss / 1024:.0f} MB"
            )
    return 0


if __name__ == "__main__":
    sys.exit(main())
