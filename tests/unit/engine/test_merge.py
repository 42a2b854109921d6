"""Every row of the table of merge rules, for each kind of pad control (section 6).

P is the player, H the helper. The table is of this language's own making: no outside source.
"""

import pytest

from remapd.engine.layout import DEFAULT_RULES, Rule, RuleKind
from remapd.engine.merge import Merge
from remapd.engine.pad_controls import (
    DPAD_DOWN,
    DPAD_LEFT,
    DPAD_RIGHT,
    DPAD_UP,
    EAST,
    HELPER,
    LEFT_STICK,
    LEFT_TRIGGER,
    PLAYER,
    SLOT_HORIZONTAL,
    SLOT_LEFT_STICK,
    SLOT_RIGHT_STICK,
    SLOT_VERTICAL,
    SOUTH,
)
from tests.support.merge_play import MergePlay, rules_with

P, H = PLAYER, HELPER
EITHER = RuleKind.EITHER
FIRST = RuleKind.PLAYER_FIRST
STRONGER = RuleKind.STRONGER
SUM = RuleKind.SUM
BOTH = RuleKind.BOTH
PLAYER_ONLY = RuleKind.PLAYER_ONLY
HELPER_ONLY = RuleKind.HELPER_ONLY

FULL = 32767


@pytest.mark.parametrize(
    ("kind", "alone_p", "alone_h", "together"),
    [
        (EITHER, P, H, P),
        (FIRST, P, H, P),
        (STRONGER, P, H, P),
        (BOTH, None, None, P),
        (PLAYER_ONLY, P, None, P),
        (HELPER_ONLY, None, H, H),
    ],
)
def test_buttons(
    kind: RuleKind, alone_p: int | None, alone_h: int | None, together: int | None
) -> None:
    """Who is shown where only P presses, only H, or both."""
    play = MergePlay(EAST, kind)
    for us, person, expected in [(0, P, alone_p), (1_000_000, H, alone_h)]:
        play.button(us, person, EAST, True)
        assert play.merge.person_of(EAST) == expected
        assert ("east" in play.game.pressed) == (expected is not None)
        play.button(us + 10, person, EAST, False)
        assert play.merge.person_of(EAST) is None
        assert play.pad.neutral

    play.button(2_000_000, P, EAST, True)
    play.button(2_000_010, H, EAST, True)

    assert play.merge.person_of(EAST) == together
    assert "east" in play.game.pressed


@pytest.mark.parametrize(
    ("kind", "player", "helper", "expected", "person"),
    [
        # What each person gives: 0, a lever's value, or "b" for a button. Expected as the game
        # sees it, and whose it is.
        (EITHER, 100, 0, 100, P),
        (EITHER, 0, 100, 100, H),
        (EITHER, 100, 200, 200, H),
        (EITHER, 200, 200, 200, P),
        (EITHER, "b", 200, 255, P),
        (EITHER, 200, "b", 255, H),
        (STRONGER, 100, 200, 200, H),
        (STRONGER, 200, 100, 200, P),
        (STRONGER, 100, "b", 255, H),
        (FIRST, 10, "b", 10, P),
        (FIRST, "b", 10, 255, P),
        (FIRST, 0, 10, 10, H),
        (FIRST, 0, "b", 255, H),
        (BOTH, 100, 0, 0, None),
        (BOTH, 0, "b", 0, None),
        (BOTH, 100, 200, 100, P),
        (BOTH, 200, 100, 100, H),
        (BOTH, 100, "b", 100, P),
        (BOTH, "b", 100, 100, H),
        (BOTH, "b", 255, 255, P),
        (BOTH, "b", "b", 255, P),
        (PLAYER_ONLY, 100, "b", 100, P),
        (PLAYER_ONLY, 0, "b", 0, None),
        (HELPER_ONLY, "b", 100, 100, H),
        (HELPER_ONLY, "b", 0, 0, None),
    ],
)
@pytest.mark.parametrize("helper_begins", [False, True])
def test_triggers(
    kind: RuleKind,
    player: int | str,
    helper: int | str,
    expected: int,
    person: int | None,
    helper_begins: bool,
) -> None:
    play = MergePlay(LEFT_TRIGGER, kind)
    us = 1_000_000
    for who, what in [(H, helper), (P, player)] if helper_begins else [(P, player), (H, helper)]:
        us += 1_000
        if what == "b":
            play.button(us, who, LEFT_TRIGGER, True)
        elif isinstance(what, int) and what:
            play.lever(us, who, LEFT_TRIGGER, what)
    play.until(us + 100)

    assert play.game.axes["left-trigger"] == expected
    assert play.merge.person_of(LEFT_TRIGGER) == person


