"""One button of the pad as the game sees it: no press and no gap too short to be seen.

A game looks at its pad 30 or 60 times a second. So a press that is shown stays for at least
`shortest-press`, and so does the gap after it; a change that comes sooner waits. While it waits:

    shown     wanted meanwhile              when the time is up
    pressed   released                      the release is shown
    pressed   released, pressed again       nothing: the gap came and went
    released  pressed                       the press is shown
    released  pressed, released again       the press is shown, for shortest-press

The time is up at its very microsecond, and before anything else that happens in it: a press that is
wanted anew at that microsecond comes after the gap has begun, and waits for the gap's end.
"""

from __future__ import annotations

from typing import Final

from remapd.engine.timers import Timer

#: When a button that was never shown pressed was last released: before any time that can come.
LONG_AGO_US: Final = -(1 << 60)


def _let_the_frame_look(_: int) -> None:
    """A wait that is over needs no more than the frame that is made after each timer."""


class PadButton:
    """What is wanted of a button, and what is shown of it.

    Attributes:
        wanted: Whether it is wanted pressed now.
        shown: Whether the game sees it pressed.
        since_us: When `shown` last changed.
        asked: 0, or the order number of a press that came and has not been shown yet.
        waits: Whether a change was left waiting when it was last settled.
        timer: Wakes the engine when the wait is over.
    """

    __slots__ = ("asked", "shown", "since_us", "timer", "waits", "wanted")

    def __init__(self) -> None:
        self.wanted = False
        self.shown = False
        self.since_us = LONG_AGO_US
        self.asked = 0
        self.waits = False
        self.timer = Timer(_let_the_frame_look)

    def want(self, pressed: bool, order: int) -> None:
        """What is wanted has changed; `order` grows with each call and is never 0."""
        self.wanted = pressed
        # While it is shown pressed a new press continues the old one, unless the release that waits
        # turns out to be due: whether it was is known only when the frame is made.
        if pressed and not self.asked and (self.waits or not self.shown):
            self.asked = order

    def release_is_due(self, us: int, shortest_us: int, undelayed: bool) -> bool:
        """Whether it is shown pressed and its release is to be shown at `us`."""
        if not self.shown:
            return False
        time_is_up = us - self.since_us >= shortest_us
        if self.wanted:
            return self.waits and time_is_up
        return time_is_up or undelayed

    def press_is_due(self, us: int, shortest_us: int) -> bool:
        """Whether it is shown released and a press is to be shown at `us`."""
        return self.asked != 0 and not self.shown and us - self.since_us >= shortest_us

    def show(self, pressed: bool, us: int) -> None:
        """The change is in the frame of `us`."""
        self.shown = pressed
        self.since_us = us

    def settle(self) -> bool:
        """After a frame: whether a change is left waiting."""
        if self.shown:
            self.asked = 0
            self.waits = not self.wanted
        else:
            self.waits = self.asked != 0
        return self.waits
