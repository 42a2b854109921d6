"""What a person just pressed or moved, made out from a device's frames: pure, told the time.

One `Ear` listens to one device from the moment when a control is asked for. A press is heard when
it has been held for a while, or when it ends; an axis when it has gone far enough, together with
the other axis of its stick or alone; a roll when enough counts have come. A keyboard's key counts
only where no other key follows at once: somebody who types an answer presses no switch.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from remapd.analysis.device_kinds import HasCodes, kind_of, plain_axes
from remapd.analysis.device_kinds import Kind as DeviceKind
from remapd.codes import AXES, EV_ABS, EV_KEY, EV_REL, KEYS, RELS
from remapd.engine.source import AxisRange, Source
from remapd.fitting.setup import Kind

Events = Iterable[tuple[int, int, int]]

#: A press is heard without waiting for its end after so long: the hand need hold no longer.
HOLD_US: Final = 1_000_000
#: A key of a typing keyboard is no control where another key follows so soon.
_TYPING_GAP_US: Final = 600_000
#: An axis counts as moved at this share of its whole range away from where it stood, and its
#: partner in a stick at the second. Jitter of worn sticks stays well below (common practice, no
#: source).
_MOVED: Final = 0.22
_MOVED_TOO: Final = 0.12
#: Back at rest: within this share of where it stood.
_BACK: Final = 0.08
#: An axis that has moved alone and stays there is decided on after this time; one that came back,
#: after the second.
_ALONE_US: Final = 3_000_000
_CAME_BACK_US: Final = 800_000
#: So many counts are a roll; the jolt of a click stays below (common practice, no source).
_ROLLED: Final = 80
#: Keys that say that a finger or a tool is there, and not that something was pressed.
_NO_PRESS: Final = range(KEYS["BTN_TOOL_PEN"], KEYS["BTN_TOOL_QUADTAP"] + 1)

_HATS: Final = range(AXES["ABS_HAT0X"], AXES["ABS_HAT3Y"] + 1)
_PAIRS: Final = tuple(
    (AXES[x], AXES[y])
    for x, y in (
        ("ABS_X", "ABS_Y"),
        ("ABS_RX", "ABS_RY"),
        ("ABS_HAT0X", "ABS_HAT0Y"),
        ("ABS_HAT1X", "ABS_HAT1Y"),
        ("ABS_HAT2X", "ABS_HAT2Y"),
        ("ABS_HAT3X", "ABS_HAT3Y"),
    )
)
#: Some pads put their second stick there; as triggers these two rest at their lower ends.
_SECOND_STICK: Final = (AXES["ABS_Z"], AXES["ABS_RZ"])
_ROLL: Final = (RELS["REL_X"], RELS["REL_Y"])
_HAND_DEVICES: Final = frozenset(
    (DeviceKind.TOUCHPAD, DeviceKind.TOUCHSCREEN, DeviceKind.TABLET, DeviceKind.MACHINE,
     DeviceKind.SILENT)
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Heard:
    """One control of a device.

    Attributes:
        kind: What it is.
        codes: Its numbers: one, or the two axes of a stick or pointer.
        held_us: How long a button was held, or has been so far.
        released: Whether the button was let go of before it was heard.
        pair: The two axes of a stick that a lone axis might belong to.
    """

    kind: Kind
    codes: tuple[int, ...]
    held_us: int = 0
    released: bool = False
    pair: tuple[int, int] | None = None


def is_for_listening(device: HasCodes) -> bool:
    """Whether a switch or stick of a player can be on such a device; not so a touchscreen."""
    return kind_of(device) not in _HAND_DEVICES


class Ear:
    """One device's ear. `held` and `axes` are its state when a control is first asked for.

    With `only_held` a press counts only if it is held: for a keyboard that is typed on.
    """

    def __init__(
        self,
        source: Source,
        held: Iterable[int],
        axes: Mapping[int, int],
        *,
        only_held: bool = False,
    ) -> None:
        self._types = kind_of(source) is DeviceKind.KEYBOARD
        self._only_held = only_held
        self._ranges = source.axes
        self._axes = plain_axes(source)
        self._rest = {axis: axes[axis] for axis in self._axes if axis in axes}
        self._now = dict(self._rest)
        #: The farthest that each axis has been from its rest, as a share, and since when.
        self._farthest: dict[int, float] = {}
        self._first: tuple[int, int] | None = None  #: the axis that moved first, and when
        self._back_us: int | None = None  #: since when that axis is back at rest
        self._deaf_to = set(held)  #: until they have been let go of
        self._pressed: dict[int, int] = {}
        self._ended: tuple[int, int, int] | None = None  #: of a keyboard: code, pressed, released
        self._rolled = 0
        self._is_typing_until_us = 0

    @property
    def due_us(self) -> int | None:
        """When `advance` may have heard something, or None."""
        due = [us + HOLD_US for us in self._pressed.values()]
        if self._ended is not None:
            due.append(self._ended[2] + _TYPING_GAP_US)
        if self._first is not None:
            due.append(self._first[1] + _ALONE_US)
            if self._back_us is not None:
                due.append(self._back_us + _CAME_BACK_US)
        return min(due, default=None)

    def feed(self, us: int, events: Events) -> Heard | None:
        """One frame; what was heard by it, if anything."""
        heard = self.advance(us)
        for event_type, code, value in events:
            if heard is not None:
                break
            if event_type == EV_KEY and code not in _NO_PRESS:
                heard = self._key(us, code, value)
            elif event_type == EV_ABS and code in self._rest:
                self._axis(us, code, value)
            elif event_type == EV_REL and code in _ROLL:
                self._rolled += abs(value)
        return heard or self._stick() or self._roll()

    def advance(self, us: int) -> Heard | None:
        """Time has come to `us`; what was heard by it, if anything."""
        for code, since_us in self._pressed.items():
            if us - since_us >= HOLD_US:
                return self._button(code, us - since_us, released=False)
        if self._ended is not None and us - self._ended[2] >= _TYPING_GAP_US:
            code, pressed_us, released_us = self._ended
            return self._button(code, released_us - pressed_us, released=True)
        return self._lone_axis(us)

    def _key(self, us: int, code: int, value: int) -> Heard | None:
        if value == 0:
            self._deaf_to.discard(code)
            since_us = self._pressed.pop(code, None)
            if since_us is None or self._only_held:
                return None
            if not self._types:
                return self._button(code, us - since_us, released=True)
            if us >= self._is_typing_until_us:
                self._ended = (code, since_us, us)
            return None
        if code in self._deaf_to:
            return None
        if self._types and (self._pressed or self._ended is not None):
            # two keys so close together are somebody typing
            self._deaf_to |= self._pressed.keys() | {code}
            self._pressed.clear()
            self._ended = None
            self._is_typing_until_us = us + _TYPING_GAP_US
            return None
        if self._types and us < self._is_typing_until_us:
            self._is_typing_until_us = us + _TYPING_GAP_US
            self._deaf_to.add(code)
            return None
        self._pressed[code] = us
        return None

    def _button(self, code: int, held_us: int, *, released: bool) -> Heard:
        lever = self._moved_axis()
        if lever is not None and lever not in _HATS and self._partner(lever) is None:
            # a trigger that tells its way as well as its end: the way says more
            return Heard("lever", (lever,))
        return Heard("button", (code,), held_us, released)

    def _axis(self, us: int, code: int, value: int) -> None:
        self._now[code] = value
        away = self._away(code, value)
        self._farthest[code] = max(away, self._farthest.get(code, 0.0))
        if self._first is None and away >= _MOVED:
            self._first = (code, us)
        if self._first is not None and self._first[0] == code:
            if away > _BACK:
                self._back_us = None
            elif self._back_us is None:
                self._back_us = us

    def _away(self, code: int, value: int) -> float:
        return abs(value - self._rest[code]) / _length(self._ranges[code])

    def _moved_axis(self) -> int | None:
        return None if self._first is None else self._first[0]

    def _partner(self, axis: int) -> tuple[int, int] | None:
        """The two axes of the stick that an axis belongs to by its code, if both are there."""
        pairs = _PAIRS
        if all(self._rests_in_the_middle(each) for each in _SECOND_STICK):
            pairs = (*_PAIRS, _SECOND_STICK)
        for pair in pairs:
            if axis in pair and pair[0] in self._rest and pair[1] in self._rest:
                return pair
        return None

    def _rests_in_the_middle(self, axis: int) -> bool:
        if axis not in self._rest:
            return False
        span = self._ranges[axis]
        share = (self._rest[axis] - span.minimum) / _length(span)
        return 0.3 < share < 0.7

    def _stick(self) -> Heard | None:
        axis = self._moved_axis()
        pair = None if axis is None else self._partner(axis)
        if axis is None or pair is None:
            return None
        other = pair[0] if axis == pair[1] else pair[1]
        if axis in _HATS or self._farthest.get(other, 0.0) >= _MOVED_TOO:
            return Heard("stick", pair)
        return None

    def _lone_axis(self, us: int) -> Heard | None:
        if self._first is None:
            return None
        axis, since_us = self._first
        came_back = self._back_us is not None and us - self._back_us >= _CAME_BACK_US
        if came_back or us - since_us >= _ALONE_US:
            return Heard("lever", (axis,), pair=self._partner(axis))
        return None

    def _roll(self) -> Heard | None:
        return Heard("pointer", _ROLL) if self._rolled >= _ROLLED else None


def _length(span: AxisRange) -> int:
    return max(span.maximum - span.minimum, 1)
