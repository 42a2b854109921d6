"""Levers: one raw axis (a trigger, a pedal, sip-and-puff) to how far it is from rest."""

from __future__ import annotations

import math
from typing import Final

from remapd.engine.one_euro import Steadied
from remapd.engine.settings import LeverSettings, Rest
from remapd.engine.source import AxisRange
from remapd.engine.sticks import ROUNDING, axis_centre, half_axis

_LONG_AGO_US: Final = -(1 << 62)


class LeverConditioner:
    """A lever: one absolute axis, or a key as an axis from 0 to 1.

    `x` is how far it is from rest: 0 to 1, or -1 to 1 (low to high) where it rests in the middle.
    `plain_x` is for its ends: before `curve`, and always negative towards the low end, positive
    towards the high one. `neutral` says that it is inside the dead zone.
    """

    __slots__ = (
        "_above",
        "_away",
        "_below",
        "_centre",
        "_curve",
        "_dead_zone",
        "_last_us",
        "_range",
        "_raw",
        "_reach",
        "_settings",
        "_steadied",
        "neutral",
        "plain_x",
        "x",
    )

    def __init__(self, settings: LeverSettings, axis: AxisRange) -> None:
        self.x = 0.0
        self.plain_x = 0.0
        self.neutral = True
        self._range = axis
        self._raw = 0
        self._last_us = _LONG_AGO_US
        self._steadied: Steadied | None = None
        self._settings = settings
        self._centre = 0.0
        self._below = 1.0
        self._above = 1.0
        self._away = 1.0
        # taken out of the settings: this is on the way of each sample
        self._reach = 1.0
        self._dead_zone = 0.0
        self._curve = 1.0
        self._prepare(settings)

    @property
    def settings(self) -> LeverSettings:
        """New ones count from the next sample on; a filter that is running goes on."""
        return self._settings

    @settings.setter
    def settings(self, settings: LeverSettings) -> None:
        self._settings = settings
        self._prepare(settings)

    def _prepare(self, settings: LeverSettings) -> None:
        axis = self._range
        if settings.rests_at is Rest.MIDDLE:
            self._centre = axis_centre(axis, 0.0)
        else:
            self._centre = float(axis.minimum if settings.rests_at is Rest.LOW else axis.maximum)
        self._below = half_axis(self._centre - axis.minimum)
        self._above = half_axis(axis.maximum - self._centre)
        # Away from rest is towards the low end only where it rests at the high one.
        self._away = -1.0 if settings.rests_at is Rest.HIGH else 1.0
        self._reach = settings.reach
        self._dead_zone = settings.dead_zone
        self._curve = settings.curve
        steady = settings.steady
        if steady is None:
            self._steadied = None
        elif self._steadied is None:
            self._steadied = Steadied(steady)
        else:
            self._steadied.tune(steady)

    @property
    def steadied(self) -> bool:
        """Whether there is a filter: then the value depends on time."""
        return self._steadied is not None

    def sample(self, raw: int, us: int) -> bool:
        """Takes the axis as it is after a frame at `us`; True when a `tick` is wanted."""
        self._raw = raw
        position = raw - self._centre
        position /= self._above if position > 0.0 else self._below
        position /= self._reach
        again = False
        if self._steadied is not None:
            elapsed_us = us - self._last_us
            self._last_us = us
            steadied = self._steadied.sample(position, elapsed_us)
            again = steadied != position
            position = steadied
        distance = min(abs(position), 1.0)
        dead_zone = self._dead_zone
        if distance <= dead_zone + ROUNDING:
            self.neutral = True
            self.x = self.plain_x = 0.0
            return again
        self.neutral = False
        length = (distance - dead_zone) / (1.0 - dead_zone)
        self.plain_x = math.copysign(length, position)
        if self._curve != 1.0:
            length = math.pow(length, self._curve)
        self.x = math.copysign(length, position) * self._away
        return again

    def tick(self, us: int) -> bool:
        """The last value, sampled again; the same answer."""
        return self.sample(self._raw, us)
