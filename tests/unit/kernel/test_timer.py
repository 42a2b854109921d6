"""The timer is a plain descriptor: it needs no device, and Linux everywhere has it."""

from __future__ import annotations

import os
import select
from collections.abc import Iterator

import pytest

from remapd.kernel.timer import Timer, monotonic_us


@pytest.fixture
def timer() -> Iterator[Timer]:
    made = Timer()
    yield made
    made.close()


def fires_within(timer: Timer, wait_s: float) -> bool:
    return bool(select.select([timer], [], [], wait_s)[0])


def test_it_wakes_at_the_deadline_and_not_before(timer: Timer) -> None:
    deadline_us = monotonic_us() + 3_500
    timer.arm(deadline_us)
    assert fires_within(timer, 10)
    assert monotonic_us() >= deadline_us


def test_a_deadline_that_is_over_wakes_at_once(timer: Timer) -> None:
    for deadline_us in (monotonic_us() - 1_000_000, 1, 0, -5):
        timer.arm(deadline_us)
        assert fires_within(timer, 10)
        timer.acknowledge()


def test_after_acknowledging_it_is_silent_until_armed_again(timer: Timer) -> None:
    timer.arm(1)
    assert fires_within(timer, 10)
    timer.acknowledge()
    assert timer.deadline_us is None
    assert not fires_within(timer, 0)
    timer.arm(1)
    assert fires_within(timer, 10)


def test_disarming(timer: Timer) -> None:
    timer.arm(1)
    timer.arm(None)
    assert not fires_within(timer, 0)


def test_a_later_deadline_replaces_one_that_is_over(timer: Timer) -> None:
    timer.arm(1)
    assert fires_within(timer, 10)
    later_us = monotonic_us() + 60_000_000
    timer.arm(later_us)
    timer.acknowledge()
    assert timer.deadline_us == later_us, "acknowledging the old one must not forget the new one"
    assert not fires_within(timer, 0)


def test_the_descriptor_is_not_inherited_and_closes_once(timer: Timer) -> None:
    assert not os.get_inheritable(timer.fileno())
    timer.close()
    timer.close()
