"""A progress bar for work that takes a while: on a terminal only, and only after a moment."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterable, Iterator
from typing import Final, TypeVar

T = TypeVar("T")

_WIDTH: Final = 30
_FIRST_S: Final = 0.5
_NEXT_S: Final = 0.1
_ITEMS_A_LOOK: Final = 2_000


def with_progress(
    items: Iterable[T], label: str, done: Callable[[], int], total: int
) -> Iterator[T]:
    """The items, with a bar on standard error while they come.

    `done` tells how much of `total` is done (bytes, say); it is asked now and then.
    """
    if not sys.stderr.isatty() or total <= 0:
        yield from items
        return
    next_s = time.monotonic() + _FIRST_S
    shown = False
    try:
        for number, item in enumerate(items):
            yield item
            if number % _ITEMS_A_LOOK == 0 and time.monotonic() >= next_s:
                next_s = time.monotonic() + _NEXT_S
                shown = True
                print(f"\r{bar(label, done() / total)}", end="", file=sys.stderr, flush=True)
    finally:
        if shown:
            print(f"\r{' ' * len(bar(label, 1.0))}\r", end="", file=sys.stderr, flush=True)


def bar(label: str, share: float) -> str:
    """`replaying [#####.....]  50%`."""
    share = min(1.0, share)
    filled = round(share * _WIDTH)
    return f"{label} [{'#' * filled}{'.' * (_WIDTH - filled)}] {round(share * 100):>3}%"
