"""What docs/decisions.md decides where the layout language is silent, through whole layouts."""

from __future__ import annotations

import pytest

from tests.language.board import board, frames
from tests.language.test_scan import announced
from tests.support.bench import Bench

NET = "net: {cheek: east}"

# ------------------------------------------------------------------ time and buttons


def test_change_in_the_microsecond_in_which_a_new_debounce_began_is_ignored() -> None:
    """Decision: "is taken, unless that end has just begun a new debounce"."""
    bench = Bench(board("play: {knee: south}", top="shortest-press: 0ms", knee="debounce: 20ms"))
    bench.press("knee", at=0)
    bench.release("knee", at=5)
    bench.press("knee", at=20)  # the end at 20 ms took the release and began a new debounce
    bench.release("knee", at=100)

    assert frames(bench, 1000) == [
        "0: press south",
        "20: release south",
        "40: press south",
        "100: release south",
    ]


def test_press_wanted_when_a_waiting_release_is_due_comes_after_the_gap() -> None:
    """Decision: "comes after the gap"."""
    bench = Bench(board("play: {knee: south}", knee="debounce: 0ms"))
    bench.tap("knee", at=0, length=10)
    bench.tap("knee", at=34, length=100)

    assert frames(bench, 1000) == [
        "0: press south",
        "34: release south",
        "68: press south",
        "134: release south",
    ]


def test_second_press_within_the_wait_of_the_first_ones_release_joins_it() -> None:
    """Decision: "the gap between them came and went"."""
    bench = Bench(board("play: {knee: south}", knee="debounce: 0ms"))
    for at in (0, 10, 20):
        bench.tap("knee", at=at, length=5)

    assert frames(bench, 1000) == ["0: press south", "34: release south"]


def test_new_shortest_press_counts_for_waits_under_way() -> None:
    """Decision: "A new `shortest-press` after a reload counts for waits under way"."""
    bench = Bench(board("play: {knee: south}"))
    bench.tap("knee", at=0, length=100)
    bench.swap(board("play: {knee: south}", top="shortest-press: 80ms"), at=110)
    bench.press("knee", at=120)

    assert frames(bench, 1000) == ["0: press south", "100: release south", "180: press south"]


def test_longest_ends_a_press_before_it_is_long() -> None:
    """Decision: "`longest: 800ms` with `after: 800ms` ends the press first"."""
    bench = Bench(board("play: {knee: {short: south, long: east}}", knee="longest: 800ms"))
    bench.tap("knee", at=0, length=2000)

    assert frames(bench, 3000) == ["800: press south", "860: release south"]


# ------------------------------------------------------------------ sticks


def test_four_ways_keep_their_component_through_the_centre() -> None:
    """Decision: "`ways: 4` keeps its component through the centre"."""
    bench = Bench(board("play: {wand.up: south, wand.left: east}", wand="ways: 4"))
    bench.move("wand", 0, -1, at=0)
    bench.move("wand", 0, 0, at=100)
    bench.move("wand", -1, -1, at=200)

    assert frames(bench, 1000) == ["0: press south", "100: release south", "200: press south"]


# ------------------------------------------------------------------ people


@pytest.mark.parametrize(
    ("merge", "seen"),
    [("buttons: player-only", False), ("buttons: player-only, dpad: either", True)],
)
def test_buttons_covers_the_dpad_unless_dpad_is_given(merge: str, *, seen: bool) -> None:
    """Decision: "the d-pad is made of buttons, and the narrower key wins"."""
    bench = Bench(board("sail: {mate: dpad-up}", top=f"merge: {{{merge}}}"))
    bench.press("mate", at=0)

    assert bench.pressed == ({"dpad-up"} if seen else set())


def test_player_who_holds_two_opposites_counts_as_neutral() -> None:
    """Decision: for `player-first`, so the helper counts after its time."""
    bench = Bench(
        board(
            "sail: {knee: dpad-left, cheek: dpad-right, mate: dpad-left}",
            top="merge: {dpad: player-first}",
        )
    )
    bench.press("knee", at=1000)
    bench.press("cheek", at=1100)
    bench.press("mate", at=1200)

    assert frames(bench, 3000) == [
        "1000: press dpad-left",
        "1100: release dpad-left",
        "1500: press dpad-left",
    ]


# ------------------------------------------------------------------ actions


def test_next_layer_is_used_up_by_the_same_control_with_another_action() -> None:
    """Decision: "Without this, one switch could not use a `next` layer at all"."""
    bench = Bench(board("sail: {knee: {layer: net, how: next}}", "net: {knee: east}"))
    bench.tap("knee", at=0, length=50)
    bench.tap("knee", at=500, length=50)
    bench.tap("knee", at=1000, length=50)
    bench.tap("knee", at=1500, length=50)

    assert frames(bench, 3000) == [
        "500: press east",
        "550: release east",
        "1500: press east",
        "1550: release east",
    ]


