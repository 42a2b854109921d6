"""The short way of frames of moving axes gives what the long one gives, byte for byte."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from remapd.codes import RELS
from remapd.engine.layout import Layout, PointerControl
from remapd.engine.settings import StickSettings
from tests.support.random_play import Play
from tests.support.strategies import AXIS_LOW, FULL, STICKS, Hand, Step, layouts, scripts

#: The number of the pointer among the controls.
POINTER = STICKS[1]

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

    assert_alike(long, short)


#: A ball that rolls, and at times a lever of the same device with it.
rolls = st.lists(
    st.builds(
        lambda wait, x, y, lever: Step(
            wait,
            "frame",
            (
                Hand(1, "count", RELS["REL_X"], x),
                *([] if y is None else [Hand(1, "count", RELS["REL_Y"], y)]),
                *([] if lever is None else [Hand(1, "axis", AXIS_LOW, lever)]),
            ),
            source=1,
        ),
        st.sampled_from((1_000, 1_000, 3_000, 9_000, 60_000, None)),
        st.sampled_from((1, 2, -1, 5)),
        st.sampled_from((None, 1, -2)),
        st.sampled_from((None, None, 0, 90, FULL // 4, FULL // 2, FULL)),
    ),
    min_size=4,
    max_size=30,
)


@large
@given(layouts(), rolls, st.sampled_from((None, 0.0, 0.02)))
def test_a_ball_that_rolls_tells_the_same(
    layout: Layout, script: list[Step], dead_zone: float | None
) -> None:
    if dead_zone is not None:  # else mostly as it was drawn: steadied, or within the dead zone
        plain = StickSettings(dead_zone=dead_zone, full_speed=300.0)
        pointer = layout.controls[POINTER]
        assert isinstance(pointer, PointerControl)
        pointer = replace(pointer, settings=plain)
        controls = (*layout.controls[:POINTER], pointer, *layout.controls[POINTER + 1 :])
        layout = replace(layout, controls=controls)
    long, short = (Play(layout, explain=False, short=way) for way in (False, True))
    for each in (long, short):
        each.run(script)
        each.run_out(5_000_000)

    assert_alike(long, short)


def assert_alike(long: Play, short: Play) -> None:
    """Both ways have told the same."""
    assert repr(long.told()) == repr(short.told())
    assert long.engine.pad_shown() == short.engine.pad_shown()
