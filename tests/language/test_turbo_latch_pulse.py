"""The layout language, section 4: turbo, latch and pulse."""

from __future__ import annotations

import pytest

from tests.language.board import board, frames
from tests.support.bench import Bench

BARE = "shortest-press: 0ms"


# ------------------------------------------------------------------ turbo


def test_turbo_presses_at_once_and_again_and_again() -> None:
    """Section 4, turbo: 8/s with a duty of 50% unless said: 62.5 ms in each 125 ms."""
    bench = Bench(board("play: {knee: {turbo: south}}"))
    bench.press("knee", at=0)
    bench.release("knee", at=300)

    assert frames(bench, 2000) == [
        "0: press south",
        "62.5: release south",
        "125: press south",
        "187.5: release south",
        "250: press south",
        "312.5: release south",
    ]


def test_turbo_press_that_has_begun_lasts_its_duty() -> None:
    """Section 4, turbo: "a press that has begun lasts its full duty"."""
    bench = Bench(board("play: {knee: {turbo: south, rate: 4/s, duty: 40%}}"))
    bench.tap("knee", at=10, length=20)

    assert frames(bench, 2000) == ["10: press south", "110: release south"]


def test_turbo_let_go_in_a_gap_ends_at_once() -> None:
    """Section 4, turbo: on release it "ends"."""
    bench = Bench(board("play: {knee: {turbo: south, rate: 4/s, duty: 40%}}"))
    bench.tap("knee", at=10, length=200)

    assert frames(bench, 2000) == ["10: press south", "110: release south"]


def test_turbo_let_go_when_a_press_is_due_gives_that_press() -> None:
    """Section 7: what is due at a time comes before the frame of that time."""
    bench = Bench(board("play: {knee: {turbo: south, rate: 4/s, duty: 40%}}"))
    bench.tap("knee", at=0, length=250)

    assert frames(bench, 2000) == [
        "0: press south",
        "100: release south",
        "250: press south",
        "350: release south",
    ]


def test_period_is_rounded_to_the_microsecond_and_repeated() -> None:
    """Section 1, rate: "its period is 1 s / rate, rounded to the microsecond, then repeated"."""
    bench = Bench(board("play: {knee: {turbo: south, rate: 3/s}}"))
    bench.press("knee", at=0)
    bench.until(2000)
    presses = [change.us for change in bench.changes if change.what == "press"]

    assert presses == [0, 333_333, 666_666, 999_999, 1_333_332, 1_666_665, 1_999_998]


def test_turbo_of_a_trigger_and_a_direction_together() -> None:
    """Section 4: a turbo's target may be any target, or several together."""
    bench = Bench(
        board("play: {knee: {turbo: {together: [right-trigger, left-stick.up]}, rate: 5/s}}")
    )
    bench.tap("knee", at=0, length=250)

    assert frames(bench, 2000) == [
        "0: left-stick 0 -32767, right-trigger 255",
        "100: left-stick 0 0, right-trigger 0",
        "200: left-stick 0 -32767, right-trigger 255",
        "300: left-stick 0 0, right-trigger 0",
    ]


def test_toggled_turbo_runs_until_the_next_press() -> None:
    """Section 4, turbo: "`how: toggle` runs until the next press"."""
    bench = Bench(board("play: {knee: {turbo: south, rate: 5/s, how: toggle}}"))
    bench.tap("knee", at=0, length=50)
    bench.tap("knee", at=450, length=50)

    assert frames(bench, 2000) == [
        "0: press south",
        "100: release south",
        "200: press south",
        "300: release south",
        "400: press south",
        "500: release south",
    ]


def test_toggled_turbo_stops_at_most_after_its_time() -> None:
    """Section 4, turbo: "or `at-most: T`"; the end was set before the press due with it."""
    bench = Bench(board("play: {knee: {turbo: south, rate: 5/s, how: toggle, at-most: 400ms}}"))
    bench.tap("knee", at=0, length=50)

    assert frames(bench, 5000) == [
        "0: press south",
        "100: release south",
        "200: press south",
        "300: release south",
    ]


def test_toggled_turbo_after_at_most_starts_with_a_press() -> None:
    """Section 4, turbo: ended by its time, the next press is a first one."""
    bench = Bench(board("play: {knee: {turbo: south, rate: 5/s, how: toggle, at-most: 300ms}}"))
    bench.tap("knee", at=0, length=50)
    bench.tap("knee", at=1000, length=50)

    assert [line for line in frames(bench, 5000) if "press" in line] == [
        "0: press south",
        "200: press south",
        "1000: press south",
        "1200: press south",
    ]


