"""What hands do, read back from raw events into the controls of a layout."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from remapd.codes import EV_ABS, EV_KEY, EV_REL
from remapd.engine.layout import (
    ButtonControl,
    Layout,
    LeverControl,
    PointerControl,
    StickControl,
)
from remapd.engine.settings import Rest
from remapd.engine.source import AxisRange, Source

#: A ball that has sent nothing for so long lies still, to the eye.
STILL_US: Final = 150_000


@dataclass(frozen=True, slots=True)
class HandChange:
    """One control, moved or pressed by a hand.

    `x` and `y` are shares of the way, -1 to 1, y down; a button has x 1 while it is pressed.
    """

    us: int
    control: int  #: its number in the layout
    x: float
    y: float = 0.0


class HandsSeen:
    """The controls of the layout's devices as hands have them now."""

    def __init__(self, layout: Layout) -> None:
        self._layout = layout
        self._at: dict[int, tuple[float, float]] = {}
        self._counts: dict[int, deque[tuple[int, int, int]]] = {}
        self._spans: dict[tuple[int, int], AxisRange] = {}

    def plug(self, device: int, source: Source) -> None:
        """A device of the layout (by number) is this node."""
        for code, span in source.axes.items():
            self._spans[device, code] = span

    def feed(
        self, us: int, device: int, events: Iterable[tuple[int, int, int]]
    ) -> list[HandChange]:
        """A frame of a device; the changes of its controls, at most one for each."""
        values = {(kind, code): value for kind, code, value in events}
        changes = []
        for number in self._layout.devices[device].controls:
            place = self._place(us, device, number, values)
            if place is not None and place != self._at.get(number, (0.0, 0.0)):
                self._at[number] = place
                changes.append(HandChange(us, number, *place))
        return changes

    @property
    def next_due_us(self) -> int | None:
        """When a ball that has stopped is to be taken as lying still, or None."""
        lasts = [counts[-1][0] for counts in self._counts.values() if counts]
        return min(lasts) + STILL_US if lasts else None

    def settle(self, us: int) -> Iterator[HandChange]:
        """Balls that lie still by now."""
        for number, counts in self._counts.items():
            if counts and counts[-1][0] + STILL_US <= us:
                counts.clear()
                self._at[number] = (0.0, 0.0)
                yield HandChange(us, number, 0.0)

    def _place(
        self, us: int, device: int, number: int, values: Mapping[tuple[int, int], int]
    ) -> tuple[float, float] | None:
        """Where a control is after these events; None where they are not about it."""
        control = self._layout.controls[number]
        match control:
            case ButtonControl():
                value = values.get((EV_KEY, control.code))
                return None if value is None else (float((value != 0) is not control.inverted), 0.0)
            case PointerControl():
                dx = values.get((EV_REL, control.x), 0)
                dy = values.get((EV_REL, control.y), 0)
                return self._rolled(us, number, control, dx, dy) if dx or dy else None
            case StickControl():
                x, y = self._at.get(number, (0.0, 0.0))
                for code_x, code_y in control.axes:
                    new_x = self._share(device, code_x, values)
                    new_y = self._share(device, code_y, values)
                    if new_x is not None or new_y is not None:
                        return (x if new_x is None else new_x, y if new_y is None else new_y)
                return self._keyed(control.keys, values, x, y)
            case LeverControl():
                for code in control.axes:
                    share = self._share(device, code, values)
                    if share is not None:
                        return (_from_rest(share, control.settings.rests_at), 0.0)
                pressed = None if control.key is None else values.get((EV_KEY, control.key))
                return None if pressed is None else (float(pressed != 0), 0.0)

    def _share(self, device: int, code: int, values: Mapping[tuple[int, int], int]) -> float | None:
        """An axis from -1 to 1."""
        value, span = values.get((EV_ABS, code)), self._spans.get((device, code))
        if value is None or span is None or span.maximum <= span.minimum:
            return None
        return (2 * value - span.minimum - span.maximum) / (span.maximum - span.minimum)

    def _rolled(
        self, us: int, number: int, control: PointerControl, dx: int, dy: int
    ) -> tuple[float, float]:
        window_us = control.settings.window_us
        counts = self._counts.setdefault(number, deque())
        counts.append((us, dx, dy))
        while counts[0][0] + window_us <= us:
            counts.popleft()
        full = control.settings.full_speed * window_us / 1_000_000
        return sum(each[1] for each in counts) / full, sum(each[2] for each in counts) / full

    @staticmethod
    def _keyed(
        keys: tuple[int, int, int, int] | None,
        values: Mapping[tuple[int, int], int],
        x: float,
        y: float,
    ) -> tuple[float, float] | None:
        """A stick of four keys: up, down, left, right."""
        if keys is None or not any((EV_KEY, code) in values for code in keys):
            return None
        up, down, left, right = (values.get((EV_KEY, code)) for code in keys)
        if up is not None or down is not None:
            y = float(bool(down)) - float(bool(up))
        if left is not None or right is not None:
            x = float(bool(right)) - float(bool(left))
        return x, y


def _from_rest(share: float, rests_at: Rest) -> float:
    """A lever's way from where it rests: 0 to 1, or -1 to 1 from the middle."""
    if rests_at is Rest.MIDDLE:
        return share
    return (1.0 - share) / 2 if rests_at is Rest.HIGH else (1.0 + share) / 2
