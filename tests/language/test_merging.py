"""The layout language, section 6: what one person does is joined, then people are merged.

The player has knee, cheek, elbow, wand and pedal; the helper has mate, crew, tiller and gaff.
"""

from __future__ import annotations

import pytest

from tests.language.board import board, frames
from tests.support.bench import Bench


def two(merge: str = "", layer: str = "knee: south, mate: south") -> Bench:
    """A player's and a helper's controls in one layer, with these rules."""
    top = f"merge: {{{merge}}}" if merge else ""
    return Bench(board(f"sail: {{{layer}}}", top=top))


STICKS = "wand: left-stick, tiller: left-stick"

# ------------------------------------------------------------------ buttons


def test_either_is_the_default_of_buttons() -> None:
    """Section 6, either: anyone; pressed once, until the last lets go."""
    bench = two()
    bench.press("knee", at=0)
    bench.press("mate", at=100)
    bench.release("knee", at=200)
    bench.release("mate", at=300)

    assert frames(bench, 1000) == ["0: press south", "300: release south"]


def test_player_only_and_helper_only() -> None:
    """Section 6: "that person alone"."""
    player = two("south: player-only")
    helper = two("south: helper-only")
    for bench in (player, helper):
        bench.tap("mate", at=0, length=100)
        bench.tap("knee", at=200, length=100)

    assert frames(player, 1000) == ["200: press south", "300: release south"]
    assert frames(helper, 1000) == ["0: press south", "100: release south"]


def test_both_presses_only_while_both_press() -> None:
    """Section 6, both: "only while both press"."""
    bench = two("south: both")
    bench.press("mate", at=0)
    bench.press("knee", at=100)
    bench.release("mate", at=200)
    bench.release("knee", at=300)

    assert frames(bench, 1000) == ["100: press south", "200: release south"]


def test_player_first_on_a_button_waits_for_the_players_neutral() -> None:
    """Section 6, player-first: the helper counts when the player has had it neutral for 400 ms."""
    bench = two("south: player-first")
    bench.tap("knee", at=1000, length=100)
    bench.press("mate", at=1200)
    bench.release("mate", at=1800)

    assert frames(bench, 3000) == [
        "1000: press south",
        "1100: release south",
        "1500: press south",
        "1800: release south",
    ]


def test_player_first_helper_alone_counts_at_once() -> None:
    """Section 6, player-first: neutral for long enough already."""
    bench = two("south: player-first")
    bench.tap("mate", at=1000, length=100)

    assert frames(bench, 3000) == ["1000: press south", "1100: release south"]


def test_player_first_has_a_time_of_its_own() -> None:
    """Section 6: "`{rule: player-first, after-player: 300ms}` gives a rule its time"."""
    bench = two("south: {rule: player-first, after-player: 1s}")
    bench.tap("knee", at=2000, length=100)
    bench.press("mate", at=2200)
    bench.release("mate", at=4000)

    assert frames(bench, 5000) == [
        "2000: press south",
        "2100: release south",
        "3100: press south",
        "4000: release south",
    ]


def test_player_first_helper_let_go_in_the_wait_is_nothing() -> None:
    """Section 6, player-first: the helper counts only then."""
    bench = two("south: player-first")
    bench.tap("knee", at=1000, length=100)
    bench.tap("mate", at=1200, length=200)

    assert frames(bench, 3000) == ["1000: press south", "1100: release south"]


def test_player_first_player_takes_over_a_press_of_the_helper() -> None:
    """Section 6, player-first: pressed by both is pressed; the player's release is a release."""
    bench = two("south: player-first")
    bench.press("mate", at=1000)
    bench.press("knee", at=1100)
    bench.release("knee", at=1300)
    bench.release("mate", at=2000)

    assert frames(bench, 3000) == [
        "1000: press south",
        "1300: release south",
        "1700: press south",
        "2000: release south",
    ]