def test_toggled_turbo_goes_on_under_other_layers() -> None:
    """Section 5: a toggled turbo may outlive the layer that gave it."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net}, cheek: north}",
            "net: {cheek: {turbo: south, rate: 5/s, how: toggle}}",
        )
    )
    bench.press("knee", at=0)
    bench.tap("cheek", at=100, length=50)
    bench.release("knee", at=250)
    bench.tap("cheek", at=320, length=50)
    bench.press("knee", at=410)
    bench.tap("cheek", at=450, length=40)

    assert frames(bench, 2000) == [
        "100: press south",
        "200: release south",
        "300: press south",
        "320: press north",
        "370: release north",
        "400: release south",
    ]


def test_held_turbo_belongs_to_its_press_whatever_layers_change() -> None:
    """Section 5: "A release belongs to its press"."""
    bench = Bench(
        board("sail: {knee: {layer: net}, cheek: north}", "net: {cheek: {turbo: south, rate: 5/s}}")
    )
    bench.press("knee", at=0)
    bench.press("cheek", at=100)
    bench.release("knee", at=150)
    bench.release("cheek", at=350)

    assert frames(bench, 2000) == [
        "100: press south",
        "200: release south",
        "300: press south",
        "400: release south",
    ]


def test_turbo_press_during_the_run_out_starts_when_it_is_over() -> None:
    """Section 4: "A turbo press during the run-out of the last starts when it is over".

    Between the two the game has to see a gap, of `shortest-press` (section 7).
    """
    bench = Bench(board("play: {knee: {turbo: south, rate: 5/s}}"))
    bench.tap("knee", at=0, length=30)
    bench.press("knee", at=60)
    bench.until(190)
    first = frames(bench)

    assert first[0] == "0: press south"
    assert first[1] == "100: release south"
    assert first[2] == "134: press south"
    assert len(first) == 3


def test_turbo_press_let_go_during_the_run_out_is_given_one_press() -> None:
    """Section 12, 10: "let go during the run-out of the last is given one press"."""
    bench = Bench(board("play: {knee: {turbo: south, rate: 5/s}}"))
    bench.tap("knee", at=0, length=30)
    bench.tap("knee", at=50, length=20)
    lines = frames(bench, 2000)

    assert lines[:3] == ["0: press south", "100: release south", "134: press south"]
    assert len(lines) == 4
    assert bench.neutral


def test_two_turbos_of_one_target_are_joined() -> None:
    """Section 6: one person's presses of a target are joined by or."""
    bench = Bench(
        board("play: {knee: {turbo: south, rate: 5/s}, cheek: {turbo: south, rate: 5/s}}")
    )
    bench.press("knee", at=0)
    bench.press("cheek", at=50)
    bench.release("knee", at=60)
    bench.release("cheek", at=70)

    assert frames(bench, 2000) == ["0: press south", "150: release south"]


def test_turbo_over_a_held_target_is_not_seen() -> None:
    """Section 6: or; and the held press goes on after it."""
    bench = Bench(board("play: {knee: {turbo: south, rate: 5/s}, cheek: south}"))
    bench.press("cheek", at=0)
    bench.tap("knee", at=50, length=500)
    bench.release("cheek", at=1000)

    assert frames(bench, 2000) == ["0: press south", "1000: release south"]


def test_turbo_with_acceptance_delay_and_longest() -> None:
    """Section 3 with 4: conditioning comes before the action."""
    bench = Bench(
        board(
            "play: {knee: {turbo: south, rate: 5/s}}",
            knee="acceptance-delay: 100ms, longest: 350ms",
        )
    )
    bench.press("knee", at=0)

    assert frames(bench, 2000) == [
        "100: press south",
        "200: release south",
        "300: press south",
        "400: release south",
    ]


def test_turbo_too_quick_to_show_keeps_the_shortest_press() -> None:
    """Section 7 over section 4: no press is shown for less than `shortest-press`."""
    bench = Bench(board("play: {knee: {turbo: south, rate: 10/s, duty: 10%}}"))
    bench.tap("knee", at=0, length=150)

    assert frames(bench, 2000) == [
        "0: press south",
        "34: release south",
        "100: press south",
        "134: release south",
    ]


