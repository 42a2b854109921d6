"""The same as reader.c, as an ordinary Python program. reader.py NODE FILE"""

from __future__ import annotations

import contextlib
import os
import signal
import struct
import sys
import time
from pathlib import Path

_EVENT = struct.Struct("@16xHHi")
_SEEN = struct.Struct("=qHHi")


def main() -> None:
    """Reads until SIGTERM."""
    node = os.open(sys.argv[1], os.O_RDONLY)
    reads: list[tuple[int, bytes]] = []

    def stop(number: int, frame: object) -> None:
        del number, frame
        with Path(sys.argv[2]).open("wb") as out:
            for ns, data in reads:
                for event_type, code, value in _EVENT.iter_unpack(data):
                    if event_type == 3 or (event_type == 0 and code == 3):
                        out.write(_SEEN.pack(ns, event_type, code, value))
        os._exit(0)

    signal.signal(signal.SIGTERM, stop)
    with contextlib.suppress(PermissionError):  # then it goes without
        os.sched_setscheduler(0, os.SCHED_FIFO, os.sched_param(10))
    print("ready", flush=True)
    while True:
        data = os.read(node, 128 * 24)
        reads.append((time.monotonic_ns(), data))


if __name__ == "__main__":
    main()
