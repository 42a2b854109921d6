"""The pad's output frames read back as changes of named pad controls."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from remapd.codes import AXES, EV_ABS, EV_KEY, KEYS
from remapd.engine.pad_controls import BUTTON_COUNT, STICK_NAMES, TARGET_NAMES

PRESS: Final = "press"
RELEASE: Final = "release"
MOVE: Final = "move"
LEVER: Final = "lever"

#: What a trigger's axis reads when a button drives it.
TRIGGER_FULL: Final = 255
#: What a stick's axis reads at the end of its way.
STICK_FULL: Final = 32767

#: Names of the pad's 17 buttons in pad order.
BUTTON_NAMES: Final = TARGET_NAMES[:BUTTON_COUNT]

_BUTTONS: Final = {
    KEYS["BTN_SOUTH"]: "south",
    KEYS["BTN_EAST"]: "east",
    KEYS["BTN_TL"]: "left-shoulder",
    KEYS["BTN_TR"]: "right-shoulder",
    KEYS["BTN_SELECT"]: "select",
    KEYS["BTN_START"]: "start",
    KEYS["BTN_MODE"]: "mode",
    KEYS["BTN_THUMBL"]: "left-stick-press",
    KEYS["BTN_THUMBR"]: "right-stick-press",
}
#: West and north go out as most drivers send them, unless the layout says `faces: as-specified`.
_FACES: Final = {0x133: "west", 0x134: "north"}
_FACES_AS_SPECIFIED: Final = {0x133: "north", 0x134: "west"}
_TRIGGERS: Final = {AXES["ABS_Z"]: "left-trigger", AXES["ABS_RZ"]: "right-trigger"}
_STICK_AXES: Final = {
    AXES["ABS_X"]: (STICK_NAMES[0], 0),
    AXES["ABS_Y"]: (STICK_NAMES[0], 1),
    AXES["ABS_RX"]: (STICK_NAMES[1], 0),
    AXES["ABS_RY"]: (STICK_NAMES[1], 1),
}
#: A hat axis: the d-pad button of -1 and of 1.
_HATS: Final = {
    AXES["ABS_HAT0Y"]: ("dpad-up", "dpad-down"),
    AXES["ABS_HAT0X"]: ("dpad-left", "dpad-right"),
}

Value = int | tuple[int, int] | None


@dataclass(frozen=True, slots=True)
class Change:
    """One change of one pad control at one time.

    `what` is press, release, move or lever. `value` is None for a press or release, the stick's
    whole new position (x, y) from -32767 to 32767 for a move, and 0 to 255 for a trigger: triggers
    are analogue, and a button that drives one shows as lever 255 and lever 0.
    """

    us: int
    what: str
    control: str
    value: Value = None


class PadView:
    """The pad as a game would see it, kept up to date by the frames that it is shown."""

    def __init__(self, *, faces_as_specified: bool = False) -> None:
        self._buttons: dict[int, str] = {}
        self.use_faces(as_specified=faces_as_specified)
        self._hats = dict.fromkeys(_HATS, 0)
        self.pressed: set[str] = set()
        self.sticks: dict[str, tuple[int, int]] = dict.fromkeys(STICK_NAMES[:2], (0, 0))
        self.triggers: dict[str, int] = dict.fromkeys(_TRIGGERS.values(), 0)

    def use_faces(self, *, as_specified: bool) -> None:
        """Which of 0x133 and 0x134 is west from now on (`pad: faces`)."""
        self._buttons = {**_BUTTONS, **(_FACES_AS_SPECIFIED if as_specified else _FACES)}

    @property
    def neutral(self) -> bool:
        """Whether nothing is pressed and every stick and trigger is at rest."""
        return (
            not self.pressed
            and all(position == (0, 0) for position in self.sticks.values())
            and not any(self.triggers.values())
        )

    def apply(self, us: int, events: Sequence[int]) -> list[Change]:
        """Takes one frame, flat `[type, code, value, …]`, and tells what it changed, in its order.

        A stick that moves on both axes is one change, at the place of its first axis.
        """
        changes: list[Change] = []
        moved: dict[str, int] = {}
        for event_type, code, value in _triples(events):
            if event_type == EV_KEY and code in self._buttons:
                name = self._buttons[code]
                if value:
                    self.pressed.add(name)
                    changes.append(Change(us, PRESS, name))
                else:
                    self.pressed.discard(name)
                    changes.append(Change(us, RELEASE, name))
            elif event_type == EV_ABS and code in _HATS:
                changes.extend(self._turn_hat(us, code, value))
            elif event_type == EV_ABS and code in _TRIGGERS:
                self.triggers[_TRIGGERS[code]] = value
                changes.append(Change(us, LEVER, _TRIGGERS[code], value))
            elif event_type == EV_ABS and code in _STICK_AXES:
                stick, axis = _STICK_AXES[code]
                x, y = self.sticks[stick]
                self.sticks[stick] = (value, y) if axis == 0 else (x, value)
                change = Change(us, MOVE, stick, self.sticks[stick])
                if stick in moved:
                    changes[moved[stick]] = change
                else:
                    moved[stick] = len(changes)
                    changes.append(change)
        return changes

    def _turn_hat(self, us: int, code: int, value: int) -> Iterable[Change]:
        low, high = _HATS[code]
        before, self._hats[code] = self._hats[code], value
        for was, now, name in ((before < 0, value < 0, low), (before > 0, value > 0, high)):
            if was and not now:
                self.pressed.discard(name)
                yield Change(us, RELEASE, name)
        for was, now, name in ((before < 0, value < 0, low), (before > 0, value > 0, high)):
            if now and not was:
                self.pressed.add(name)
                yield Change(us, PRESS, name)


def _triples(events: Sequence[int]) -> Iterable[tuple[int, int, int]]:
    return zip(events[0::3], events[1::3], events[2::3], strict=True)
