"""Merging, for any acts of two people at any times, against the table of section 6 read anew.

The reference keeps the whole history and works out each moment from it alone; Merge is told the
changes one by one and works out only what they touch.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import hypot
from typing import NamedTuple

from hypothesis import given
from hypothesis import strategies as st

from remapd.engine.layout import RuleKind
from remapd.engine.pad_controls import (
    DPAD_LEFT,
    DPAD_RIGHT,
    EAST,
    HELPER,
    LEFT_STICK,
    LEFT_TRIGGER,
    PLAYER,
    SLOT_HORIZONTAL,
    SLOT_LEFT_STICK,
)
from tests.support.merge_play import MergePlay

#: Times are tens of microseconds, so that a shortest-press of 1 µs hides nothing.
TICK_US = 10
END_US = 60 * TICK_US
EVER = -(10**9)

Point = tuple[float, float]


class Act(NamedTuple):
    """One person's part of a control has a new value (a number or a point) from `us` on."""

    us: int
    person: int
    value: float | Point


def part(acts: list[Act], person: int, us: int) -> float | Point | None:
    """What that person gives at `us`; None where they never gave anything."""
    values = [act.value for act in acts if act.person == person and act.us <= us]
    return values[-1] if values else None


def is_neutral(value: float | Point | None) -> bool:
    return value in (None, 0, (0.0, 0.0))


def neutral_since(acts: list[Act], us: int) -> int | None:
    """From when on the player has been neutral; None where they are not."""
    own = [act for act in acts if act.person == PLAYER and act.us <= us]
    if own and not is_neutral(own[-1].value):
        return None
    since = EVER
    for before, act in pairwise([Act(EVER, PLAYER, 0), *own]):
        if is_neutral(act.value) and not is_neutral(before.value):
            since = act.us
    return since


def who_counts(acts: list[Act], kind: RuleKind, after_us: int, lead: int | None, us: int) -> int:
    """The person who alone counts at `us`, or -1 for both."""
    if lead is not None:
        return lead
    if kind is RuleKind.PLAYER_ONLY:
        return PLAYER
    if kind is RuleKind.HELPER_ONLY:
        return HELPER
    if kind is RuleKind.PLAYER_FIRST:
        since = neutral_since(acts, us)
        return HELPER if since is not None and us - since >= after_us else PLAYER
    return -1


def number(acts: list[Act], person: int, us: int) -> int:
    value = part(acts, person, us)
    assert not isinstance(value, tuple)
    return int(value or 0)


def merged_number(acts: list[Act], kind: RuleKind, after_us: int, lead: int | None, us: int) -> int:
    """A button (0 or 1) or a trigger's lever (0 to 255)."""
    alone = who_counts(acts, kind, after_us, lead, us)
    player, helper = number(acts, PLAYER, us), number(acts, HELPER, us)
    if alone >= 0:
        return (player, helper)[alone]
    return min(player, helper) if kind is RuleKind.BOTH else max(player, helper)


def merged_pair(acts: list[Act], kind: RuleKind, after_us: int, lead: int | None, us: int) -> int:
    """One of two opposite directions: -1, 0, 1."""
    alone = who_counts(acts, kind, after_us, lead, us)
    player, helper = number(acts, PLAYER, us), number(acts, HELPER, us)
    if alone >= 0:
        return (player, helper)[alone]
    pressed = [-1 in (player, helper), 1 in (player, helper)]
    if kind is RuleKind.BOTH:
        pressed = [player == helper == -1, player == helper == 1]
    return pressed[1] - pressed[0]


def merged_point(
    acts: list[Act], kind: RuleKind, after_us: int, lead: int | None, us: int
) -> Point:
    alone = who_counts(acts, kind, after_us, lead, us)
    parts: list[Point] = []
    for person in (PLAYER, HELPER):
        value = part(acts, person, us)
        parts.append(value if isinstance(value, tuple) else (0.0, 0.0))
    if alone >= 0:
        return parts[alone]
    (x, y), (other_x, other_y) = parts
    player_radius, helper_radius = (hypot(*point) for point in parts)
    if kind is RuleKind.SUM:
        x, y = x + other_x, y + other_y
        radius = max(1.0, hypot(x, y))
        return x / radius, y / radius
    if kind is RuleKind.STRONGER:
        return parts[0] if player_radius >= helper_radius else parts[1]
    if x * other_x + y * other_y < 0:
        return 0.0, 0.0
    return parts[0] if player_radius <= helper_radius else parts[1]


persons = st.sampled_from([PLAYER, HELPER])
ticks = st.integers(0, 40)
#: None: no act, but a lead that begins or ends.
leads = st.dictionaries(ticks, st.sampled_from([None, PLAYER, HELPER]), max_size=4)
after_players = st.sampled_from([0, 50, 120])
kinds = st.sampled_from([kind for kind in RuleKind if kind is not RuleKind.SUM])
stick_kinds = st.sampled_from([kind for kind in RuleKind if kind is not RuleKind.EITHER])


def acts_of(values: Sequence[float] | Sequence[Point]) -> st.SearchStrategy[list[Act]]:
    """Acts in the order of time, one of a person at a time."""
    acts = st.builds(
        Act,
        ticks.map(lambda tick: tick * TICK_US),
        persons,
        st.sampled_from(list[float | Point](values)),
    )
    return st.lists(acts, max_size=14, unique_by=lambda act: act[:2]).map(sorted_by_time)


def sorted_by_time(acts: list[Act]) -> list[Act]:
    return sorted(acts, key=lambda act: act[:2])


