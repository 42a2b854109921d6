"""Sticks: from two raw axes to a point in the unit circle, as the language's steps 1 to 6 say.

Right and down are positive, as evdev has it.
"""

from __future__ import annotations

import math
from typing import Final

from remapd.engine.one_euro import Steadied
from remapd.engine.settings import StickSettings
from remapd.engine.source import AxisRange

_LONG_AGO_US: Final = -(1 << 62)
#: What binary fractions may lose: 60 % with a dead zone of 20 % is half way, but comes out as less.
#: A threshold that is met on paper is met to within this.
ROUNDING: Final = 1e-9

# Of quarter turns, exactly: math.cos(math.pi / 2) is not 0.
_QUARTER_COSINES: Final[tuple[float, ...]] = (1.0, 0.0, -1.0, 0.0)
_QUARTER_SINES: Final[tuple[float, ...]] = (0.0, 1.0, 0.0, -1.0)


class PointConditioner:
    """Steps 2 to 6, which sticks and pointers have in common.

    After each sample, `x` and `y` are the conditioned point, `plain_x` and `plain_y` the same
    before `curve` (what directions go by), and `neutral` says that it is inside the dead zone.
    """

    __slots__ = (
        "_at_rest",
        "_bends",
        "_cosine",
        "_curve",
        "_dead_zone",
        "_last_us",
        "_live",
        "_settings",
        "_sine",
        "_steadied_x",
        "_steadied_y",
        "neutral",
        "plain_x",
        "plain_y",
        "x",
        "y",
    )

    def __init__(self, settings: StickSettings) -> None:
        self.x = 0.0
        self.y = 0.0
        self.plain_x = 0.0
        self.plain_y = 0.0
        self.neutral = True
        self._last_us = _LONG_AGO_US
        self._steadied_x: Steadied | None = None
        self._steadied_y: Steadied | None = None
        self._settings = settings
        self._cosine = 1.0
        self._sine = 0.0
        self._bends = False
        self._dead_zone = 0.0
        self._at_rest = 0.0
        self._live = 1.0
        self._curve = 1.0
        self._prepare(settings)

    @property
    def settings(self) -> StickSettings:
        """New ones count from the next sample on; a filter that is running goes on."""
        return self._settings

    @settings.setter
    def settings(self, settings: StickSettings) -> None:
        self._settings = settings
        self._prepare(settings)

    @property
    def steadied(self) -> bool:
        """Whether there is a filter: then the value depends on time."""
        return self._steadied_x is not None

    def _prepare(self, settings: StickSettings) -> None:
        quarters, rest = divmod(settings.turn_degrees, 90.0)
        if rest == 0.0:
            self._cosine = _QUARTER_COSINES[int(quarters) % 4]
            self._sine = _QUARTER_SINES[int(quarters) % 4]
        else:
            self._cosine = math.cos(math.radians(settings.turn_degrees))
            self._sine = math.sin(math.radians(settings.turn_degrees))
        self._bends = (
            self._cosine != 1.0
            or settings.flip_x
            or settings.flip_y
            or settings.reach_left != 1.0
            or settings.reach_right != 1.0
            or settings.reach_up != 1.0
            or settings.reach_down != 1.0
        )
        self._dead_zone = settings.dead_zone
        self._at_rest = settings.dead_zone + ROUNDING
        self._live = 1.0 - settings.dead_zone
        self._curve = settings.curve
        steady = settings.steady
        if steady is None:
            self._steadied_x = self._steadied_y = None
        elif self._steadied_x is None or self._steadied_y is None:
            self._steadied_x = Steadied(steady)
            self._steadied_y = Steadied(steady)
        else:
            self._steadied_x.tune(steady)
            self._steadied_y.tune(steady)

    def _condition(self, x: float, y: float, us: int) -> bool:
        """Steps 2 to 6; True when the value is to be sampled again in SAMPLE_PERIOD_US."""
        if self._bends:
            x, y = self._bent(x, y)
        again = False
        if self._steadied_x is not None and self._steadied_y is not None:
            elapsed_us = us - self._last_us
            self._last_us = us
            steadied_x = self._steadied_x.sample(x, elapsed_us)
            steadied_y = self._steadied_y.sample(y, elapsed_us)
            again = steadied_x != x or steadied_y != y
            x = steadied_x
            y = steadied_y
        self._settle(x, y)
        return again

    def _bent(self, x: float, y: float) -> tuple[float, float]:
        """Steps 2 and 3."""
        settings = self._settings
        turned_x = x * self._cosine - y * self._sine
        turned_y = x * self._sine + y * self._cosine
        x = turned_x / (settings.reach_right if turned_x > 0.0 else settings.reach_left)
        y = turned_y / (settings.reach_down if turned_y > 0.0 else settings.reach_up)
        return -x if settings.flip_x else x, -y if settings.flip_y else y

    def _settle(self, x: float, y: float) -> None:
        """Steps 5 and 6."""
        radius = math.sqrt(x * x + y * y)  # less to call than hypot: nothing here is that large
        reached = radius if radius < 1.0 else 1.0
        if reached <= self._at_rest:
            self.neutral = True
            self.x = self.y = self.plain_x = self.plain_y = 0.0
            return
        self.neutral = False
        x /= radius
        y /= radius
        length = (reached - self._dead_zone) / self._live
        self.plain_x = x * length
        self.plain_y = y * length
        if self._curve == 1.0:
            self.x = self.plain_x
            self.y = self.plain_y
        else:
            length = math.pow(length, self._curve)
            self.x = x * length
            self.y = y * length


