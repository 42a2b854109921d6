"""The short way of frames of moving axes gives what the long one gives, byte for byte."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from remapd.engine.layout import Layout
from tests.support.random_play import Play
from tests.support.strategies import Step, layouts, scripts

large = settings(
    max_examples=max(500, settings().max_examples),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def leaning(script: list[Step], share: int) -> list[Step]:
    """The script with most frames left with their axes alone, and these followed by small moves."""
    calmer = []
    for number, step in enumerate(script):
        axes = tuple(hand for hand in step.hands if hand.kind != "key")
        if not axes or number % share == 0:
            calmer.append(step)
            continue
        calmer.append(replace(step, hands=axes))
        for nearer in (3, 9):
            hands = tuple(replace(h, value=h.value - h.value * nearer // 100) for h in axes)
            calmer.append(Step(number * 1_000, "frame", hands, step.source))
    return calmer


@large
@given(layouts(), layouts(), scripts(), st.integers(1, 4))
def test_the_short_way_tells_the_same(
    first: Layout, second: Layout, script: list[Step], share: int
) -> None:
    long, short = (Play(first, second, explain=False, short=way) for way in (False, True))
    for each in (long, short):
        each.run(leaning(script, share))
        each.run_out(5_000_000)

    assert repr(long.told()) == repr(short.told())
    assert long.engine.pad_shown() == short.engine.pad_shown()