def test_stronger_on_a_button_is_anyone() -> None:
    """Section 6, stronger: "larger value"."""
    bench = two("south: stronger")
    bench.press("knee", at=0)
    bench.press("mate", at=100)
    bench.release("knee", at=200)
    bench.release("mate", at=300)

    assert frames(bench, 1000) == ["0: press south", "300: release south"]


def test_buttons_key_is_for_all_and_a_single_one_is_narrower() -> None:
    """Section 6: "the narrowest winning"."""
    bench = two(
        "buttons: player-only, east: either", "knee: south, mate: south, cheek: east, crew: east"
    )
    bench.tap("mate", at=0, length=100)
    bench.tap("crew", at=200, length=100)

    assert frames(bench, 1000) == ["200: press east", "300: release east"]


def test_triggers_go_with_buttons() -> None:
    """Section 6: "(triggers go with `buttons:`)"."""
    bench = two("buttons: player-only", "pedal: right-trigger, gaff: right-trigger")
    bench.move("gaff", 1, at=0)
    bench.move("pedal", 1, at=100)

    assert frames(bench, 1000) == ["100: right-trigger 255"]


def test_verb_may_name_the_rule() -> None:
    """Section 6: "single pad controls or verbs as keys"."""
    bench = Bench(
        board(
            "sail: {knee: hoist, mate: hoist}",
            top="verbs: {hoist: south}\nmerge: {hoist: player-only}",
        )
    )
    bench.tap("mate", at=0, length=100)
    bench.tap("knee", at=200, length=100)

    assert frames(bench, 1000) == ["200: press south", "300: release south"]


# ------------------------------------------------------------------ triggers


def move_both(bench: Bench, player: float, helper: float) -> int:
    """The right trigger with these shares of the way from the two; dead zones are off."""
    bench.move("pedal", player, at=1000)
    bench.move("gaff", helper, at=1000)
    return bench.trigger("right-trigger")


@pytest.mark.parametrize(
    ("rule", "player", "helper", "out"),
    [
        ("either", 0.2, 0.6, 153),
        ("either", 0.6, 0.2, 153),
        ("stronger", 0.2, 0.6, 153),
        ("both", 0.2, 0.6, 51),
        ("both", 0.0, 0.6, 0),
        ("player-only", 0.2, 0.6, 51),
        ("helper-only", 0.2, 0.6, 153),
        ("player-first", 0.2, 0.6, 51),
        ("player-first", 0.0, 0.6, 153),
    ],
)
def test_triggers_by_rule(rule: str, player: float, helper: float, out: int) -> None:
    """Section 6, the table's column of buttons and triggers: "the larger", "the smaller"."""
    bench = Bench(
        board(
            "sail: {pedal: right-trigger, gaff: right-trigger}",
            top=f"merge: {{right-trigger: {rule}}}",
            pedal="dead-zone: 0%",
            gaff="dead-zone: 0%",
        )
    )

    assert move_both(bench, player, helper) == out


def test_trigger_of_a_players_button_and_a_helpers_lever() -> None:
    """Section 6, either, and section 12, 9: the larger of a press and a lever."""
    bench = Bench(board("sail: {knee: right-trigger, gaff: right-trigger}", gaff="dead-zone: 0%"))
    bench.move("gaff", 0.4, at=0)
    bench.tap("knee", at=100, length=100)
    bench.move("gaff", 0, at=300)

    assert frames(bench, 1000) == [
        "0: right-trigger 102",
        "100: right-trigger 255",
        "200: right-trigger 102",
        "300: right-trigger 0",
    ]


# ------------------------------------------------------------------ sticks


def test_player_first_is_the_default_of_sticks() -> None:
    """Section 6, player-first: the player at once, the helper 400 ms after the player's neutral."""
    bench = two(layer=STICKS)
    bench.move("tiller", 0, -1, at=1000)
    bench.move("wand", 1, 0, at=1100)
    bench.move("wand", 0, 0, at=1300)
    bench.move("tiller", -1, 0, at=1500)
    bench.move("tiller", 0, 0, at=2000)

    assert frames(bench, 3000) == [
        "1000: left-stick 0 -32767",
        "1100: left-stick 32767 0",
        "1300: left-stick 0 0",
        "1700: left-stick -32767 0",
        "2000: left-stick 0 0",
    ]