def test_whole_lever_that_leaves_neutral_uses_up_a_next_layer() -> None:
    """Decision: "A whole lever counts like a whole stick"."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next}, pedal: left-trigger}",
            "net: {pedal: right-trigger}",
        )
    )
    bench.tap("knee", at=0, length=50)
    for at in (100, 300):
        bench.move("pedal", 1, at=at)
        bench.move("pedal", 0, at=at + 100)

    assert frames(bench, 1000) == [
        "100: right-trigger 255",
        "200: right-trigger 0",
        "300: left-trigger 255",
        "400: left-trigger 0",
    ]


def test_a_cycle_has_one_position_for_each_list_of_layers() -> None:
    """Decision: "whichever control or layer it is bound in"."""
    bench = Bench(
        board(
            "sail: {knee: {cycle: [sail, net, chart]}, elbow: {cycle: [sail, net, chart]}, "
            "cheek: south}",
            NET,
            "chart: {cheek: west}",
        )
    )
    bench.tap("knee", at=0, length=50)
    bench.tap("elbow", at=100, length=50)
    bench.tap("cheek", at=200, length=50)

    assert frames(bench, 1000) == ["200: press west", "250: release west"]


def test_cycle_without_the_base_begins_before_its_first_layer() -> None:
    """Decision: "Before the first press it stands ... before the first layer"."""
    bench = Bench(
        board("sail: {knee: {cycle: [net, chart]}, cheek: south}", NET, "chart: {cheek: west}")
    )
    for at in (0, 200, 400):
        bench.tap("knee", at=at, length=50)
        bench.tap("cheek", at=at + 100, length=50)

    assert [line for line in frames(bench, 1000) if "press" in line] == [
        "100: press east",
        "300: press west",
        "500: press east",
    ]


def test_other_persons_scan_goes_on() -> None:
    """Decision: "A second scan ends the first of the same person; the other person's goes on"."""
    bench = Bench(board("sail: {knee: {scan: [south, east]}, mate: {scan: [north, west]}}"))
    bench.tap("knee", at=0, length=50)
    bench.tap("mate", at=500, length=50)
    bench.tap("knee", at=1000, length=50)
    bench.tap("mate", at=1500, length=50)

    assert [line for line in frames(bench, 9000) if "press" in line] == [
        "1000: press south",
        "1500: press north",
    ]


def test_scan_by_hand_ends_after_its_rounds() -> None:
    """Decision: "stepping past the last item of the last round ends it"."""
    bench = Bench(board("sail: {knee: {scan: [south, east], pick: cheek, rounds: 2}, cheek: west}"))
    for at in range(5):
        bench.tap("knee", at=500 * at, length=50)
    bench.tap("cheek", at=2500, length=50)

    assert announced(bench) == ["0 south", "500 east", "1000 south", "1500 east", "2000 end"]
    assert frames(bench, 9000) == ["2500: press west", "2550: release west"]


def test_first_of_a_scan_is_twice_every_unless_said() -> None:
    """Decision: "A scan's `first` is twice `every` unless said"."""
    bench = Bench(board("sail: {knee: {scan: [south, east], every: 400ms}}"))
    bench.tap("knee", at=0, length=50)
    bench.until(1300)

    assert announced(bench) == ["0 south", "800 east", "1200 south"]


def test_release_everything_leaves_a_toggled_lead() -> None:
    """Decision: it leaves a toggled `lead` on: it presses nothing."""
    bench = Bench(board("sail: {mate: {lead: helper, how: toggle}, knee: south}"))
    bench.tap("mate", at=0, length=50)
    bench.release_everything(at=100)
    bench.tap("knee", at=200, length=50)

    assert frames(bench, 1000) == []


def test_release_everything_leaves_a_push_that_a_hand_holds() -> None:
    """Decision: "A `push` that a hand holds stays; a toggled one ends"."""
    bench = Bench(board("sail: {knee: {push: left-stick, toward: up}}"))
    bench.press("knee", at=0)
    bench.release_everything(at=100)
    bench.release("knee", at=200)

    assert frames(bench, 1000) == ["0: left-stick 0 -32767", "200: left-stick 0 0"]


def test_rest_is_not_ended_by_the_press_that_began_it() -> None:
    """Decision: "`rest` ends only by a fresh hold"."""
    bench = Bench(board("sail: {knee: {rest: 1s}, cheek: south}"))
    bench.tap("knee", at=0, length=5000)
    bench.tap("cheek", at=6000, length=50)

    assert frames(bench, 9000) == []


def test_rest_goes_on_over_a_reload_where_its_control_exists() -> None:
    """Decision: "It goes on over a reload where its control still exists"."""
    for other, out in (
        ("sail: {knee: {rest: 1s}, wand: left-stick}", []),
        ("sail: {wand: left-stick}", ["600: left-stick 32767 0"]),
    ):
        bench = Bench(board("sail: {knee: {rest: 1s}, wand: left-stick}"))
        bench.tap("knee", at=0, length=50)
        bench.swap(board(other), at=500)
        bench.move("wand", 1, 0, at=600)

        assert frames(bench, 1000) == out


def test_rest_after_a_reload_is_ended_by_its_hold() -> None:
    """Decision: and then it is ended as before."""
    text = board("sail: {knee: {rest: 1s}, wand: left-stick}")
    bench = Bench(text)
    bench.tap("knee", at=0, length=50)
    bench.swap(text, at=500)
    bench.move("wand", 1, 0, at=600)
    bench.press("knee", at=1000)

    assert frames(bench, 9000) == ["2000: left-stick 32767 0"]


def test_pausing_ends_a_rest() -> None:
    """Decision: "pausing ends it"."""
    bench = Bench(board("sail: {knee: {rest: 1s}, wand: left-stick}"))
    bench.tap("knee", at=0, length=50)
    bench.pause(at=500)
    bench.resume(at=1000)
    bench.move("wand", 1, 0, at=1100)

    assert frames(bench, 2000) == ["1100: left-stick 32767 0"]


def test_toggled_turbo_that_is_stopped_runs_out() -> None:
    """Decision: "runs out as a held one does"."""
    bench = Bench(board("sail: {knee: {turbo: south, rate: 5/s, how: toggle}}"))
    bench.tap("knee", at=0, length=20)
    bench.tap("knee", at=50, length=20)

    assert frames(bench, 1000) == ["0: press south", "100: release south"]


def test_lever_that_rests_in_the_middle_is_pressed_by_its_upper_end() -> None:
    """Decision: for a whole lever with any other action than a trigger."""
    bench = Bench(board("sail: {breath: south}"))
    bench.move("breath", -1, at=0)
    bench.move("breath", 1, at=100)
    bench.move("breath", 0, at=200)

    assert frames(bench, 1000) == ["100: press south", "200: release south"]


# ------------------------------------------------------------------ devices and layers


def test_toggled_tuning_and_lead_stay_on_over_a_reload() -> None:
    """Decision: "toggled tunings and leads that still exist stay on as toggled layers do"."""
    text = board(
        "sail: {knee: {tuning: tired, how: toggle}, mate: {lead: helper, for: [south], "
        "how: toggle}, cheek: south, wand: left-stick}",
        top="tunings:\n  tired: {wand: {reach: 50%}}",
        wand="dead-zone: 0%",
    )
    bench = Bench(text)
    bench.tap("knee", at=0, length=50)
    bench.tap("mate", at=100, length=50)
    bench.swap(text, at=300)
    bench.tap("cheek", at=400, length=50)
    bench.move("wand", 0.25, 0, at=500)

    assert frames(bench, 1000) == ["500: left-stick 16384 0"]


def test_cycle_stays_only_where_the_same_list_is_still_in_the_file() -> None:
    """Decision: another list of layers begins at its own beginning."""
    bench = Bench(
        board("sail: {knee: {cycle: [sail, net]}, cheek: south}", NET, "chart: {cheek: west}")
    )
    bench.tap("knee", at=0, length=50)
    bench.swap(
        board(
            "sail: {knee: {cycle: [sail, chart, net]}, cheek: south}", NET, "chart: {cheek: west}"
        ),
        at=300,
    )
    bench.tap("cheek", at=400, length=50)

    assert frames(bench, 1000) == ["400: press south", "450: release south"]


def test_whole_binding_that_is_hidden_still_hides_directions_below_it() -> None:
    """Decision: a direction that the top layer does not name passes only to the whole's layer."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net}, elbow: {layer: chart}, wand.left: south}",
            "net: {wand: left-stick}",
            "chart: {wand.up: east}",
        )
    )
    bench.press("knee", at=0)
    bench.press("elbow", at=50)
    bench.move("wand", -1, 0, at=100)
    bench.move("wand", 0, -1, at=200)

    assert frames(bench, 1000) == ["200: press east"]


