"""`merge:` to a rule for each slot, `tunings:` to other values, and the rest of the file."""

from remapd.engine.layout import DEFAULT_RULES, Identity, Layout, Rule, RuleKind
from remapd.engine.pad_controls import (
    EAST,
    RIGHT_TRIGGER,
    SLOT_HORIZONTAL,
    SLOT_LEFT_STICK,
    SLOT_RIGHT_STICK,
    SLOT_VERTICAL,
    SOUTH,
)
from remapd.engine.settings import Steady
from tests.unit.language.built import BREATH, HEAD, LEFT, ROLL, layout_of


def with_rest(rest: str) -> Layout:
    return layout_of(HEAD + "layers: {sail: {left: south}}\n" + rest)


def test_without_merge_the_defaults_hold() -> None:
    assert with_rest("").rules == DEFAULT_RULES


def test_the_narrowest_rule_wins_whatever_the_order() -> None:
    rules = with_rest(
        "merge: {hoist: both, pace: helper-only, buttons: player-only, dpad: stronger, "
        "left-stick: {rule: player-first, after-player: 600ms}, sticks: sum}\n"
    ).rules

    assert rules[SOUTH].kind is RuleKind.BOTH
    assert rules[EAST].kind is RuleKind.PLAYER_ONLY
    assert rules[RIGHT_TRIGGER].kind is RuleKind.HELPER_ONLY
    assert rules[SLOT_VERTICAL].kind is RuleKind.STRONGER
    assert rules[SLOT_HORIZONTAL].kind is RuleKind.STRONGER
    assert rules[SLOT_LEFT_STICK] == Rule(RuleKind.PLAYER_FIRST, 600_000)
    assert rules[SLOT_RIGHT_STICK].kind is RuleKind.SUM


def test_a_rule_for_one_direction_of_the_dpad_is_one_for_its_pair() -> None:
    rules = with_rest("merge: {dpad-up: player-only, dpad-down: player-only, dpad: both}\n").rules

    assert rules[SLOT_VERTICAL].kind is RuleKind.PLAYER_ONLY
    assert rules[SLOT_HORIZONTAL].kind is RuleKind.BOTH


def test_a_verb_for_the_whole_dpad_is_the_group() -> None:
    rules = with_rest("merge: {walk: player-only, dpad-left: both}\n").rules

    assert rules[SLOT_VERTICAL].kind is RuleKind.PLAYER_ONLY
    assert rules[SLOT_HORIZONTAL].kind is RuleKind.BOTH


def test_a_group_alone_gives_a_rule_its_time() -> None:
    rules = with_rest("merge: {buttons: {rule: player-first, after-player: 1s}}\n").rules

    assert rules[SOUTH] == Rule(RuleKind.PLAYER_FIRST, 1_000_000)
    assert rules[SLOT_VERTICAL] == Rule(RuleKind.PLAYER_FIRST, 1_000_000)
    assert rules[SLOT_LEFT_STICK] == DEFAULT_RULES[SLOT_LEFT_STICK]


def test_tunings_put_values_in_the_place_of_others() -> None:
    (tired, fresh) = with_rest(
        "tunings:\n"
        "  tired: {left: {acceptance-delay: 50ms}, roll: {reach: {left: 40%}, steady: light}}\n"
        "  fresh: {breath: {reach: 90%, debounce: 5ms}}\n"
    ).tunings

    assert tired.name == "tired"
    assert tired.overrides == {
        LEFT: (("acceptance_delay_us", 50_000),),
        ROLL: (("reach_left", 0.4), ("steady", Steady(3.0, 0.02))),
    }
    assert fresh.overrides == {BREATH: (("reach", 0.9), ("debounce_us", 5_000))}


def test_the_settings_of_the_whole_file() -> None:
    layout = with_rest(
        "title: Harbour\n"
        "notes: |\n  The right forearm rests on the ball.\n"
        "needs: [hoist, steer, start]\n"
        "tap: 80ms\n"
        "shortest-press: 0ms\n"
        "chord-window: 0.3s\n"
        "pad: {faces: as-specified, identity: {vendor: 0x1209, product: 0x2, version: 0x3}}\n"
        "cues: {sail: {tone: low, loudness: 10%}, lasting: {after: 2min}, said: nothing}\n"
        "place: {left: [10, 2.5]}\n"
    )

    assert layout.title == "Harbour"
    assert layout.notes == "The right forearm rests on the ball.\n"
    assert layout.needs == ("hoist", "steer", "start")
    assert (layout.tap_us, layout.shortest_press_us, layout.chord_window_us) == (
        80_000,
        0,
        300_000,
    )
    assert layout.faces_as_specified
    assert layout.identity == Identity(0x1209, 2, 3)
    assert layout.cues == {
        "sail": {"tone": "low", "loudness": 0.1},
        "lasting": {"after_us": 120_000_000},
        "said": None,
    }
    assert layout.place == {"left": [10, 2.5]}
    assert layout.verbs["walk"] == "dpad"


def test_without_a_title_the_file_gives_one() -> None:
    assert with_rest("").title == "layout"