def lead_at(leads_by_tick: dict[int, int | None], us: int) -> int | None:
    begun = [tick for tick in sorted(leads_by_tick) if tick * TICK_US <= us]
    return leads_by_tick[begun[-1]] if begun else None


@given(kind=kinds, after_us=after_players, acts=acts_of([0, 1]), leads_by_tick=leads)
def test_buttons(
    kind: RuleKind, after_us: int, acts: list[Act], leads_by_tick: dict[int, int | None]
) -> None:
    play = MergePlay(EAST, kind, after_us)
    for us in range(0, END_US, TICK_US):
        play.until(us)
        if us // TICK_US in leads_by_tick:
            play.merge.set_lead(EAST, leads_by_tick[us // TICK_US], us)
        for act in acts:
            if act.us == us:
                play.merge.set_button(act.person, EAST, act.value == 1, us)
        play.frame(us)
        play.until(us + 9)  # a press of no length, between two people's acts, is over by now

        expected = merged_number(acts, kind, after_us, lead_at(leads_by_tick, us), us)
        assert ("east" in play.game.pressed) == (expected == 1)


@given(
    kind=kinds,
    after_us=after_players,
    acts=acts_of([0, 1, 100, 254, 255]),
    leads_by_tick=leads,
)
def test_levers_of_a_trigger(
    kind: RuleKind, after_us: int, acts: list[Act], leads_by_tick: dict[int, int | None]
) -> None:
    play = MergePlay(LEFT_TRIGGER, kind, after_us)
    for us in range(0, END_US, TICK_US):
        play.until(us)
        if us // TICK_US in leads_by_tick:
            play.merge.set_lead(LEFT_TRIGGER, leads_by_tick[us // TICK_US], us)
        for act in acts:
            if act.us == us:
                assert not isinstance(act.value, tuple)
                play.merge.set_lever(act.person, LEFT_TRIGGER, int(act.value), us)
        play.frame(us)

        expected = merged_number(acts, kind, after_us, lead_at(leads_by_tick, us), us)
        assert play.game.axes["left-trigger"] == expected


@given(
    kind=kinds,
    after_us=after_players,
    levers=acts_of([0, 1, 100, 254, 255]),
    buttons=acts_of([0, 1]),
)
def test_triggers_by_levers_and_buttons(
    kind: RuleKind, after_us: int, levers: list[Act], buttons: list[Act]
) -> None:
    """Joined as one value a person, and merged as such."""
    play = MergePlay(LEFT_TRIGGER, kind, after_us)
    joined: list[Act] = []
    for us in range(0, END_US, TICK_US):
        play.until(us)
        for person in (PLAYER, HELPER):
            for act in [act for act in levers if act.us == us and act.person == person]:
                assert not isinstance(act.value, tuple)
                play.merge.set_lever(person, LEFT_TRIGGER, int(act.value), us)
            for act in [act for act in buttons if act.us == us and act.person == person]:
                play.merge.set_button(person, LEFT_TRIGGER, act.value == 1, us)
            by_button = 255 * number(buttons, person, us)
            joined.append(Act(us, person, max(by_button, number(levers, person, us))))
        play.frame(us)
        play.until(us + 9)

        expected = merged_number(joined, kind, after_us, None, us)
        assert play.game.axes["left-trigger"] == expected


@given(
    kind=kinds,
    after_us=after_players,
    acts=acts_of([-1, 0, 1]),
    leads_by_tick=leads,
)
def test_dpad_pairs(
    kind: RuleKind, after_us: int, acts: list[Act], leads_by_tick: dict[int, int | None]
) -> None:
    play = MergePlay(SLOT_HORIZONTAL, kind, after_us)
    for us in range(0, END_US, TICK_US):
        play.until(us)
        if us // TICK_US in leads_by_tick:
            play.merge.set_lead(SLOT_HORIZONTAL, leads_by_tick[us // TICK_US], us)
        for act in acts:
            if act.us == us:
                # Released first, so that a person who turns round is neutral for no time at all.
                play.merge.set_button(act.person, DPAD_LEFT, act.value == -1, us)
                play.merge.set_button(act.person, DPAD_RIGHT, act.value == 1, us)
        play.frame(us)
        play.until(us + 9)

        expected = merged_pair(acts, kind, after_us, lead_at(leads_by_tick, us), us)
        names = {-1: {"dpad-left"}, 0: set[str](), 1: {"dpad-right"}}
        assert play.game.pressed == names[expected]


points = [(0.0, 0.0), (1.0, 0.0), (-0.5, 0.0), (0.0, 0.5), (0.6, 0.8), (0.3, -0.1), (-0.6, -0.8)]


@given(kind=stick_kinds, after_us=after_players, acts=acts_of(points), leads_by_tick=leads)
def test_sticks(
    kind: RuleKind, after_us: int, acts: list[Act], leads_by_tick: dict[int, int | None]
) -> None:
    play = MergePlay(SLOT_LEFT_STICK, kind, after_us)
    for us in range(0, END_US, TICK_US):
        play.until(us)
        if us // TICK_US in leads_by_tick:
            play.merge.set_lead(SLOT_LEFT_STICK, leads_by_tick[us // TICK_US], us)
        for act in acts:
            if act.us == us:
                assert isinstance(act.value, tuple)
                play.merge.set_stick(act.person, LEFT_STICK, *act.value, us)
        play.frame(us)

        x, y = merged_point(acts, kind, after_us, lead_at(leads_by_tick, us), us)
        shown_x, shown_y = play.left_stick
        assert abs(shown_x - x * 32767) <= 0.5001
        assert abs(shown_y - y * 32767) <= 0.5001
