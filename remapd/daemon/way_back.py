"""The way back from a keyboard or mouse that remapd has taken for itself.

Whoever is left without a keyboard holds Escape, or both outer mouse buttons, for five seconds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final

from remapd.codes import EV_KEY, KEYS
from remapd.daemon.loop import Events, Loop, OpenedDevice

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


class WaysBack:
    """The watches on all taken keyboards and mice; `asked` is called with the one that was held."""

    def __init__(self, loop: Loop, asked: Callable[[str], None]) -> None:
        self._loop = loop
        self._asked = asked
        self._alarm = loop.alarm(self._look)
        self._watched: dict[int, tuple[str, WayBack]] = {}

    def hook(self, opened: OpenedDevice) -> Callable[[int, Events], None]:
        """What is to be called after each frame of this device, from now on."""
        if opened.id not in self._watched:
            held = opened.device.held()
            self._watched[opened.id] = (opened.source.name, WayBack(self._loop.now(), held))
            self._set_alarm()
        watched = self._watched[opened.id][1]

        def watch(us: int, events: Events) -> None:
            before_us = watched.due_us
            watched.feed(us, events)
            if watched.due_us != before_us:
                self._set_alarm()

        return watch

    def forget(self, source_id: int) -> None:
        """The device is taken no more."""
        if self._watched.pop(source_id, None) is not None:
            self._set_alarm()

    def _set_alarm(self) -> None:
        due = [way.due_us for _, way in self._watched.values() if way.due_us is not None]
        self._alarm.set(min(due, default=None))

    def _look(self, now_us: int) -> None:
        for name, way in list(self._watched.values()):
            if way.due_us is not None and way.due_us <= now_us:
                self._asked(name)
                return
        self._set_alarm()
