"""Delays counted in steps, against a plain sort of the same delays."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.daemon.figures import STEP_US, STEPS, Figures


@given(
    st.lists(st.integers(0, 60_000), min_size=1, max_size=300), st.sampled_from([0.5, 0.9, 0.99])
)
def test_shares_agree_with_a_sorted_list_to_one_step(delays: list[int], share: float) -> None:
    figures = Figures()
    for delay in delays:
        figures.add(delay)
    exact = next(d for n, d in enumerate(sorted(delays), 1) if n >= len(delays) * share)
    told = figures.share_us(share)
    assert told is not None
    assert figures.frames == len(delays)
    if exact < (STEPS - 1) * STEP_US:
        assert exact <= told <= exact + STEP_US
    assert told <= figures.longest_us == max(delays)


def test_without_frames_there_are_no_shares() -> None:
    assert Figures().share_us(0.5) is None


@pytest.mark.parametrize("delay", [-5, 0, 10**9])
def test_delays_out_of_range_are_counted_too(delay: int) -> None:
    figures = Figures()
    figures.add(delay)
    assert figures.frames == 1
