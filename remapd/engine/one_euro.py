"""The 1-euro filter: little lag while it moves fast, little shake while it moves slowly.

Source: G. Casiez, N. Roussel, D. Vogel, "1 € Filter: A Simple Speed-based Low-pass Filter for
Noisy Input in Interactive Systems", CHI 2012, doi 10.1145/2207676.2208639, in the form of the
authors' own code: the slope is taken from the last filtered value, and the first value passes.
"""

from __future__ import annotations

import math
from typing import Final

from remapd.engine.settings import Steady

#: A value that rests counts as sampled again this often, and no two samples count as further apart.
SAMPLE_PERIOD_US: Final = 8_000

#: Nearer than this to its input (half a step of the pad's axes) the filter has arrived.
ARRIVED: Final = 0.5 / 32767

_DERIVATIVE_CUTOFF_HZ: Final = 1.0
_DERIVATIVE_TAU: Final = 1.0 / (2.0 * math.pi * _DERIVATIVE_CUTOFF_HZ)


class OneEuro:
    """The filter of one axis; `value` is what came out last.

    `cutoff_hz` is the low-pass frequency at rest, `beta` how much it grows with the speed (Hz for
    each unit a second). Both may be changed at any time; the filter goes on.
    """

    __slots__ = ("_slope", "_started", "beta", "cutoff_hz", "value")

    def __init__(self, cutoff_hz: float, beta: float) -> None:
        self.cutoff_hz = cutoff_hz
        self.beta = beta
        self.value = 0.0
        self._slope = 0.0
        self._started = False

    def sample(self, value: float, elapsed_us: int) -> float:
        """The filtered value; `elapsed_us` is the time since the last sample.

        A sample at the same time as the last one changes nothing: in no time nothing moves.
        """
        if not self._started:
            self._started = True
            self.value = value
        elif elapsed_us > 0:
            elapsed = elapsed_us / 1e6
            last = self.value
            slope_alpha = 1.0 / (1.0 + _DERIVATIVE_TAU / elapsed)
            slope = slope_alpha * ((value - last) / elapsed) + (1.0 - slope_alpha) * self._slope
            self._slope = slope
            cutoff = self.cutoff_hz + self.beta * abs(slope)
            alpha = 1.0 / (1.0 + 1.0 / (2.0 * math.pi * cutoff) / elapsed)
            self.value = alpha * value + (1.0 - alpha) * last
        return self.value


class Steadied:
    """Step `steady` of a control: a filter that arrives, and that says when it wants a tick."""

    __slots__ = ("_filter",)

    def __init__(self, steady: Steady) -> None:
        self._filter = OneEuro(steady.cutoff_hz, steady.beta)

    def tune(self, steady: Steady) -> None:
        """Other settings from the next sample on; the filter goes on."""
        self._filter.cutoff_hz = steady.cutoff_hz
        self._filter.beta = steady.beta

    def sample(self, value: float, elapsed_us: int) -> float:
        """The steadied value: the very value that came in when the filter has arrived at it."""
        elapsed_us = min(elapsed_us, SAMPLE_PERIOD_US)
        steadied = self._filter.sample(value, elapsed_us)
        if abs(steadied - value) <= ARRIVED:
            steadied = self._filter.value = value
        return steadied