class StickConditioner(PointConditioner):
    """A stick: two absolute axes, or four keys as axes from -1 to 1."""

    __slots__ = (
        "_above_x",
        "_above_y",
        "_below_x",
        "_below_y",
        "_centre_x",
        "_centre_y",
        "_raw_x",
        "_raw_y",
        "_x_range",
        "_y_range",
    )

    def __init__(self, settings: StickSettings, x_range: AxisRange, y_range: AxisRange) -> None:
        self._x_range = x_range
        self._y_range = y_range
        self._centre_x = self._centre_y = 0.0
        self._below_x = self._below_y = 1.0
        self._above_x = self._above_y = 1.0
        self._raw_x = self._raw_y = 0
        super().__init__(settings)

    def _prepare(self, settings: StickSettings) -> None:
        super()._prepare(settings)
        self._centre_x = axis_centre(self._x_range, settings.centre_x)
        self._below_x = half_axis(self._centre_x - self._x_range.minimum)
        self._above_x = half_axis(self._x_range.maximum - self._centre_x)
        self._centre_y = axis_centre(self._y_range, settings.centre_y)
        self._below_y = half_axis(self._centre_y - self._y_range.minimum)
        self._above_y = half_axis(self._y_range.maximum - self._centre_y)

    def sample(self, raw_x: int, raw_y: int, us: int) -> bool:
        """Takes the axes as they are after a frame at `us`.

        Returns True when the filter is not there yet: then `tick` is wanted SAMPLE_PERIOD_US later,
        unless another sample comes first.
        """
        self._raw_x = raw_x
        self._raw_y = raw_y
        x = raw_x - self._centre_x
        y = raw_y - self._centre_y
        return self._condition(
            x / (self._above_x if x > 0.0 else self._below_x),
            y / (self._above_y if y > 0.0 else self._below_y),
            us,
        )

    def sample_unsteadied(self, raw_x: int, raw_y: int) -> None:
        """As `sample`, of a stick that is not `steadied`: it needs no time."""
        x = raw_x - self._centre_x
        y = raw_y - self._centre_y
        x /= self._above_x if x > 0.0 else self._below_x
        y /= self._above_y if y > 0.0 else self._below_y
        if self._bends:
            x, y = self._bent(x, y)
        self._settle(x, y)

    def tick(self, us: int) -> bool:
        """The last value, sampled again; the same answer."""
        return self.sample(self._raw_x, self._raw_y, us)


def axis_centre(axis: AxisRange, share: float) -> float:
    """The middle of an axis in raw units, moved by a share of half its range."""
    return (axis.minimum + axis.maximum) / 2.0 + share * (axis.maximum - axis.minimum) / 2.0


def half_axis(length: float) -> float:
    """What to divide by on one side of the centre; a side of no length gives 0 whatever comes."""
    return length if length != 0.0 else math.inf
