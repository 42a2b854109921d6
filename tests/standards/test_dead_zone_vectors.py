"""The scaled radial dead zone against its published form.

Source: J. Sutphin, "Doing Thumbstick Dead Zones Right" (2013): r at or below the inner radius gives
0, else min(1, (r - inner) / (outer - inner)) in the same direction. The vectors are calculated so.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.engine.settings import StickSettings
from remapd.engine.source import AxisRange
from remapd.engine.sticks import StickConditioner

FULL = 1_000_000
AXIS = AxisRange(-FULL, FULL)


def with_radii(inner: float, outer: float) -> StickConditioner:
    """The language says an outer radius as a reach, and the dead zone as a share of that."""
    settings = StickSettings(
        reach_left=outer,
        reach_right=outer,
        reach_up=outer,
        reach_down=outer,
        dead_zone=inner / outer,
    )
    return StickConditioner(settings, AXIS, AXIS)


@pytest.mark.parametrize(
    ("point", "expected"),
    [
        ((0.1, 0.1), (0, 0)),
        ((0.2, 0), (0, 0)),
        ((0.55, 0), (0.5, 0)),
        ((0.3, 0.4), (0.257143, 0.342857)),
        ((-0.6, 0.8), (-0.6, 0.8)),
        ((0.05, -0.7), (0.051072, -0.715012)),
        ((1, 1), (0.707107, 0.707107)),
    ],
)
def test_vectors_inner_20_outer_90(
    point: tuple[float, float], expected: tuple[float, float]
) -> None:
    stick = with_radii(0.2, 0.9)
    stick.sample(round(point[0] * FULL), round(point[1] * FULL), 1)

    assert (stick.x, stick.y) == pytest.approx(expected, abs=2e-6)


@given(
    st.floats(0.0, 0.5),
    st.floats(0.6, 1.0),
    st.floats(0.0, 1.4),
    st.floats(0.0, 2 * math.pi),
)
def test_the_published_formula(inner: float, outer: float, radius: float, angle: float) -> None:
    raw_x, raw_y = round(FULL * radius * math.cos(angle)), round(FULL * radius * math.sin(angle))
    x, y = raw_x / FULL, raw_y / FULL
    stick = with_radii(inner, outer)
    stick.sample(raw_x, raw_y, 1)

    length = math.hypot(x, y)
    share = 0.0 if length <= inner else min(1.0, (length - inner) / (outer - inner)) / length
    assert (stick.x, stick.y) == pytest.approx((x * share, y * share), abs=1e-9)
