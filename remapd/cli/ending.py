"""Commands that run until they are told to end: by Ctrl-C, or by a signal."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType


@contextmanager
def ended_in_order() -> Iterator[Callable[[], bool]]:
    """Whoever is told to end by a signal puts terminal and pad in order first, as by Ctrl-C.

    It gives a question, whether that was told: Python drops an exception that comes while it runs
    a destructor, so a loop that goes on for ever asks now and then.
    """
    told: list[int] = []

    def end(number: int, frame: FrameType | None) -> None:
        told.append(number)
        signal.default_int_handler(number, frame)

    numbers = (signal.SIGTERM, signal.SIGHUP, signal.SIGINT)
    before = [signal.signal(number, end) for number in numbers]
    try:
        yield lambda: bool(told)
    finally:
        for number, handler in zip(numbers, before, strict=True):
            signal.signal(number, handler)
