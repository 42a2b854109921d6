"""The times at which a session is shown, on a clock that is given: the demo's own or a test's."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Final

from remapd.show.session import Moment

#: Pictures so often at the most.
PICTURE_US: Final = 50_000


def paced(
    moments: Iterable[Moment],
    until_us: int,
    *,
    now_us: Callable[[], int],
    wait_until: Callable[[int], None],
    every_us: int = PICTURE_US,
) -> Iterator[Moment | None]:
    """Each moment when its time has come, and None each time a picture is due in between.

    Times are those of the session. `wait_until` returns when that time has come; late moments
    follow each other without a wait, and pictures that are late are left out.
    """
    next_picture_us = 0
    for moment in moments:
        while next_picture_us < moment.us:
            wait_until(next_picture_us)
            yield None
            next_picture_us = max(next_picture_us + every_us, now_us())
        wait_until(moment.us)
        yield moment
    while next_picture_us < until_us:
        wait_until(next_picture_us)
        yield None
        next_picture_us = max(next_picture_us + every_us, now_us())