@pytest.mark.parametrize(
    ("kind", "player", "helper", "expected"),
    [
        # -1 left, 1 right, and so in the result.
        (EITHER, -1, 0, -1),
        (EITHER, 0, 1, 1),
        (EITHER, -1, -1, -1),
        (EITHER, -1, 1, 0),
        (STRONGER, 0, -1, -1),
        (STRONGER, 1, 1, 1),
        (STRONGER, 1, -1, 0),
        (FIRST, -1, 1, -1),
        (FIRST, 0, 1, 1),
        (BOTH, -1, 0, 0),
        (BOTH, 0, 1, 0),
        (BOTH, 1, 1, 1),
        (BOTH, -1, 1, 0),
        (PLAYER_ONLY, -1, 1, -1),
        (PLAYER_ONLY, 0, 1, 0),
        (HELPER_ONLY, -1, 1, 1),
        (HELPER_ONLY, -1, 0, 0),
    ],
)
@pytest.mark.parametrize(
    ("slot", "targets", "names"),
    [
        (SLOT_HORIZONTAL, (DPAD_LEFT, DPAD_RIGHT), ("dpad-left", "dpad-right")),
        (SLOT_VERTICAL, (DPAD_UP, DPAD_DOWN), ("dpad-up", "dpad-down")),
    ],
)
@pytest.mark.parametrize("helper_begins", [False, True])
def test_dpad_pairs(
    kind: RuleKind,
    player: int,
    helper: int,
    expected: int,
    slot: int,
    targets: tuple[int, int],
    names: tuple[str, str],
    helper_begins: bool,
) -> None:
    play = MergePlay(slot, kind)
    us = 1_000_000
    for who, what in [(H, helper), (P, player)] if helper_begins else [(P, player), (H, helper)]:
        us += 1_000
        if what:
            play.button(us, who, targets[what > 0], True)
    play.until(us + 100)

    assert play.game.pressed == ({names[expected > 0]} if expected else set())
    person = play.merge.person_of(slot)
    assert (person is None) == (expected == 0)
    if person is not None:
        assert (player, helper)[person] == expected


def test_one_person_s_opposites_give_neither() -> None:
    play = MergePlay(SLOT_HORIZONTAL, EITHER)
    play.button(10, P, DPAD_LEFT, True)
    play.button(20, P, DPAD_RIGHT, True)
    assert play.game.pressed == set()

    play.button(30, H, DPAD_LEFT, True)
    assert play.game.pressed == {"dpad-left"}

    play.button(40, P, DPAD_LEFT, False)
    assert play.game.pressed == set()

    play.button(50, H, DPAD_LEFT, False)
    assert play.game.pressed == {"dpad-right"}


def test_a_pair_that_turns_round_is_one_event() -> None:
    play = MergePlay(SLOT_VERTICAL, FIRST)
    play.button(10, H, DPAD_UP, True)
    play.button(20, P, DPAD_DOWN, True)

    assert [frame.events for frame in play.frames] == [
        [3, 0x11, -1, 0, 0, 0],
        [3, 0x11, 1, 0, 0, 0],
    ]


