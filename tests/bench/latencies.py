"""From what was sent and what was seen to latencies and losses, frame by frame."""

from __future__ import annotations

import struct
from array import array
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from remapd.codes import EV_ABS, EV_SYN
from tests.bench.traffic import MARKS, Stream

_SEEN: Final = struct.Struct("=qHHi")
#: A frame that comes out later than this is none of this round of marks.
_LATEST_NS: Final = 300_000_000

#: By pad axis and value: the number of the frame within one round of marks.
Marks = Mapping[tuple[int, int], int]


@dataclass(frozen=True)
class Measured:
    """One run worked out; times in microseconds."""

    sent: int
    arrived: int
    latencies_us: list[float]
    #: Frames a second that were really sent.
    rate: float
    #: Whether the reader itself was too slow: then frames that are missing say nothing.
    reader_lost: bool

    @property
    def lost(self) -> int:
        """Frames that were sent and never seen."""
        return self.sent - self.arrived


def raw_marks(stream: Stream) -> dict[tuple[int, int], int]:
    """The marks as they are sent: for what passes events on as they are."""
    seen: dict[tuple[int, int], int] = {}
    for number in range(MARKS * len(stream.nodes)):
        for event_type, code, value in stream.frame(number):
            if event_type == EV_ABS and abs(value) >= 7000:  # nothing else is sent so far out
                seen[code, value] = number
    return seen


def measure(sent_file: Path, seen_file: Path, stream: Stream, marks: Marks) -> Measured:
    """Finds each frame that was sent in what was seen, by its mark and by its time."""
    sent = array("q")
    sent.frombytes(sent_file.read_bytes())
    one_round = MARKS * len(stream.nodes)
    latencies: dict[int, float] = {}
    reader_lost = False
    reached = 0  # frames before this one were sent before what is seen now
    for ns, event_type, code, value in _SEEN.iter_unpack(seen_file.read_bytes()):
        if event_type == EV_SYN:
            reader_lost = True
            continue
        number = marks.get((code, value))
        if number is None:
            continue
        while reached < len(sent) and sent[reached] <= ns:
            reached += 1
        # the last frame with this mark that was sent before it was seen
        frame = number + (reached - 1 - number) // one_round * one_round
        if frame < 0 or frame in latencies or ns - sent[frame] > _LATEST_NS:
            continue
        latencies[frame] = (ns - sent[frame]) / 1000
    seconds = (sent[-1] - sent[0]) / 1e9
    return Measured(
        len(sent), len(latencies), list(latencies.values()), (len(sent) - 1) / seconds, reader_lost
    )


def share(values: list[float], wanted: float) -> float:
    """The value that this share of them do not exceed."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(len(ordered) * wanted))]
