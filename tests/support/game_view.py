"""A game's view of the pad: output frames read back to names, with what must hold of every frame.

The tables are written out here once more, by the outside sources, and not taken from the engine:
the kernel's header through python-evdev (names to numbers), the Linux gamepad specification
(Documentation/input/gamepad.rst: which name stands where), and the layout language (the order of
a frame, and that west and north are exchanged unless the layout says `faces: as-specified`).
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from evdev import ecodes

from remapd.engine.output import OutputFrame

KEYS = {
    ecodes.BTN_SOUTH: "south",
    ecodes.BTN_EAST: "east",
    ecodes.BTN_NORTH: "west",
    ecodes.BTN_WEST: "north",
    ecodes.BTN_TL: "left-shoulder",
    ecodes.BTN_TR: "right-shoulder",
    ecodes.BTN_SELECT: "select",
    ecodes.BTN_START: "start",
    ecodes.BTN_MODE: "mode",
    ecodes.BTN_THUMBL: "left-stick-press",
    ecodes.BTN_THUMBR: "right-stick-press",
}
KEYS_AS_SPECIFIED = KEYS | {ecodes.BTN_NORTH: "north", ecodes.BTN_WEST: "west"}
HATS = {
    ecodes.ABS_HAT0Y: ("dpad-up", "dpad-down"),
    ecodes.ABS_HAT0X: ("dpad-left", "dpad-right"),
}
AXES = {
    ecodes.ABS_X: "left-stick.x",
    ecodes.ABS_Y: "left-stick.y",
    ecodes.ABS_RX: "right-stick.x",
    ecodes.ABS_RY: "right-stick.y",
    ecodes.ABS_Z: "left-trigger",
    ecodes.ABS_RZ: "right-trigger",
}
RANGES = {
    ecodes.ABS_X: (-32767, 32767),
    ecodes.ABS_Y: (-32767, 32767),
    ecodes.ABS_RX: (-32767, 32767),
    ecodes.ABS_RY: (-32767, 32767),
    ecodes.ABS_Z: (0, 255),
    ecodes.ABS_RZ: (0, 255),
}
ORDER = [
    "south",
    "east",
    "west",
    "north",
    "left-shoulder",
    "right-shoulder",
    "select",
    "start",
    "mode",
    "left-stick-press",
    "right-stick-press",
    ecodes.ABS_HAT0Y,
    ecodes.ABS_HAT0X,
    ecodes.ABS_X,
    ecodes.ABS_Y,
    ecodes.ABS_RX,
    ecodes.ABS_RY,
    ecodes.ABS_Z,
    ecodes.ABS_RZ,
]
RELEASE, PRESS, AXIS = range(3)


class Seen(NamedTuple):
    """One change: a button's value is 0 or 1, an axis's its own."""

    us: int
    name: str
    value: int


class GameView:
    """Reads frames, and fails on any that breaks a law of section 7."""

    def __init__(self, *, faces_as_specified: bool = False) -> None:
        self._keys = KEYS_AS_SPECIFIED if faces_as_specified else KEYS
        self._hats = dict.fromkeys(HATS, 0)
        self._last_us = 0
        #: Names of the buttons that are pressed.
        self.pressed: set[str] = set()
        #: Values of the axes, by name.
        self.axes = dict.fromkeys(AXES.values(), 0)
        #: Every change, in the order in which it came.
        self.changes: list[Seen] = []

    def read(self, frame: OutputFrame) -> None:
        """Takes one frame."""
        assert frame.us >= self._last_us
        self._last_us = frame.us
        events = frame.events
        assert len(events) % 3 == 0
        triples = list(zip(events[0::3], events[1::3], events[2::3], strict=True))
        assert triples[-1] == (ecodes.EV_SYN, ecodes.SYN_REPORT, 0)
        assert len(triples) > 1, "a frame with nothing in it"

        places = [self._take(frame.us, *triple) for triple in triples[:-1]]

        assert places == sorted(places), f"out of order: {triples}"
        assert len(set(triples)) == len(triples)

    def read_all(self, frames: Iterable[OutputFrame]) -> None:
        """Takes several."""
        for frame in frames:
            self.read(frame)

    def of(self, name: str) -> list[tuple[int, int]]:
        """(us, value) of each change of one thing."""
        return [(seen.us, seen.value) for seen in self.changes if seen.name == name]

    def _take(self, us: int, kind: int, code: int, value: int) -> tuple[int, int]:
        if kind == ecodes.EV_KEY:
            name = self._keys[code]
            self._change_button(us, name, value)
            return (PRESS if value else RELEASE), ORDER.index(name)
        assert kind == ecodes.EV_ABS
        if code in HATS:
            before = self._hats[code]
            assert value in {-1, 0, 1}
            assert value != before
            self._hats[code] = value
            for name, side in zip(HATS[code], (-1, 1), strict=True):
                if before == side:
                    self._change_button(us, name, 0)
            for name, side in zip(HATS[code], (-1, 1), strict=True):
                if value == side:
                    self._change_button(us, name, 1)
            return (PRESS if value else RELEASE), ORDER.index(code)
        lowest, highest = RANGES[code]
        assert lowest <= value <= highest
        name = AXES[code]
        assert value != self.axes[name], f"{name} is {value} already"
        self.axes[name] = value
        self.changes.append(Seen(us, name, value))
        return AXIS, ORDER.index(code)

    def _change_button(self, us: int, name: str, value: int) -> None:
        assert value in {0, 1}
        assert (name in self.pressed) != (value == 1), f"{name} is {value} already"
        if value:
            self.pressed.add(name)
        else:
            self.pressed.remove(name)
        self.changes.append(Seen(us, name, value))
