"""The 1-euro filter against its authors' own code, and against what a low-pass filter must do.

Sources: Casiez, Roussel, Vogel, CHI 2012, doi 10.1145/2207676.2208639; the authors' Python package
OneEuroFilter 0.2.1 (BSD-3). The package leaves the rate as it is when the time before was exactly 0
or when no time has passed, so clocks here start above 0 and go on.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from OneEuroFilter import OneEuroFilter

from remapd.engine.one_euro import OneEuro

STEP = [0, 0.1, 0.05, 0.12, 0.5, 0.9, 1, 0.98, 1.02, 1]


def ours(cutoff_hz: float, beta: float, samples: list[tuple[int, float]]) -> list[float]:
    """What comes out for (us, value) samples."""
    filter_ = OneEuro(cutoff_hz, beta)
    out = []
    last_us = samples[0][0]
    for us, value in samples:
        out.append(filter_.sample(value, us - last_us))
        last_us = us
    return out


def theirs(cutoff_hz: float, beta: float, samples: list[tuple[int, float]]) -> list[float]:
    reference = OneEuroFilter(freq=125.0, mincutoff=cutoff_hz, beta=beta, dcutoff=1.0)
    return [reference(value, us / 1e6) for us, value in samples]


@pytest.mark.parametrize(
    ("cutoff_hz", "beta", "expected"),
    [
        (
            1.0,
            0.0,
            "0 .005912 .008518 .015109 .043774 .094392 .147929 .197119 .245766 .290354",
        ),
        (
            1.0,
            0.5,
            "0 .007528 .010970 .021504 .098982 .299656 .516433 .673326 .796260 .869274",
        ),
        (
            0.5,
            2.0,
            "0 .009560 .014255 .032172 .196481 .554093 .806618 .906511 .972016 .987870",
        ),
    ],
)
def test_vectors_at_100_hz(cutoff_hz: float, beta: float, expected: str) -> None:
    """Calculated once with OneEuroFilter 0.2.1, so that this stands without the package."""
    samples = [(10_000 * index, value) for index, value in enumerate(STEP)]

    assert ours(cutoff_hz, beta, samples) == pytest.approx(
        [float(value) for value in expected.split()], abs=5e-7
    )


def test_vector_at_irregular_times() -> None:
    """Calculated once with OneEuroFilter 0.2.1, rate 125 Hz."""
    times_us = [0, 8_000, 16_000, 25_000, 33_000, 50_000]
    samples = list(zip(times_us, [0, 0.2, 0.4, 0.4, 0.35, 0.36], strict=True))

    assert ours(1.0, 1.0, samples) == pytest.approx(
        [0, 0.019886, 0.088899, 0.168501, 0.215357, 0.278103], abs=5e-7
    )


@given(
    st.floats(0.05, 20.0),
    st.floats(0.0, 10.0),
    st.lists(st.tuples(st.integers(50, 200_000), st.floats(-1.0, 1.0)), min_size=1, max_size=60),
)
def test_parity_with_the_authors_code(
    cutoff_hz: float, beta: float, steps: list[tuple[int, float]]
) -> None:
    samples = []
    us = 1_000_000
    for gap_us, value in steps:
        us += gap_us
        samples.append((us, value))

    assert ours(cutoff_hz, beta, samples) == pytest.approx(
        theirs(cutoff_hz, beta, samples), abs=1e-9
    )


def test_a_step_is_at_63_percent_after_one_time_constant() -> None:
    """A first-order low-pass of 1 Hz has a time constant of 159 ms [calculated]."""
    out = ours(1.0, 0.0, [(0, 0.0)] + [(us, 1.0) for us in range(1_000, 1_000_000, 1_000)])

    assert out[159] == pytest.approx(1 - math.exp(-1), abs=0.005)


@pytest.mark.parametrize(
    ("cutoff_hz", "gains"),
    [
        (0.5, (0.124, 0.083, 0.062, 0.050)),
        (1.0, (0.243, 0.164, 0.124, 0.100)),
        (2.0, (0.447, 0.316, 0.243, 0.196)),
        (5.0, (0.781, 0.640, 0.530, 0.447)),
    ],
)
def test_how_much_of_a_tremor_passes(cutoff_hz: float, gains: tuple[float, ...]) -> None:
    """Gain of a first-order low-pass at 4, 6, 8 and 10 Hz, 1/sqrt(1 + (f/fc)^2) [calculated].

    Sampled every millisecond, so that the digital form is near to it.
    """
    for tremor_hz, gain in zip((4, 6, 8, 10), gains, strict=True):
        out = ours(
            cutoff_hz,
            0.0,
            [(us, math.sin(2e-6 * math.pi * tremor_hz * us)) for us in range(0, 3_000_000, 1_000)],
        )
        assert max(out[1500:]) == pytest.approx(gain, rel=0.03)


def test_beta_lets_fast_movement_through() -> None:
    """The paper's point: the same tremor at rest, less lag when it moves."""
    ramp = [(us, min(1.0, us / 200_000)) for us in range(0, 240_000, 8_000)]

    slow, quick = ours(1.0, 0.0, ramp)[-1], ours(1.0, 1.0, ramp)[-1]

    assert quick > slow + 0.2
