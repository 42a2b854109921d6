"""The same as sender.c, as an ordinary Python program: the processor does more between two frames.

sender.py PERIOD_NS FRAME_BYTES FRAMES_FILE TIMES_FILE FD [FD ...]
"""

from __future__ import annotations

import contextlib
import os
import sys
import time
from array import array
from pathlib import Path


def main() -> None:
    """Sends every frame and notes when."""
    period_ns, frame_bytes = map(int, sys.argv[1:3])
    data = Path(sys.argv[3]).read_bytes()
    frames = [data[at : at + frame_bytes] for at in range(0, len(data), frame_bytes)]
    descriptors = [int(word) for word in sys.argv[5:]]
    with contextlib.suppress(PermissionError):  # then it goes without
        os.sched_setscheduler(0, os.SCHED_FIFO, os.sched_param(20))
    times = array("q", bytes(8 * len(frames)))
    next_ns = time.monotonic_ns() + 20_000_000
    for number, frame in enumerate(frames):
        wait_ns = next_ns - time.monotonic_ns()
        if wait_ns > 0:
            time.sleep(wait_ns / 1e9)
        now_ns = times[number] = time.monotonic_ns()
        os.write(descriptors[number % len(descriptors)], frame)
        next_ns = (now_ns if now_ns - next_ns > period_ns else next_ns) + period_ns
    Path(sys.argv[4]).write_bytes(times.tobytes())


if __name__ == "__main__":
    main()