@pytest.mark.parametrize(
    ("kind", "player", "helper", "expected", "person"),
    [
        (FIRST, (1.0, 0.0), (0.0, 1.0), (FULL, 0), P),
        (FIRST, (0.0, 0.0), (0.0, 1.0), (0, FULL), H),
        (FIRST, (0.1, 0.0), (0.0, 1.0), (3277, 0), P),
        (STRONGER, (0.5, 0.0), (0.0, 0.75), (0, 24575), H),
        (STRONGER, (0.75, 0.0), (0.0, 0.5), (24575, 0), P),
        (STRONGER, (0.6, 0.0), (0.0, -0.6), (19660, 0), P),
        (STRONGER, (0.0, 0.0), (0.1, 0.0), (3277, 0), H),
        (SUM, (0.5, 0.0), (0.0, 0.5), (16384, 16384), P),
        (SUM, (1.0, 0.0), (0.0, 1.0), (23170, 23170), P),
        (SUM, (1.0, 0.0), (1.0, 0.0), (FULL, 0), P),
        (SUM, (1.0, 0.0), (-0.5, 0.0), (16384, 0), P),
        (SUM, (0.0, 0.0), (0.5, 0.0), (16384, 0), H),
        (SUM, (0.25, 0.0), (0.5, 0.0), (24575, 0), P),
        (BOTH, (1.0, 0.0), (0.0, 0.0), (0, 0), None),
        (BOTH, (0.0, 0.0), (0.5, 0.0), (0, 0), None),
        (BOTH, (1.0, 0.0), (0.5, 0.0), (16384, 0), H),
        (BOTH, (0.5, 0.0), (0.6, 0.8), (16384, 0), P),
        (BOTH, (0.5, 0.0), (0.0, 0.5), (16384, 0), P),  # 90 degrees apart
        (BOTH, (0.5, 0.0), (0.0, -0.25), (0, -8192), H),  # and the other way
        (BOTH, (0.5, 0.0), (-0.001, 0.5), (0, 0), None),  # a little more
        (BOTH, (0.5, 0.0), (-0.5, 0.0), (0, 0), None),
        (PLAYER_ONLY, (0.5, 0.0), (0.0, 1.0), (16384, 0), P),
        (PLAYER_ONLY, (0.0, 0.0), (0.0, 1.0), (0, 0), None),
        (HELPER_ONLY, (0.5, 0.0), (0.0, 1.0), (0, FULL), H),
        (HELPER_ONLY, (0.5, 0.0), (0.0, 0.0), (0, 0), None),
    ],
)
@pytest.mark.parametrize("helper_begins", [False, True])
def test_sticks(
    kind: RuleKind,
    player: tuple[float, float],
    helper: tuple[float, float],
    expected: tuple[int, int],
    person: int | None,
    helper_begins: bool,
) -> None:
    play = MergePlay(SLOT_LEFT_STICK, kind)
    us = 1_000_000
    for who, (x, y) in [(H, helper), (P, player)] if helper_begins else [(P, player), (H, helper)]:
        us += 1_000
        if (x, y) != (0.0, 0.0):
            play.stick(us, who, LEFT_STICK, x, y)

    assert play.left_stick == expected
    assert play.merge.person_of(SLOT_LEFT_STICK) == person
    assert play.game.axes["right-stick.x"] == play.game.axes["right-stick.y"] == 0


def test_the_default_rules() -> None:
    """Sticks go by player-first with 400 ms, all else by either."""
    first = Rule(FIRST, 400_000)
    assert [*[Rule(EITHER)] * 15, first, first] == list(DEFAULT_RULES)


@pytest.mark.parametrize(
    ("slot", "kind"),
    [(SOUTH, SUM), (LEFT_TRIGGER, SUM), (SLOT_VERTICAL, SUM), (SLOT_RIGHT_STICK, EITHER)],
)
def test_a_rule_that_says_nothing_of_its_slot_is_refused(slot: int, kind: RuleKind) -> None:
    play = MergePlay(SOUTH, EITHER)
    with pytest.raises(ValueError, match=f"`{kind.value}` says nothing of slot {slot}"):
        Merge(rules_with(slot, Rule(kind)), play.timers, play.pad)


