"""The laws that hold for any layout and any input, over random ones.

`pytest --hypothesis-profile=search` tries many more cases than a plain run.
"""

from __future__ import annotations

import dataclasses
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from remapd.engine.layout import Layer, Layout
from tests.support.random_play import Play
from tests.support.strategies import Step, layouts, scripts, steps

#: A plain run tries 350 cases of each, the profile `search` as many as it says. Whole layouts are
#: large values to draw; that is meant.
large = settings(
    max_examples=max(350, settings().max_examples),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def play(script: list[Step], *layouts_in_turn: Layout) -> Play:
    """A play of the script; laws 4 and 5 are watched all along."""
    done = Play(*layouts_in_turn)
    done.run(script)
    return done


@large
@given(layouts(), layouts(), scripts())
def test_law_1_same_input_gives_the_same_trace(
    first: Layout, second: Layout, script: list[Step]
) -> None:
    """Law 1: "The same input gives the same trace, byte for byte"; telling it changes nothing."""
    one, other = play(script, first, second), play(script, first, second)
    silent = Play(first, second, explain=False)
    silent.run(script)
    for each in (one, other, silent):
        each.run_out(5_000_000)

    assert repr(one.told()) == repr(other.told())
    assert one.told()[:2] == silent.told()[:2]


@large
@given(
    layouts(),
    layouts(),
    scripts(),
    st.lists(st.sampled_from((0.0, 0.2, 0.5, 0.9, 1.0)), min_size=1, max_size=5),
)
def test_law_2_time_may_be_cut_anywhere(
    first: Layout, second: Layout, script: list[Step], cuts: list[float]
) -> None:
    """Law 2: "However the time between frames is cut ..., the trace is the same"."""
    late = Play(first, second)
    waits = late.run(script)
    late.until(late.now_us + 3_000_000)

    cut = Play(first, second)
    for step, wait_us in zip(script, waits, strict=True):
        start_us = cut.now_us
        for share in sorted(cuts):
            cut.until(start_us + int(wait_us * share))
        cut.do(step, start_us + wait_us - cut.now_us)
    end_us = cut.now_us + 3_000_000
    for share in sorted(cuts):
        cut.until(max(cut.now_us, end_us - int(3_000_000 * (1 - share))))
    cut.until(end_us)

    punctual = Play(first, second)
    for step, wait_us in zip(script, waits, strict=True):
        then_us = punctual.now_us + wait_us
        punctual.run_out(wait_us)
        punctual.do(step, then_us - punctual.now_us)
    punctual.run_out(3_000_000)

    assert late.told() == cut.told()
    assert late.told() == punctual.told()


@large
@given(layouts(), layouts(), scripts())
def test_law_3_all_released_and_ended_the_pad_is_neutral(
    first: Layout, second: Layout, script: list[Step]
) -> None:
    """Law 3: "When all is released and all timers have run out and latches are off"."""
    done = play(script, first, second)
    done.let_go()
    done.run_out()
    done.release_everything()
    done.run_out()

    assert done.pad.neutral
    assert done.engine.next_deadline_us is None
    assert list(done.engine.active_layers) == [0]


@large
@given(layouts(lasting=False), layouts(lasting=False), scripts())
def test_law_3_without_anything_that_lasts_letting_go_is_enough(
    first: Layout, second: Layout, script: list[Step]
) -> None:
    """Law 3: "Each pressed pad control has a living cause": a hand, or a running timer."""
    done = play(script, first, second)
    done.let_go()
    done.run_out()

    assert done.pad.neutral
    assert done.engine.next_deadline_us is None


@large
@given(layouts(), layouts(), scripts())
def test_law_3_all_unplugged_the_pad_is_neutral_at_once(
    first: Layout, second: Layout, script: list[Step]
) -> None:
    """Law 3: "so too after unplug", of every device, at any moment and whatever is held."""
    done = play(script, first, second)
    for source in sorted(done.plugged):
        done.unplug(source)

    assert done.pad.neutral
    done.run_out()
    assert done.pad.neutral


@large
@given(layouts(), layouts(), scripts())
def test_law_3_paused_the_pad_is_neutral_at_once(
    first: Layout, second: Layout, script: list[Step]
) -> None:
    """Section 8, pause: "The pad goes neutral", at any moment and whatever is held."""
    done = play(script, first, second)
    done.pause()

    assert done.pad.neutral
    before = len(done.frames)
    done.run_out()
    assert len(done.frames) == before


@large
@given(layouts(), layouts(), scripts())
def test_law_3_nothing_is_left_of_a_layout_that_was_replaced(
    first: Layout, second: Layout, script: list[Step]
) -> None:
    """Law 3: "or a layer change at any moment", or a reload.

    After a reload to a layout in which nothing is bound the pad is neutral at once.
    """
    done = play(script, first, second)
    done.layouts = [done.layouts[0], bare(first)]
    done.swap()

    assert done.pad.neutral
    done.run_out()
    assert done.pad.neutral


def bare(layout: Layout) -> Layout:
    """The layout with its base layer alone, and nothing bound there."""
    return dataclasses.replace(layout, layers=(Layer(layout.layers[0].name),), tunings=())


@large
@given(layouts(), layouts(), scripts())
def test_law_3_after_an_unplug_the_rest_still_lets_go(
    first: Layout, second: Layout, script: list[Step]
) -> None:
    """Law 3: an unplug at any moment leaves nothing behind once the others have let go."""
    done = play(script, first, second)
    done.unplug(0)
    done.let_go()
    done.run_out()
    done.release_everything()
    done.run_out()

    assert done.pad.neutral


@large
@given(layouts(), layouts(), scripts())
def test_law_3_release_everything_leaves_only_what_hands_hold(
    first: Layout, second: Layout, script: list[Step]
) -> None:
    """Section 4, release: where no hand holds anything, the pad is neutral at once.

    A hand that lets go may begin something (a short press, an on-release) that runs or lasts, and a
    stick that is steadied takes its time: so time goes on before the release.
    """
    done = play(script, first, second)
    done.let_go()
    done.until(done.now_us + 3_000_000)
    done.release_everything()
    done.until(done.now_us + 3_000_000)
    done.release_everything()

    assert done.pad.neutral


class AnyPlay(RuleBasedStateMachine):
    """A player, a helper and the daemon, one thing after another; laws 4 and 5 throughout."""

    def __init__(self) -> None:
        super().__init__()
        self.play: Play

    @initialize(first=layouts(), second=layouts())
    def start(self, first: Layout, second: Layout) -> None:
        """Two layouts that may take turns."""
        self.play = Play(first, second)

    @rule(step=steps)
    def something_happens(self, step: Step) -> None:
        """A frame, a device that comes or goes, a reload, a pause."""
        self.play.do(step, self.play.wait_us(step))

    @rule(wait_us=st.sampled_from((1, 999, 8_000, 33_999, 60_000, 250_000, 2_000_000)))
    def time_passes(self, wait_us: int) -> None:
        """Nobody does anything."""
        self.play.until(self.play.now_us + wait_us)

    @precondition(lambda self: self.play.engine.next_deadline_us is not None)
    @rule()
    def the_next_timer_fires(self) -> None:
        """Time goes on to the very next deadline."""
        deadline_us = self.play.engine.next_deadline_us
        assert deadline_us is not None
        self.play.until(deadline_us)

    @rule()
    def all_let_go_and_everything_ends(self) -> None:
        """Law 3, in the middle of it all."""
        self.play.let_go()
        self.play.run_out()
        self.play.release_everything()
        self.play.run_out()

        assert self.play.pad.neutral
        assert list(self.play.engine.active_layers) == [0]

    @invariant()
    def a_paused_pad_is_neutral(self) -> None:
        """Section 8, pause."""
        play: Any = getattr(self, "play", None)
        assert play is None or not play.paused or play.pad.neutral

    def teardown(self) -> None:
        """Whatever happened, when all have gone nothing is left."""
        play: Play | None = getattr(self, "play", None)
        if play is None:
            return
        for source in sorted(play.plugged):
            play.unplug(source)
        play.run_out()

        assert play.pad.neutral
        assert play.engine.next_deadline_us is None


TestAnyPlay = AnyPlay.TestCase
TestAnyPlay.settings = settings(large, stateful_step_count=40)
