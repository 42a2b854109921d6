"""The law of `shortest-press`, for any presses at any times, against a plain model of it.

The model knows nothing of frames, timers or states: it takes the presses that were wanted as
intervals of time and lays the shown ones over them. The pad is played event by event.
"""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.engine.pad_controls import BUTTON_COUNT, DPAD_UP, TARGET_NAMES
from tests.support.game_view import GameView
from tests.support.pad_play import PadPlay

#: Small numbers, so that times meet: everything that can happen at one microsecond does.
shortest_times = st.integers(1, 6)
times = st.integers(0, 40)
NEVER = 10**9

#: What is wanted of one button: how often it changes, at which times.
wanted_changes = st.dictionaries(times, st.integers(1, 4), max_size=14)


def wanted_presses(changes: dict[int, int]) -> list[tuple[int, int]]:
    """[from, to] of each press that is wanted; one within a frame has no length."""
    flips = [us for us in sorted(changes) for _ in range(changes[us])]
    flips += [NEVER] * (len(flips) % 2)
    return list(zip(flips[0::2], flips[1::2], strict=True))


def model(presses: list[tuple[int, int]], shortest: int) -> list[tuple[int, int]]:
    """(us, value) of each change that a game is shown."""
    changes: list[tuple[int, int]] = []
    free_from = 0
    left = list(presses)
    while left:
        begin, wanted_end = left.pop(0)
        begin = max(begin, free_from)
        end = max(wanted_end, begin + shortest)
        # Whatever was wanted before this one ends is seen as a part of it: the gap came and went,
        # or has no length at all.
        while left and (left[0][0] < end or left[0][0] == wanted_end):
            wanted_end = left.pop(0)[1]
            end = max(end, wanted_end)
        changes.append((begin, 1))
        if end < NEVER:
            changes.append((end, 0))
        free_from = end + shortest
    return changes


def play_all(play: PadPlay, wants: dict[int, list[tuple[int, bool]]]) -> None:
    for us in sorted(wants):
        play.at(us, *wants[us])
    play.until(NEVER)


@given(shortest=shortest_times, changes=wanted_changes)
def test_one_button_is_shown_as_the_model_says(shortest: int, changes: dict[int, int]) -> None:
    play = PadPlay(shortest)
    pressed = False
    wants: dict[int, list[tuple[int, bool]]] = defaultdict(list)
    for us in sorted(changes):
        for _ in range(changes[us]):
            pressed = not pressed
            wants[us].append((0, pressed))

    play_all(play, wants)

    assert model(wanted_presses(changes), shortest) == play.game.of("south")


@given(
    shortest=shortest_times,
    changes=st.dictionaries(st.sampled_from([*range(DPAD_UP), 13, 16]), wanted_changes, max_size=6),
    looks=st.sets(times, max_size=10),
)
def test_buttons_do_not_touch_each_other(
    shortest: int, changes: dict[int, dict[int, int]], looks: set[int]
) -> None:
    """Each is shown as if it were alone, whatever frames the others and other causes make."""
    play = PadPlay(shortest)
    wants: dict[int, list[tuple[int, bool]]] = defaultdict(list)
    for target, flips in changes.items():
        pressed = False
        for us in sorted(flips):
            for _ in range(flips[us]):
                pressed = not pressed
                wants[us].append((target, pressed))
    for us in looks:
        wants[us] += []

    play_all(play, wants)

    for target, flips in changes.items():
        name = TARGET_NAMES[target]
        expected = model(wanted_presses(flips), shortest)
        if name.endswith("trigger"):
            expected = [(us, 255 * value) for us, value in expected]
        assert expected == play.game.of(name)


@given(shortest=shortest_times, changes=wanted_changes, data=st.data())
def test_it_does_not_matter_which_timer_of_a_microsecond_fires_first(
    shortest: int, changes: dict[int, int], data: st.DataObject
) -> None:
    """Wants that come before the wait's own timer at its time are taken after it all the same."""
    play = PadPlay(shortest)
    pressed = False
    for us in sorted(changes):
        play.until(us - data.draw(st.integers(0, 1)))
        for _ in range(changes[us]):
            pressed = not pressed
            play.pad.want_button(0, pressed)
        play.frame(us)
    play.until(NEVER)

    assert model(wanted_presses(changes), shortest) == play.game.of("south")


#: One of an axis's values, -1, 0 or 1, as merging gives them: never both opposites.
hat_values = st.lists(st.tuples(times, st.sampled_from([-1, 0, 1])), max_size=16)