class TestPlayerFirst:
    """The helper counts from the moment at which the player has been neutral for after-player."""

    @pytest.fixture
    def play(self) -> MergePlay:
        return MergePlay(EAST, FIRST, after_player_us=300_000)

    def test_at_the_start_the_player_has_been_neutral_since_ever(self, play: MergePlay) -> None:
        play.button(1, H, EAST, True)

        assert play.game.of("east") == [(1, 1)]

    @pytest.mark.parametrize(("us", "shown"), [(399_999, False), (400_000, True)])
    def test_exactly_at_that_time_counts(self, play: MergePlay, us: int, shown: bool) -> None:
        play.button(50_000, P, EAST, True)
        play.button(100_000, P, EAST, False)
        play.button(us, H, EAST, True)

        assert ("east" in play.game.pressed) == shown

    def test_a_timer_lets_in_what_the_helper_holds(self, play: MergePlay) -> None:
        play.button(50_000, P, EAST, True)
        play.button(60_000, H, EAST, True)
        play.button(100_000, P, EAST, False)
        play.until(1_000_000)

        assert play.game.of("east") == [(50_000, 1), (100_000, 0), (400_000, 1)]

    def test_the_same_where_the_helper_comes_within_the_time(self, play: MergePlay) -> None:
        play.button(50_000, P, EAST, True)
        play.button(100_000, P, EAST, False)
        play.button(200_000, H, EAST, True)
        play.until(1_000_000)

        assert play.game.of("east") == [(50_000, 1), (100_000, 0), (400_000, 1)]

    def test_each_press_of_the_player_begins_the_time_anew(self, play: MergePlay) -> None:
        play.button(50_000, P, EAST, True)
        play.button(60_000, H, EAST, True)
        play.button(100_000, P, EAST, False)
        play.button(390_000, P, EAST, True)
        play.button(391_000, P, EAST, False)
        play.until(690_999)
        assert play.game.pressed == set()

        play.until(691_000)
        assert play.game.pressed == {"east"}

    def test_the_player_takes_over_at_once(self, play: MergePlay) -> None:
        play = MergePlay(SLOT_LEFT_STICK, FIRST)
        play.stick(10, H, LEFT_STICK, 0.0, 1.0)
        play.stick(20, P, LEFT_STICK, 0.5, 0.0)

        assert play.left_stick == (16384, 0)

    def test_the_player_who_takes_over_leaves_no_timer(self, play: MergePlay) -> None:
        play.button(50_000, P, EAST, True)
        play.button(60_000, H, EAST, True)
        play.button(100_000, P, EAST, False)
        play.button(110_000, P, EAST, True)
        play.until(110_001)

        assert play.timers.next_due_us is None

    def test_a_helper_who_moves_meanwhile_is_taken_where_they_are(self, play: MergePlay) -> None:
        play = MergePlay(SLOT_LEFT_STICK, FIRST)
        play.stick(10, P, LEFT_STICK, 0.5, 0.0)
        play.stick(20, H, LEFT_STICK, 0.0, 1.0)
        play.stick(30, P, LEFT_STICK, 0.0, 0.0)
        play.stick(40, H, LEFT_STICK, 0.0, 0.5)
        assert play.left_stick == (0, 0)

        play.until(400_030)
        assert play.left_stick == (0, 16384)
        assert play.frames[-1].us == 400_030

    def test_a_trigger_is_neutral_with_neither_button_nor_lever(self) -> None:
        play = MergePlay(LEFT_TRIGGER, FIRST)
        play.button(10, P, LEFT_TRIGGER, True)
        play.lever(20, P, LEFT_TRIGGER, 1)
        play.lever(30, H, LEFT_TRIGGER, 200)
        play.button(1_000_000, P, LEFT_TRIGGER, False)
        play.until(2_000_000)
        assert play.game.axes["left-trigger"] == 1

        play.lever(2_000_000, P, LEFT_TRIGGER, 0)
        play.until(2_399_999)
        assert play.game.axes["left-trigger"] == 0

        play.until(2_400_000)
        assert play.game.axes["left-trigger"] == 200

    def test_no_time_at_all_lets_the_helper_in_at_once(self) -> None:
        play = MergePlay(EAST, FIRST, after_player_us=0, shortest_us=34_000)
        play.button(10, P, EAST, True)
        play.button(20, H, EAST, True)
        play.button(100_000, P, EAST, False)

        assert play.game.of("east") == [(10, 1)]

    def test_nobody_s_timer_runs_where_the_helper_is_idle(self, play: MergePlay) -> None:
        play.button(10, P, EAST, True)
        play.button(100_000, P, EAST, False)

        assert play.timers.next_due_us is None or play.timers.next_due_us < 100_010