# ------------------------------------------------------------------ latch


def test_latch_stays_until_its_next_press() -> None:
    """Section 4, latch: "stays pressed, until a press of any latch of it by the same person"."""
    bench = Bench(board("play: {knee: {latch: south}}"))
    bench.tap("knee", at=0, length=50)
    bench.tap("knee", at=5000, length=50)
    bench.tap("knee", at=6000, length=50)

    assert frames(bench, 9000) == ["0: press south", "5000: release south", "6000: press south"]


def test_latch_is_ended_from_another_control() -> None:
    """Section 4, latch: "any latch of it"."""
    bench = Bench(board("play: {knee: {latch: south}, cheek: {latch: south}}"))
    bench.tap("knee", at=0, length=50)
    bench.tap("cheek", at=1000, length=50)
    bench.tap("knee", at=2000, length=50)

    assert frames(bench, 9000) == ["0: press south", "1000: release south", "2000: press south"]


def test_latch_is_ended_from_another_layer() -> None:
    """Section 12, 19: "of the same target when their sets of pad controls are equal"."""
    bench = Bench(
        board(
            "sail: {knee: {latch: {together: [south, dpad-up]}}, elbow: {layer: net}}",
            "net: {cheek: {latch: {together: [dpad-up, south]}}}",
        )
    )
    bench.tap("knee", at=0, length=50)
    bench.press("elbow", at=500)
    bench.tap("cheek", at=1000, length=50)

    assert frames(bench, 9000) == [
        "0: press south, press dpad-up",
        "1000: release south, release dpad-up",
    ]


def test_latches_of_overlapping_sets_are_two() -> None:
    """Section 12, 19: sets that are not equal are not the same target."""
    bench = Bench(board("play: {knee: {latch: {together: [south, east]}}, cheek: {latch: south}}"))
    bench.tap("knee", at=0, length=50)
    bench.tap("cheek", at=100, length=50)
    bench.tap("knee", at=200, length=50)
    bench.tap("cheek", at=300, length=50)

    assert frames(bench, 9000) == [
        "0: press south, press east",
        "200: release east",
        "300: release south",
    ]


def test_latch_through_a_verb_is_the_same() -> None:
    """Section 2 and 4: a verb is its pad control."""
    bench = Bench(
        board("play: {knee: {latch: hoist}, cheek: {latch: south}}", top="verbs: {hoist: south}")
    )
    bench.tap("knee", at=0, length=50)
    bench.tap("cheek", at=100, length=50)

    assert frames(bench, 9000) == ["0: press south", "100: release south"]


def test_another_persons_latch_is_their_own() -> None:
    """Section 4, latch: "by the same person"."""
    bench = Bench(board("play: {knee: {latch: south}, mate: {latch: south}}"))
    bench.tap("knee", at=0, length=50)
    bench.tap("mate", at=100, length=50)
    bench.tap("knee", at=200, length=50)
    bench.tap("mate", at=300, length=50)

    assert frames(bench, 9000) == ["0: press south", "300: release south"]


def test_latch_ends_at_most_after_its_time() -> None:
    """Section 4, latch: "or `at-most: T`", counted from its press."""
    bench = Bench(board("play: {knee: {latch: south, at-most: 2s}}"))
    bench.tap("knee", at=10, length=100)

    assert frames(bench, 9000) == ["10: press south", "2010: release south"]


def test_latch_held_longer_than_at_most() -> None:
    """Section 4, latch: nothing on release, and nothing of the hand's holding."""
    bench = Bench(board("play: {knee: {latch: south, at-most: 1s}}"))
    bench.press("knee", at=0)
    bench.release("knee", at=3000)

    assert frames(bench, 9000) == ["0: press south", "1000: release south"]


def test_latch_pressed_when_its_time_is_up_latches_anew() -> None:
    """Section 7: the time comes before the press, which is then a first one."""
    bench = Bench(board("play: {knee: {latch: south, at-most: 1s}}", top=BARE))
    bench.tap("knee", at=0, length=50)
    bench.tap("knee", at=1000, length=50)

    assert frames(bench, 9000) == [
        "0: press south",
        "1000: release south",
        "1000: press south",
        "2000: release south",
    ]