def test_player_first_player_back_in_the_wait_begins_it_anew() -> None:
    """Section 6, player-first: neutral "for `after-player` (400ms) or longer", without a break."""
    bench = two(layer=STICKS)
    bench.move("wand", 1, 0, at=1000)
    bench.move("tiller", 0, -1, at=1050)
    bench.move("wand", 0, 0, at=1100)
    bench.move("wand", 1, 0, at=1400)
    bench.move("wand", 0, 0, at=1450)

    assert frames(bench, 3000) == [
        "1000: left-stick 32767 0",
        "1100: left-stick 0 0",
        "1400: left-stick 32767 0",
        "1450: left-stick 0 0",
        "1850: left-stick 0 -32767",
    ]


def test_player_first_is_for_each_stick_by_itself() -> None:
    """Section 6: a rule is for one pad control."""
    bench = two(layer="wand: left-stick, tiller: right-stick")
    bench.move("wand", 1, 0, at=1000)
    bench.move("tiller", 0, -1, at=1050)

    assert frames(bench, 2000) == ["1000: left-stick 32767 0", "1050: right-stick 0 -32767"]


@pytest.mark.parametrize(
    ("rule", "player", "helper", "out"),
    [
        ("stronger", (0.5, 0), (0, -1), (0, -32767)),
        ("stronger", (1, 0), (0, -0.5), (32767, 0)),
        ("stronger", (1, 0), (0, -1), (32767, 0)),
        ("stronger", (0.5, 0), (0, -0.5), (16384, 0)),
        ("sum", (0.5, 0), (0, -0.5), (16384, -16384)),
        ("sum", (1, 0), (0, -1), (23170, -23170)),
        ("sum", (0.5, 0), (-0.5, 0), (0, 0)),
        ("both", (1, 0), (0.5, 0), (16384, 0)),
        ("both", (0.5, 0), (1, 0), (16384, 0)),
        ("both", (0.5, 0), (0, -1), (16384, 0)),
        ("both", (0.5, 0), (-0.5, -1), (0, 0)),
        ("both", (0.5, 0), (0, 0), (0, 0)),
        ("both", (0, 0), (0.5, 0), (0, 0)),
        ("player-only", (0.5, 0), (0, -1), (16384, 0)),
        ("helper-only", (0.5, 0), (0, -1), (0, -32767)),
        ("player-first", (0.5, 0), (0, -1), (16384, 0)),
        ("player-first", (0, 0), (0, -1), (0, -32767)),
    ],
)
def test_sticks_by_rule(
    rule: str,
    player: tuple[float, float],
    helper: tuple[float, float],
    out: tuple[int, int],
) -> None:
    """Section 6, the table's column of sticks; `both` within 90 degrees, 90 itself included."""
    bench = Bench(
        board(
            f"sail: {{{STICKS}}}",
            top=f"merge: {{sticks: {rule}}}",
            wand="dead-zone: 0%",
            tiller="dead-zone: 0%",
        )
    )
    bench.move("wand", *player, at=1000)
    bench.move("tiller", *helper, at=1000)

    assert bench.stick("left-stick") == out


def test_sticks_key_and_a_narrower_one() -> None:
    """Section 6: `sticks:` and a single stick, "the narrowest winning"."""
    bench = two("sticks: helper-only, left-stick: player-only", STICKS)
    bench.move("tiller", 0, -1, at=1000)
    bench.move("wand", 1, 0, at=1100)

    assert frames(bench, 2000) == ["1100: left-stick 32767 0"]


def test_directions_pressed_by_people_merge_as_sticks() -> None:
    """Section 2 and 6: a stick's direction is part of its stick."""
    bench = two("left-stick: sum", "knee: left-stick.up, mate: left-stick.right")
    bench.press("knee", at=0)
    bench.press("mate", at=100)

    assert frames(bench, 1000) == ["0: left-stick 0 -32767", "100: left-stick 23170 -23170"]