def test_chord_of_another_pair_above_does_not_hide_a_chord() -> None:
    """Decision: "only a layer's own action for a member, or its whole stick, does"."""
    bench = Bench(
        board("sail: {knee + cheek: north, elbow: {layer: net}}", "net: {knee + heel: select}")
    )
    bench.press("elbow", at=0)
    bench.press("knee", at=100)
    bench.press("cheek", at=150)

    assert frames(bench, 1000) == ["150: press north"]


def test_rate_rounding_of_duty_is_within_the_period() -> None:
    """Section 1: periods are whole microseconds; so seven of them are short of a second."""
    bench = Bench(board("sail: {knee: {turbo: left-stick.up, rate: 7/s, duty: 30%}}"))
    bench.press("knee", at=0)
    bench.until(1000)
    ups = [us for us, changes in bench.frames if changes[0].value == (0, -32767)]

    assert ups == [142_857 * i for i in range(8)]


def test_stick_held_out_to_the_dpad_presses_at_once_over_a_reload_a_rest_and_a_pause() -> None:
    """Decision: "presses at once, as any whole stick takes its target at once"."""
    text = board("sail: {wand: dpad, knee: {rest: 1s}}")
    reloaded, rested = Bench(text), Bench(text)
    for bench in (reloaded, rested):
        bench.move("wand", 1, 0, at=0)
    reloaded.swap(text, at=300)
    rested.tap("knee", at=300, length=50)
    rested.press("knee", at=500)

    assert frames(reloaded, 2000) == ["0: press dpad-right"]
    assert frames(rested, 2000) == [
        "0: press dpad-right",
        "300: release dpad-right",
        "1500: press dpad-right",
    ]