def turn(play: PadPlay, negative: int, before: int, after: int) -> None:
    """What merging tells of a change of a pair: the release, then the press."""
    if before == after:
        return
    if before:
        play.pad.want_button(negative + (before > 0), False)
    if after:
        play.pad.want_button(negative + (after > 0), True)


@given(shortest=shortest_times, values=hat_values, vertical=st.booleans())
def test_a_hat_shows_nothing_too_short_nothing_stale_and_in_the_end_what_is_wanted(
    shortest: int, values: list[tuple[int, int]], vertical: bool
) -> None:
    negative = DPAD_UP if vertical else DPAD_UP + 2
    play = PadPlay(shortest)
    wanted = 0
    wanted_at: dict[int, set[int]] = defaultdict(set)  # what is wanted at some moment of a time
    for us in range(41):
        play.until(us)
        wanted_at[us].add(wanted)
        for value in [value for at, value in values if at == us]:
            turn(play, negative, wanted, value)
            wanted = value
            wanted_at[us].add(wanted)
        play.frame(us)
    play.until(NEVER)

    names = TARGET_NAMES[negative], TARGET_NAMES[negative + 1]
    assert {name for name, value in zip(names, (-1, 1), strict=True) if wanted == value} == (
        play.game.pressed
    )
    for name, value in zip(names, (-1, 1), strict=True):
        changes = play.game.of(name)
        for (before_us, _), (us, _) in pairwise(changes):
            assert us - before_us >= shortest
        for us, pressed in changes:
            if pressed:
                # Own gap, the opposite's press, and a press of the opposite that came first.
                assert any(
                    value in wanted_at[at] for at in range(max(0, us - 3 * shortest), us + 1)
                )
        assert len(changes) <= 2 * len([at for at, one in values if one == value])


@given(
    shortest=shortest_times,
    steps=st.lists(
        st.tuples(
            st.integers(0, 4),
            st.integers(0, BUTTON_COUNT - 1) | st.none(),
            st.sampled_from(["frame", "undelayed", "same frame"]),
        ),
        max_size=60,
    ),
)
def test_any_wants_with_undelayed_frames_among_them(
    shortest: int, steps: list[tuple[int, int | None, str]]
) -> None:
    """Laws of each frame are in the GameView; here those of presses and gaps, and of the end."""
    play = PadPlay(shortest)
    pad = play.pad
    wanted = [False] * BUTTON_COUNT
    us = 0
    undelayed_at: set[int] = set()
    for wait, target, what in steps:
        if wait:
            play.frame(us)
            us += wait
            play.until(us)
        if target is not None:
            opposite = target + 1 if target % 2 else target - 1
            if target >= DPAD_UP and not wanted[target] and wanted[opposite]:
                wanted[opposite] = False
                pad.want_button(opposite, False)
            wanted[target] = not wanted[target]
            pad.want_button(target, wanted[target])
        if what == "frame":
            play.frame(us)
        elif what == "undelayed":
            play.frame(us, undelayed=True)
            undelayed_at.add(us)
            names = {TARGET_NAMES[number] for number in range(BUTTON_COUNT) if wanted[number]}
            assert pressed_in(play.game) <= names
            if not any(wanted):
                assert pad.neutral
                assert play.timers.next_due_us is None
    play.frame(us)
    play.until(NEVER)

    names = {TARGET_NAMES[number] for number in range(BUTTON_COUNT) if wanted[number]}
    assert names == pressed_in(play.game)
    for name in TARGET_NAMES[:BUTTON_COUNT]:
        changes = play.game.of(name)
        for (before_us, _), (now_us, pressed) in pairwise(changes):
            assert now_us - before_us >= shortest or (not pressed and now_us in undelayed_at)


def pressed_in(game: GameView) -> set[str]:
    """Names of all of the 17 that are pressed; a trigger counts as one of them."""
    return game.pressed | {name for name in ("left-trigger", "right-trigger") if game.axes[name]}


@pytest.mark.parametrize(
    ("presses", "shown"),
    [
        ([(0, 1)], [(0, 1), (3, 0)]),
        ([(0, 5), (6, 7)], [(0, 1), (5, 0), (8, 1), (11, 0)]),
        ([(0, 1), (2, 9)], [(0, 1), (9, 0)]),
        ([(0, 1), (3, 4)], [(0, 1), (3, 0), (6, 1), (9, 0)]),
        ([(0, 4), (4, 6)], [(0, 1), (6, 0)]),
        ([(2, NEVER)], [(2, 1)]),
    ],
)
def test_the_model_itself(presses: list[tuple[int, int]], shown: list[tuple[int, int]]) -> None:
    assert shown == model(presses, 3)