def test_helpers_push_yields_to_the_players_stick() -> None:
    """Section 6, player-first, for a part that an action makes."""
    bench = two(layer="wand: left-stick, mate: {push: left-stick, toward: up, how: toggle}")
    bench.tap("mate", at=1000, length=50)
    bench.move("wand", 1, 0, at=1200)
    bench.move("wand", 0, 0, at=1300)

    assert frames(bench, 3000) == [
        "1000: left-stick 0 -32767",
        "1200: left-stick 32767 0",
        "1300: left-stick 0 0",
        "1700: left-stick 0 -32767",
    ]


# ------------------------------------------------------------------ the d-pad


def test_opposites_of_two_people_give_neither() -> None:
    """Section 6: "opposites after merging again give neither"."""
    bench = two(layer="knee: dpad-left, mate: dpad-right")
    bench.press("knee", at=0)
    bench.press("mate", at=100)
    bench.release("knee", at=200)
    bench.release("mate", at=300)

    assert frames(bench, 1000) == [
        "0: press dpad-left",
        "100: release dpad-left",
        "200: press dpad-right",
        "300: release dpad-right",
    ]


def test_left_and_right_are_one_control_for_a_rule() -> None:
    """Section 6: "for merging, left and right are one control": the player's left beats right."""
    bench = two("dpad: player-first", "knee: dpad-left, mate: dpad-right, crew: dpad-up")
    bench.press("mate", at=1000)
    bench.press("knee", at=1100)
    bench.press("crew", at=1200)
    bench.release("knee", at=1300)

    assert frames(bench, 3000) == [
        "1000: press dpad-right",
        "1100: release dpad-right, press dpad-left",
        "1200: press dpad-up",
        "1300: release dpad-left",
        "1700: press dpad-right",
    ]


def test_rule_for_one_direction_is_one_for_its_pair() -> None:
    """Section 12, 8: "A rule for one d-pad direction is one for its pair"."""
    bench = two("dpad-left: player-only", "mate: dpad-right, crew: dpad-up")
    bench.tap("mate", at=0, length=100)
    bench.tap("crew", at=200, length=100)

    assert frames(bench, 1000) == ["200: press dpad-up", "300: release dpad-up"]


def test_both_on_the_dpad_needs_the_same_direction() -> None:
    """Section 6, both: only while both press it."""
    bench = two("dpad: both", "knee: dpad-up, cheek: dpad-down, mate: dpad-up")
    bench.press("mate", at=0)
    bench.tap("cheek", at=100, length=100)
    bench.press("knee", at=300)
    bench.release("mate", at=400)

    assert frames(bench, 1000) == ["300: press dpad-up", "400: release dpad-up"]


def test_a_persons_own_opposites_are_neither_before_merging() -> None:
    """Section 6: "Each person's contributions are joined first"; the helper's direction counts."""
    bench = two(layer="knee: dpad-left, cheek: dpad-right, mate: dpad-left")
    bench.press("knee", at=0)
    bench.press("cheek", at=100)
    bench.press("mate", at=200)

    assert frames(bench, 1000) == [
        "0: press dpad-left",
        "100: release dpad-left",
        "200: press dpad-left",
    ]


# ------------------------------------------------------------------ errors


@pytest.mark.parametrize(
    "merge",
    [
        "buttons: sum",
        "south: sum",
        "sticks: either",
        "left-stick: either",
        "dpad-left: player-only, dpad-right: helper-only",
    ],
)
def test_rules_that_have_no_meaning_are_errors(merge: str) -> None:
    """Section 6: "an error" in the table; section 12, 8: two rules that differ for a pair."""
    from remapd.language import load_text

    loaded = load_text(board("sail: {knee: south, mate: south}", top=f"merge: {{{merge}}}"))

    assert loaded.layout is None
    assert loaded.diagnostics
