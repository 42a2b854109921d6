"""What a device sends, as a person sees it: sentences, and how each control stands now.

It is told of frames and of time (integer microseconds), and reads no clock. Buttons are told at
once. An axis is told when it has moved far enough, and once more where it comes to rest: a stick
sends hundreds of values a second, and a sentence for each would tell nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from remapd.codes import EV_ABS, EV_KEY, EV_REL, RELS, code_name
from remapd.engine.source import AxisRange

Events = Iterable[tuple[int, int, int]]

#: An axis that moves is told of at most so often, and by at least this share of its range.
_AXIS_EVERY_US: Final = 250_000
_AXIS_STEP: Final = 0.10
#: Where it rests is told after this time, if it is this far from what was told last.
_REST_US: Final = 400_000
_REST_STEP: Final = 0.02
_HORIZONTAL: Final = frozenset(RELS[name] for name in ("REL_X", "REL_HWHEEL"))
_VERTICAL: Final = frozenset((RELS["REL_Y"],))


@dataclass(slots=True)
class _Axis:
    value: int
    told: int
    told_us: int
    moved_us: int


class InputSeen:
    """One device. `axes` are the ranges of its absolute axes, `held` and `values` its state."""

    def __init__(
        self,
        axes: Mapping[int, AxisRange],
        held: Iterable[int] = (),
        values: Mapping[int, int] | None = None,
    ) -> None:
        self._ranges = axes
        self._axes: dict[int, _Axis] = {
            code: _Axis(value, value, -_AXIS_EVERY_US, 0) for code, value in (values or {}).items()
        }
        self._counts: dict[int, int] = {}
        self._counts_due_us: int | None = None
        #: Keys that are pressed, and since when; None: since before we looked.
        self.held: dict[int, int | None] = dict.fromkeys(held)
        #: Keys that were pressed since we look, in the order of their first press.
        self.pressed: list[int] = []
        #: Axes and relative axes that have moved, as (type, code), in order.
        self.moved: list[tuple[int, int]] = []

    @property
    def due_us(self) -> int | None:
        """When `advance` has something to tell, or None."""
        due = [axis.moved_us + _REST_US for axis in self._axes.values() if self._unrested(axis)]
        if self._counts_due_us is not None:
            due.append(self._counts_due_us)
        return min(due, default=None)

    def values(self) -> dict[int, int]:
        """The absolute axes as they stand, by code."""
        return {code: axis.value for code, axis in self._axes.items()}

    def feed(self, us: int, events: Events) -> list[str]:
        """One frame; the sentences that it is worth."""
        said = self.advance(us)
        for event_type, code, value in events:
            if event_type == EV_KEY:
                said += self._key(us, code, value)
            elif event_type == EV_ABS:
                said += self._axis(us, code, value)
            elif event_type == EV_REL and value:
                self._note_moved(EV_REL, code)
                self._counts[code] = self._counts.get(code, 0) + value
                if self._counts_due_us is None:
                    self._counts_due_us = us + _AXIS_EVERY_US
        return said

    def advance(self, us: int) -> list[str]:
        """Time has come to `us`; what has come to rest, and what rolled, is told."""
        said = []
        if self._counts_due_us is not None and self._counts_due_us <= us:
            said += [_counts_in_words(code, n) for code, n in sorted(self._counts.items()) if n]
            self._counts.clear()
            self._counts_due_us = None
        for code, axis in self._axes.items():
            if self._unrested(axis) and axis.moved_us + _REST_US <= us:
                if self._share(code, axis.value - axis.told) >= _REST_STEP:
                    said.append(f"{self.axis_in_words(code)}, and rests there")
                axis.told = axis.value
        return said

    def axis_in_words(self, code: int) -> str:
        """As in `ABS_X at 131 of 0 to 255 (51 %)`."""
        value = self._axes[code].value
        name = code_name(EV_ABS, code)
        span = self._ranges.get(code)
        if span is None or span.maximum <= span.minimum:
            return f"{name} at {value}"
        share = (value - span.minimum) / (span.maximum - span.minimum)
        return f"{name} at {value} of {span.minimum} to {span.maximum} ({share * 100:.0f} %)"

    def _key(self, us: int, code: int, value: int) -> list[str]:
        name = code_name(EV_KEY, code)
        if value:
            self.held[code] = us
            if code not in self.pressed:
                self.pressed.append(code)
            return [f"{name} pressed"]
        if code not in self.held:
            return []
        since_us = self.held.pop(code)
        if since_us is None:
            return [f"{name} released"]
        return [f"{name} released after {(us - since_us) / 1e6:.3f} s"]

    def _axis(self, us: int, code: int, value: int) -> list[str]:
        axis = self._axes.setdefault(code, _Axis(value, value, -_AXIS_EVERY_US, us))
        axis.value = value
        axis.moved_us = us
        if us - axis.told_us < _AXIS_EVERY_US or self._share(code, value - axis.told) < _AXIS_STEP:
            return []
        self._note_moved(EV_ABS, code)
        axis.told, axis.told_us = value, us
        return [self.axis_in_words(code)]

    def _note_moved(self, event_type: int, code: int) -> None:
        if (event_type, code) not in self.moved:
            self.moved.append((event_type, code))

    @staticmethod
    def _unrested(axis: _Axis) -> bool:
        return axis.value != axis.told

    def _share(self, code: int, difference: int) -> float:
        """A difference as a share of the axis's range; full where the range is unknown."""
        span = self._ranges.get(code)
        if span is None or span.maximum <= span.minimum:
            return 1.0
        return abs(difference) / (span.maximum - span.minimum)


def _counts_in_words(code: int, counts: int) -> str:
    name = code_name(EV_REL, code)
    if code in _HORIZONTAL:
        return f"{name} {abs(counts)} counts to the {'right' if counts > 0 else 'left'}"
    if code in _VERTICAL:
        return f"{name} {abs(counts)} counts {'down' if counts > 0 else 'up'}"
    return f"{name} {counts:+d} counts"
