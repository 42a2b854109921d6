"""The filter as a control uses it: it arrives, and a silence counts as one sampling period."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.engine.one_euro import ARRIVED, SAMPLE_PERIOD_US, OneEuro, Steadied
from remapd.engine.settings import Steady


def test_the_first_sample_passes() -> None:
    assert OneEuro(1.0, 0.0).sample(0.7, 10**12) == 0.7
    assert Steadied(Steady(0.8)).sample(-0.3, 0) == -0.3


def test_a_sample_in_no_time_changes_nothing() -> None:
    """No division by zero, and no jump."""
    filter_ = OneEuro(1.0, 0.5)
    filter_.sample(0.0, 0)
    before = filter_.sample(1.0, 8_000)

    assert filter_.sample(-1.0, 0) == before
    assert filter_.sample(1.0, 8_000) > before


@pytest.mark.parametrize("cutoff_hz", [0.8, 1.5, 3.0])
def test_at_rest_it_arrives_exactly(cutoff_hz: float) -> None:
    steadied = Steadied(Steady(cutoff_hz))
    steadied.sample(0.0, 0)
    values = [steadied.sample(0.6, SAMPLE_PERIOD_US) for _ in range(600)]
    arrived = values.index(0.6)

    assert values[:arrived] == sorted(values[:arrived])
    assert 0.6 - values[arrived - 1] > ARRIVED
    assert values[arrived:] == [0.6] * (600 - arrived)


def test_where_it_has_arrived_it_starts_from() -> None:
    steadied = Steadied(Steady(1.0, beta=0.0))
    steadied.sample(0.0, 0)
    while steadied.sample(0.5, SAMPLE_PERIOD_US) != 0.5:
        pass
    one = Steadied(Steady(1.0, beta=0.0))
    one.sample(0.5, 0)

    assert steadied.sample(1.0, SAMPLE_PERIOD_US) == one.sample(1.0, SAMPLE_PERIOD_US)


def test_a_long_silence_counts_as_one_period() -> None:
    silent, busy = Steadied(Steady(1.5)), Steadied(Steady(1.5))
    for steadied in (silent, busy):
        steadied.sample(0.0, 0)

    assert silent.sample(1.0, 60_000_000) == busy.sample(1.0, SAMPLE_PERIOD_US)
    assert silent.sample(1.0, 1_000) == busy.sample(1.0, 1_000)


def test_other_settings_and_the_filter_goes_on() -> None:
    steadied = Steadied(Steady(0.8))
    steadied.sample(0.0, 0)
    slow = steadied.sample(1.0, 8_000)
    steadied.tune(Steady(3.0, beta=1.0))
    quick = steadied.sample(1.0, 8_000)

    assert 0.0 < slow < quick < 1.0
    assert quick - slow > 2 * slow


@given(
    st.floats(0.05, 10.0),
    st.floats(0.0, 5.0),
    st.lists(st.tuples(st.integers(0, 20_000), st.floats(-1.0, 1.0)), min_size=1),
)
def test_it_stays_within_what_it_was_given(
    cutoff_hz: float, beta: float, samples: list[tuple[int, float]]
) -> None:
    steadied = Steadied(Steady(cutoff_hz, beta))
    lowest = min(value for _, value in samples)
    highest = max(value for _, value in samples)
    for elapsed_us, value in samples:
        assert lowest - 1e-12 <= steadied.sample(value, elapsed_us) <= highest + 1e-12
