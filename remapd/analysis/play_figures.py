"""Figures of a session from stretches of time: how often, how long, how densely, and the rests.

A *stretch* is a pair of times (begin, end) in microseconds, within which a control was pressed or
away from its rest. Stretches of one control are given in the order of time.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

Stretch = tuple[int, int]

MINUTE_US: Final = 60_000_000
#: An effort that lasts so long is told as a hold, too (common practice, no source): a muscle that
#: stays tense tires otherwise than one that presses and lets go.
HOLD_US: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class Figures:
    """What was done in a time.

    `busiest_minute` is the most efforts that began within any 60 s; `holds_per_minute` is of those
    of HOLD_US or longer; `longest_rest_us` is the longest time without an effort, the beginning and
    the end of the session included.
    """

    efforts: int
    per_minute: float
    holds_per_minute: float
    busiest_minute: int
    held_us: int
    mean_held_us: float
    longest_held_us: int
    duty_percent: float
    longest_rest_us: int


def figures(stretches: Iterable[Stretch], duration_us: int) -> Figures:
    """The figures of the efforts of one control, or of several together.

    Time that is held by two of them at once counts once; each is an effort of its own.

    Args:
        stretches: When something was held; in any order.
        duration_us: How long the session was.
    """
    efforts = sorted(stretches)
    together = joined(efforts)
    held_us = sum(end - begin for begin, end in together)
    lengths = [end - begin for begin, end in efforts]
    minutes = duration_us / MINUTE_US
    return Figures(
        efforts=len(efforts),
        per_minute=len(efforts) / minutes if minutes else 0.0,
        holds_per_minute=sum(each >= HOLD_US for each in lengths) / minutes if minutes else 0.0,
        busiest_minute=busiest([begin for begin, _ in efforts], MINUTE_US),
        held_us=held_us,
        mean_held_us=sum(lengths) / len(lengths) if lengths else 0.0,
        longest_held_us=max(lengths, default=0),
        duty_percent=100.0 * held_us / duration_us if duration_us else 0.0,
        longest_rest_us=longest_rest(together, duration_us),
    )


def joined(stretches: Sequence[Stretch], gap_us: int = 0) -> list[Stretch]:
    """Stretches (sorted) that overlap, or have no more than a gap between them, made one."""
    found: list[Stretch] = []
    for begin, end in stretches:
        if found and begin <= found[-1][1] + gap_us:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((begin, end))
    return found


def busiest(times: Sequence[int], window_us: int) -> int:
    """The most of these (sorted) times within any window of this length."""
    return max(
        (at + 1 - bisect_left(times, us - window_us + 1) for at, us in enumerate(times)), default=0
    )


def longest_rest(stretches: Sequence[Stretch], duration_us: int) -> int:
    """The longest time outside of stretches that do not overlap."""
    begins = [*(begin for begin, _ in stretches), duration_us]
    ends = [0, *(end for _, end in stretches)]
    return max(begin - end for begin, end in zip(begins, ends, strict=True))


def within(stretches: Iterable[Stretch], from_us: int, until_us: int) -> list[Stretch]:
    """The parts of stretches that lie in a time."""
    return [
        (max(begin, from_us), min(end, until_us))
        for begin, end in stretches
        if begin < until_us and end > from_us
    ]
