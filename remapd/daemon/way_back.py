"""The way back from a keyboard or mouse that remapd has taken for itself.

Whoever is left without a keyboard holds Escape, or both outer mouse buttons, for five seconds.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from remapd.codes import EV_KEY, KEYS

HOLD_US: Final = 5_000_000

_ESCAPE: Final = KEYS["KEY_ESC"]
_OUTER_BUTTONS: Final = frozenset({KEYS["BTN_LEFT"], KEYS["BTN_RIGHT"]})
_WATCHED: Final = _OUTER_BUTTONS | {_ESCAPE}


class WayBack:
    """Watches one taken device; told of its frames, it knows when the way back is asked for."""

    def __init__(self, us: int, held: Iterable[int]) -> None:
        """`held` are the codes of the keys that are pressed at `us`, when the device is taken."""
        self._held = {code for code in held if code in _WATCHED}
        #: When the hold that is under way will have lasted long enough, or None.
        self.due_us: int | None = None
        self._judge(us)

    def feed(self, us: int, events: Iterable[tuple[int, int, int]]) -> None:
        """One frame of the device."""
        for event_type, code, value in events:
            if event_type == EV_KEY and code in _WATCHED:
                if value:
                    self._held.add(code)
                else:
                    self._held.discard(code)
        self._judge(us)

    def _judge(self, us: int) -> None:
        if _ESCAPE in self._held or self._held >= _OUTER_BUTTONS:
            if self.due_us is None:
                self.due_us = us + HOLD_US
        else:
            self.due_us = None