def test_direction_bound_by_itself_waits_for_a_fresh_press_after_a_rest() -> None:
    """Decision: "a direction that is bound by itself ... wait for a fresh press"."""
    bench = Bench(board("sail: {wand.right: south, knee: {rest: 1s}}"))
    bench.move("wand", 1, 0, at=0)
    bench.tap("knee", at=300, length=50)
    bench.press("knee", at=500)
    bench.until(1600)
    bench.move("wand", 0, 0, at=1700)
    bench.move("wand", 1, 0, at=1800)

    assert frames(bench, 2000) == ["0: press south", "300: release south", "1800: press south"]


def test_any_rest_control_ends_a_rest_whose_device_is_away() -> None:
    """Decision: "While the device of the control that began a `rest` is away"."""
    for away, out in ((True, ["1600: left-stick 32767 0"]), (False, [])):
        bench = Bench(board("sail: {knee: {rest: 1s}, pedal: {rest: 1s}, wand: left-stick}"))
        bench.tap("pedal.high", at=0, length=50)
        if away:
            bench.unplug("pedals", at=200)
        bench.move("wand", 1, 0, at=500)
        bench.press("knee", at=600)

        assert frames(bench, 5000) == out


def test_rest_goes_on_while_its_device_is_away_and_ends_when_it_is_back() -> None:
    """Decision: a switch that sleeps does not end a rest."""
    bench = Bench(board("sail: {pedal: {rest: 1s}, wand: left-stick}"))
    bench.tap("pedal.high", at=0, length=50)
    bench.unplug("pedals", at=200)
    bench.move("wand", 1, 0, at=500)
    bench.plug("pedals", at=2000)
    bench.press("pedal.high", at=3000)

    assert frames(bench, 9000) == ["4000: left-stick 32767 0"]


def test_cycle_that_stays_over_a_reload_begins_its_back_after_anew() -> None:
    """Decision: the full time, counted from the reload."""
    text = board(
        "sail: {knee: {cycle: [sail, net], back-after: 1s}, wand: left-stick}",
        "net: {wand: right-stick}",
    )
    bench = Bench(text)
    bench.tap("knee", at=0, length=50)
    bench.move("wand", 1, 0, at=100)
    bench.swap(text, at=700)

    assert frames(bench, 5000) == [
        "100: right-stick 32767 0",
        "1700: left-stick 32767 0, right-stick 0 0",
    ]


def test_two_directions_are_a_diagonal_before_a_stick_is_added() -> None:
    """Decision: "make a diagonal of length 1 first, and are then added to what sticks give"."""
    bench = Bench(
        board(
            "sail: {knee: left-stick.up, cheek: left-stick.right, wand: left-stick}",
            wand="dead-zone: 0%",
        )
    )
    bench.press("knee", at=0)
    bench.press("cheek", at=20)
    bench.move("wand", 0, 1, at=100)

    assert bench.stick("left-stick") == (23170, 9597)  # 0.7071 and 1 - 0.7071


def test_release_everything_ends_a_tap_and_a_first_press_that_waits() -> None:
    """Decision: "a press that the engine makes up (`tap`) and a first press of `once`"."""
    bench = Bench(
        board("sail: {knee: {short: south, long: east}, cheek: {once: north, twice: west}}")
    )
    bench.tap("cheek", at=0, length=20)
    bench.tap("knee", at=30, length=20)
    bench.release_everything(at=70)

    assert frames(bench, 5000) == ["50: press south", "70: release south"]