class TestTriggerSources:
    """A merged value that comes from a button is held for shortest-press; a lever's never is."""

    def test_a_helper_s_button_is_held_and_the_player_s_lever_goes_on(self) -> None:
        play = MergePlay(LEFT_TRIGGER, EITHER, shortest_us=34_000)
        play.lever(0, P, LEFT_TRIGGER, 90)
        play.button(1_000, H, LEFT_TRIGGER, True)
        play.button(2_000, H, LEFT_TRIGGER, False)
        play.until(100_000)

        assert play.game.of("left-trigger") == [(0, 90), (1_000, 255), (35_000, 90)]

    def test_of_both_a_lever_is_the_smaller_and_at_no_time_delayed(self) -> None:
        play = MergePlay(LEFT_TRIGGER, BOTH, shortest_us=34_000)
        play.button(0, H, LEFT_TRIGGER, True)
        play.lever(1_000, P, LEFT_TRIGGER, 90)
        play.lever(2_000, P, LEFT_TRIGGER, 0)
        play.lever(3_000, P, LEFT_TRIGGER, 40)
        play.button(4_000, H, LEFT_TRIGGER, False)

        assert play.game.of("left-trigger") == [
            (1_000, 90),
            (2_000, 0),
            (3_000, 40),
            (4_000, 0),
        ]

    def test_of_both_two_buttons_are_held(self) -> None:
        play = MergePlay(LEFT_TRIGGER, BOTH, shortest_us=34_000)
        play.button(0, H, LEFT_TRIGGER, True)
        play.button(1_000, P, LEFT_TRIGGER, True)
        play.button(2_000, P, LEFT_TRIGGER, False)
        play.until(100_000)

        assert play.game.of("left-trigger") == [(1_000, 255), (35_000, 0)]

    def test_of_both_a_button_with_a_full_lever_is_held(self) -> None:
        play = MergePlay(LEFT_TRIGGER, BOTH, shortest_us=34_000)
        play.lever(0, H, LEFT_TRIGGER, 255)
        play.button(1_000, P, LEFT_TRIGGER, True)
        play.button(2_000, P, LEFT_TRIGGER, False)
        play.until(100_000)

        assert play.game.of("left-trigger") == [(1_000, 255), (35_000, 0)]

    @pytest.mark.parametrize("kind", [EITHER, STRONGER, BOTH])
    def test_full_levers_are_no_button(self, kind: RuleKind) -> None:
        play = MergePlay(LEFT_TRIGGER, kind, shortest_us=34_000)
        play.lever(0, H, LEFT_TRIGGER, 255)
        play.lever(1_000, P, LEFT_TRIGGER, 255)
        play.lever(2_000, H, LEFT_TRIGGER, 0)
        play.lever(3_000, P, LEFT_TRIGGER, 0)

        assert play.game.of("left-trigger")[-1] == (2_000 if kind is BOTH else 3_000, 0)

    def test_of_both_a_button_that_joins_its_lever_makes_no_gap(self) -> None:
        """While the button waits for its gap, what the levers and the other's button give stays."""
        play = MergePlay(LEFT_TRIGGER, BOTH, shortest_us=34_000)
        play.button(0, H, LEFT_TRIGGER, True)
        play.lever(0, P, LEFT_TRIGGER, 100)
        play.button(1_000, P, LEFT_TRIGGER, True)
        play.button(50_000, P, LEFT_TRIGGER, False)
        play.button(60_000, P, LEFT_TRIGGER, True)
        play.until(200_000)

        assert play.game.of("left-trigger") == [
            (0, 100),
            (1_000, 255),
            (50_000, 100),
            (84_000, 255),
        ]


class TestLead:
    @pytest.mark.parametrize("kind", [EITHER, FIRST, STRONGER, BOTH, PLAYER_ONLY, HELPER_ONLY])
    @pytest.mark.parametrize("leader", [P, H])
    def test_that_person_alone_counts_whatever_the_rule(self, kind: RuleKind, leader: int) -> None:
        play = MergePlay(EAST, kind)
        other = H if leader == P else P
        play.lead(10, EAST, leader)
        play.button(20, other, EAST, True)
        assert play.game.pressed == set()
        assert play.merge.person_of(EAST) is None

        play.button(30, leader, EAST, True)
        assert play.game.pressed == {"east"}
        assert play.merge.person_of(EAST) == leader

    def test_a_lead_that_begins_or_ends_changes_the_pad_at_once(self) -> None:
        play = MergePlay(SLOT_LEFT_STICK, FIRST)
        play.stick(10, P, LEFT_STICK, 1.0, 0.0)
        play.stick(20, H, LEFT_STICK, 0.0, 1.0)
        play.lead(30, SLOT_LEFT_STICK, H)
        assert play.left_stick == (0, FULL)

        play.lead(40, SLOT_LEFT_STICK, None)
        assert play.left_stick == (FULL, 0)

    def test_the_player_s_time_counts_under_a_lead_too(self) -> None:
        play = MergePlay(SLOT_LEFT_STICK, FIRST)
        play.lead(0, SLOT_LEFT_STICK, P)
        play.stick(10, P, LEFT_STICK, 1.0, 0.0)
        play.stick(20, H, LEFT_STICK, 0.0, 1.0)
        play.stick(1_000, P, LEFT_STICK, 0.0, 0.0)
        play.until(600_000)
        assert play.left_stick == (0, 0)

        play.lead(600_000, SLOT_LEFT_STICK, None)
        assert play.left_stick == (0, FULL)

    def test_a_lead_that_ends_before_the_player_s_time_is_over_leaves_the_timer(self) -> None:
        play = MergePlay(SLOT_LEFT_STICK, FIRST)
        play.lead(0, SLOT_LEFT_STICK, P)
        play.stick(10, P, LEFT_STICK, 1.0, 0.0)
        play.stick(20, H, LEFT_STICK, 0.0, 1.0)
        play.stick(1_000, P, LEFT_STICK, 0.0, 0.0)
        play.lead(2_000, SLOT_LEFT_STICK, None)
        assert play.left_stick == (0, 0)

        play.until(401_000)
        assert play.left_stick == (0, FULL)

    def test_only_its_slot_is_led(self) -> None:
        play = MergePlay(EAST, EITHER)
        play.lead(0, EAST, P)
        play.button(10, H, SOUTH, True)

        assert play.game.pressed == {"south"}


