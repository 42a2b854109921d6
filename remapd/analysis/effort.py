"""Published figures of repetitive work, for what can be counted in a session.

They were made for healthy workers at one task for hours, not for a player who may tire sooner, and
not for play: each is a number to talk about, never a verdict. Efforts that a machine makes (turbo,
latch) are no efforts of the player's and are not counted.
"""

from __future__ import annotations

import math
from enum import Enum
from typing import Final

#: The scale of the hand activity level.
HIGHEST_ACTIVITY: Final = 10.0


def hand_activity_level(exertions_per_second: float, duty_percent: float) -> float:
    """The hand activity level, 0 (idle) to 10 (as fast as can be), from frequency and duty cycle.

    HAL = 6.56 ln D [F^1.31 / (1 + 3.18 F^1.31)], with F in exertions per second and D in percent
    of the time: Radwin, Azari, Lindstrom, Ulin, Armstrong and Rempel, Ergonomics 58(2), 2015,
    173-183 (abstract read). Meant for single-task hand work of 4 hours or more a day.

    Args:
        exertions_per_second: How many begin each second on average; 0 or more.
        duty_percent: How much of the time is spent in them, 0 to 100.
    """
    if exertions_per_second <= 0.0 or duty_percent <= 1.0:
        return 0.0  # the logarithm is 0 at one percent: as good as idle
    power: float = exertions_per_second**1.31
    level = 6.56 * math.log(min(duty_percent, 100.0)) * power / (1.0 + 3.18 * power)
    return min(level, HIGHEST_ACTIVITY)


class Intensity(Enum):
    """How hard an effort is, as whoever sees and feels it judges; the value is its multiplier."""

    LIGHT = 1.0
    SOMEWHAT_HARD = 3.0
    HARD = 6.0
    VERY_HARD = 9.0
    NEAR_MAXIMAL = 13.0


class Posture(Enum):
    """How the joint stands; the names tell apart what has equal multipliers."""

    VERY_GOOD = "very-good"
    GOOD = "good"
    FAIR = "fair"
    BAD = "bad"
    VERY_BAD = "very-bad"


class Speed(Enum):
    """How fast the movement is."""

    VERY_SLOW = "very-slow"
    SLOW = "slow"
    FAIR = "fair"
    FAST = "fast"
    VERY_FAST = "very-fast"


_POSTURES: Final = {
    Posture.VERY_GOOD: 1.0,
    Posture.GOOD: 1.0,
    Posture.FAIR: 1.5,
    Posture.BAD: 2.0,
    Posture.VERY_BAD: 3.0,
}
_SPEEDS: Final = {
    Speed.VERY_SLOW: 1.0,
    Speed.SLOW: 1.0,
    Speed.FAIR: 1.0,
    Speed.FAST: 1.5,
    Speed.VERY_FAST: 2.0,
}
#: Below each bound its multiplier counts; the last one has no bound.
_DURATIONS: Final = ((10.0, 0.5), (30.0, 1.0), (50.0, 1.5), (80.0, 2.0), (math.inf, 3.0))
_EFFORTS: Final = ((4.0, 0.5), (9.0, 1.0), (15.0, 1.5), (20.0, 2.0), (math.inf, 3.0))
#: Up to and with each bound.
_HOURS: Final = ((1.0, 0.25), (2.0, 0.5), (4.0, 0.75), (8.0, 1.0), (math.inf, 1.5))


def strain_index(
    intensity: Intensity,
    duration_percent: float,
    efforts_per_minute: float,
    posture: Posture,
    speed: Speed,
    hours_per_day: float,
) -> float:
    """The Strain Index: the product of six multipliers.

    Moore and Garg, American Industrial Hygiene Association Journal 56, 1995, 443-458; multipliers
    read in a scoring sheet, not in the paper. Intensity, posture and speed have to be judged by a
    person; the rest can be counted.

    Args:
        intensity: How hard each effort is.
        duration_percent: Share of the time spent in efforts, 0 to 100.
        efforts_per_minute: How many efforts a minute.
        posture: How the joint stands.
        speed: How fast the movement is.
        hours_per_day: For how long in a day.
    """
    return (
        intensity.value
        * _below(_DURATIONS, duration_percent)
        * _below(_EFFORTS, efforts_per_minute)
        * _POSTURES[posture]
        * _SPEEDS[speed]
        * next(factor for bound, factor in _HOURS if hours_per_day <= bound)
    )


def _below(table: tuple[tuple[float, float], ...], value: float) -> float:
    return next(factor for bound, factor in table if value < bound)