def test_ended_latch_leaves_no_time_behind() -> None:
    """Section 4, latch: the time of an ended latch does not end the next one."""
    bench = Bench(board("play: {knee: {latch: south, at-most: 1s}}"))
    bench.tap("knee", at=0, length=50)
    bench.tap("knee", at=500, length=50)
    bench.tap("knee", at=700, length=50)

    assert frames(bench, 9000) == [
        "0: press south",
        "500: release south",
        "700: press south",
        "1700: release south",
    ]


def test_plain_press_of_a_latched_target_does_not_end_it() -> None:
    """Section 6: joined by or; only a latch ends a latch."""
    bench = Bench(board("play: {knee: {latch: south}, cheek: south}"))
    bench.tap("knee", at=0, length=50)
    bench.tap("cheek", at=100, length=50)
    bench.tap("knee", at=500, length=50)

    assert frames(bench, 9000) == ["0: press south", "500: release south"]


def test_latch_of_a_direction() -> None:
    """Section 4: a target may be a stick's direction."""
    bench = Bench(board("play: {knee: {latch: left-stick.up}}"))
    bench.tap("knee", at=0, length=50)
    bench.tap("knee", at=1000, length=50)

    assert frames(bench, 9000) == ["0: left-stick 0 -32767", "1000: left-stick 0 0"]


# ------------------------------------------------------------------ pulse


def test_pulse_lasts_exactly_its_length() -> None:
    """Section 4, pulse: "pressed for exactly that long", 150 ms unless said."""
    bench = Bench(board("play: {knee: {pulse: south}, cheek: {pulse: east, length: 400ms}}"))
    bench.tap("knee", at=0, length=1000)
    bench.tap("cheek", at=2000, length=30)

    assert frames(bench, 9000) == [
        "0: press south",
        "150: release south",
        "2000: press east",
        "2400: release east",
    ]


def test_presses_meanwhile_do_nothing() -> None:
    """Section 4, pulse: "presses meanwhile do nothing", they do not lengthen it either."""
    bench = Bench(board("play: {knee: {pulse: south, length: 300ms}}"))
    for at in (0, 100, 200):
        bench.tap("knee", at=at, length=50)

    assert frames(bench, 9000) == ["0: press south", "300: release south"]


def test_press_at_the_end_of_a_pulse_begins_another() -> None:
    """Section 7: the pulse is over before the frame of that time."""
    bench = Bench(board("play: {knee: {pulse: south, length: 300ms}}", top=BARE))
    bench.tap("knee", at=0, length=50)
    bench.tap("knee", at=300, length=50)

    assert frames(bench, 9000) == [
        "0: press south",
        "300: release south",
        "300: press south",
        "600: release south",
    ]


def test_press_at_the_end_of_a_pulse_is_seen_after_a_gap() -> None:
    """Section 7: "once released stays so for as long before it is pressed again"."""
    bench = Bench(board("play: {knee: {pulse: south, length: 300ms}}"))
    bench.tap("knee", at=0, length=50)
    bench.tap("knee", at=300, length=50)

    assert frames(bench, 9000) == [
        "0: press south",
        "300: release south",
        "334: press south",
        "600: release south",
    ]


def test_pulses_of_two_controls_overlap() -> None:
    """Section 6: joined by or, each of its own length."""
    bench = Bench(board("play: {knee: {pulse: south}, cheek: {pulse: south}}"))
    bench.tap("knee", at=0, length=50)
    bench.tap("cheek", at=100, length=50)

    assert frames(bench, 9000) == ["0: press south", "250: release south"]


def test_pulse_of_together() -> None:
    """Section 4: a pulse's target may be several together."""
    bench = Bench(board("play: {knee: {pulse: {together: [north, right-trigger]}}}"))
    bench.tap("knee", at=0, length=50)

    assert frames(bench, 9000) == [
        "0: press north, right-trigger 255",
        "150: release north, right-trigger 0",
    ]


@pytest.mark.parametrize("length", ["10ms", "33ms"])
def test_pulse_too_short_to_see_is_shown_for_shortest_press(length: str) -> None:
    """Section 7: pressed for at least `shortest-press`."""
    bench = Bench(board(f"play: {{knee: {{pulse: south, length: {length}}}}}"))
    bench.tap("knee", at=0, length=50)

    assert frames(bench, 9000) == ["0: press south", "34: release south"]