class TestOverruled:
    def test_a_press_that_the_rule_lets_do_nothing_is_noted(self) -> None:
        play = MergePlay(EAST, FIRST)
        play.button(10, P, EAST, True)
        play.button(20, H, EAST, True)
        play.button(30, H, EAST, False)
        play.button(40, H, EAST, True)

        assert play.merge.overruled == [(EAST, 20), (EAST, 40)]

    def test_also_under_player_only_and_under_a_lead(self) -> None:
        play = MergePlay(EAST, PLAYER_ONLY)
        play.lead(0, LEFT_TRIGGER, P)
        play.button(10, H, EAST, True)
        play.button(20, H, LEFT_TRIGGER, True)
        play.lever(30, H, LEFT_TRIGGER, 3)
        play.button(40, H, LEFT_TRIGGER, False)

        assert play.merge.overruled == [(EAST, 10), (LEFT_TRIGGER, 20)]

    def test_a_lever_is_noted_when_it_leaves_rest(self) -> None:
        play = MergePlay(LEFT_TRIGGER, PLAYER_ONLY)
        for us, value in [(10, 5), (20, 9), (30, 0), (40, 5)]:
            play.lever(us, H, LEFT_TRIGGER, value)

        assert play.merge.overruled == [(LEFT_TRIGGER, 10), (LEFT_TRIGGER, 40)]

    def test_a_stick_is_noted_when_it_leaves_the_centre(self) -> None:
        play = MergePlay(SLOT_LEFT_STICK, FIRST)
        play.stick(10, P, LEFT_STICK, 0.1, 0.0)
        for us, y in [(20, 0.2), (30, 0.4), (40, 0.0), (50, 0.1)]:
            play.stick(us, H, LEFT_STICK, 0.0, y)

        assert play.merge.overruled == [(SLOT_LEFT_STICK, 20), (SLOT_LEFT_STICK, 50)]

    def test_a_dpad_direction_is_noted_with_its_pair(self) -> None:
        play = MergePlay(SLOT_VERTICAL, FIRST)
        play.button(10, P, DPAD_UP, True)
        play.button(20, H, DPAD_DOWN, True)

        assert play.merge.overruled == [(SLOT_VERTICAL, 20)]

    @pytest.mark.parametrize("kind", [EITHER, STRONGER, BOTH, HELPER_ONLY])
    def test_nothing_is_noted_where_the_helper_has_a_say(self, kind: RuleKind) -> None:
        play = MergePlay(EAST, kind)
        play.button(10, P, EAST, True)
        play.button(20, H, EAST, True)
        play.button(30, P, EAST, False)

        assert play.merge.overruled == []

    def test_the_player_is_never_noted(self) -> None:
        play = MergePlay(EAST, HELPER_ONLY)
        play.button(10, P, EAST, True)

        assert play.merge.overruled == []


class TestReset:
    def play(self) -> MergePlay:
        play = MergePlay(EAST, FIRST)
        play.button(10, P, EAST, True)
        play.button(20, H, SOUTH, True)
        play.button(25, H, EAST, True)
        play.button(30, P, DPAD_LEFT, True)
        play.lever(40, P, LEFT_TRIGGER, 9)
        play.button(45, H, LEFT_TRIGGER, True)
        play.stick(50, P, LEFT_STICK, 1.0, 0.0)
        play.stick(60, H, LEFT_STICK, 1.0, 0.0)
        play.merge.reset(1_000)
        play.frame(1_000)
        return play

    def test_nothing_is_pressed_or_moved_and_no_timer_left(self) -> None:
        play = self.play()
        play.until(2_000)

        assert play.pad.neutral
        assert play.timers.next_due_us is None
        assert {play.merge.person_of(slot) for slot in range(17)} == {None}

    def test_the_same_presses_act_afresh(self) -> None:
        play = self.play()
        play.button(2_000, P, DPAD_LEFT, True)
        play.button(2_000, P, EAST, True)
        play.lever(2_000, P, LEFT_TRIGGER, 9)
        play.stick(2_000, P, LEFT_STICK, 1.0, 0.0)

        assert play.game.pressed == {"dpad-left", "east"}
        assert play.game.axes["left-trigger"] == 9
        assert play.left_stick == (FULL, 0)

    def test_what_the_player_had_is_neutral_since_then(self) -> None:
        play = self.play()
        play.button(2_000, H, EAST, True)
        assert play.game.pressed == set()

        play.until(401_000)
        assert play.game.pressed == {"east"}

    def test_or_since_ever(self) -> None:
        play = self.play()
        play.merge.reset(1_500, neutral_before=True)
        play.button(2_000, H, EAST, True)

        assert play.game.pressed == {"east"}

    def test_what_the_player_had_not_has_been_neutral_as_long_as_before(self) -> None:
        play = MergePlay(EAST, FIRST)
        play.button(10, P, EAST, True)
        play.button(20, P, EAST, False)
        play.button(30, H, EAST, True)
        play.merge.reset(399_000)
        play.frame(399_000)
        assert play.timers.next_due_us is None

        play.button(400_019, H, EAST, True)
        play.until(500_000)
        assert play.game.of("east")[-1] == (400_020, 1)

    def test_opposites_and_other_people_are_forgotten(self) -> None:
        play = MergePlay(SLOT_LEFT_STICK, SUM)
        play.button(10, P, DPAD_LEFT, True)
        play.stick(20, H, LEFT_STICK, 0.0, 1.0)
        play.merge.reset(30)
        play.button(40, P, DPAD_RIGHT, True)
        play.stick(50, P, LEFT_STICK, 0.5, 0.0)

        assert play.game.pressed == {"dpad-right"}
        assert play.left_stick == (16384, 0)

    def test_a_lead_stays(self) -> None:
        play = MergePlay(EAST, EITHER)
        play.lead(0, EAST, P)
        play.merge.reset(10)
        play.button(20, H, EAST, True)

        assert play.game.pressed == set()


class TestUseRules:
    def test_other_rules_count_at_once_for_what_is_held(self) -> None:
        play = MergePlay(EAST, EITHER)
        play.button(10, H, EAST, True)
        play.merge.use_rules(rules_with(EAST, Rule(PLAYER_ONLY)), 20)
        play.frame(20)
        assert play.game.pressed == set()

        play.merge.use_rules(rules_with(EAST, Rule(HELPER_ONLY)), 30)
        play.frame(30)
        assert play.game.pressed == {"east"}

    def test_the_player_s_time_goes_by_the_new_rule(self) -> None:
        play = MergePlay(EAST, FIRST, after_player_us=400_000)
        play.button(10, P, EAST, True)
        play.button(20, H, EAST, True)
        play.button(1_000, P, EAST, False)
        play.merge.use_rules(rules_with(EAST, Rule(FIRST, 100_000)), 2_000)
        play.until(1_000_000)

        assert play.game.of("east")[-1] == (101_000, 1)

    def test_senseless_rules_change_nothing(self) -> None:
        play = MergePlay(EAST, PLAYER_ONLY)
        with pytest.raises(ValueError, match="17 rules are needed"):
            play.merge.use_rules([Rule(EITHER)], 0)
        with pytest.raises(ValueError, match="`sum` says nothing of slot 0"):
            play.merge.use_rules(rules_with(SOUTH, Rule(SUM)), 0)
        play.button(10, H, EAST, True)

        assert play.game.pressed == set()
