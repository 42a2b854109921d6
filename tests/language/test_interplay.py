"""The layout language where its sections meet: cases that each rule alone would not show."""

from __future__ import annotations

from tests.language.board import board, frames
from tests.support.bench import Bench

NET = "net: {cheek: east}"

# ------------------------------------------------------------------ next


def test_next_used_by_a_stick_ends_when_the_stick_is_unplugged() -> None:
    """Section 4, next, with 8: an unplugged stick is neutral again."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next}, wand: left-stick, cheek: south}",
            "net: {wand: right-stick, cheek: east}",
        )
    )
    bench.tap("knee", at=0, length=50)
    bench.move("wand", 1, 0, at=100)
    bench.unplug("joystick", at=200)
    bench.tap("cheek", at=300, length=50)

    assert frames(bench, 1000) == [
        "100: right-stick 32767 0",
        "200: right-stick 0 0",
        "300: press south",
        "350: release south",
    ]


def test_next_used_by_a_button_ends_when_the_button_is_unplugged() -> None:
    """Section 4, next, with 8: what the device held is released."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next}, pedal: south, cheek: south}",
            "net: {pedal: east, cheek: west}",
        )
    )
    bench.tap("knee", at=0, length=50)
    bench.press("pedal.high", at=100)
    bench.unplug("pedals", at=200)
    bench.tap("cheek", at=300, length=50)

    assert frames(bench, 1000) == [
        "100: press east",
        "200: release east",
        "300: press south",
        "350: release south",
    ]


def test_release_everything_while_a_next_layer_is_in_use() -> None:
    """Section 4: the layer goes off, "what a hand still holds stays"."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next}, cheek: south, wand: left-stick}",
            "net: {cheek: east, wand: right-stick}",
        )
    )
    bench.tap("knee", at=0, length=50)
    bench.press("cheek", at=100)
    bench.move("wand", 1, 0, at=150)
    bench.release_everything(at=200)
    bench.release("cheek", at=300)
    bench.tap("cheek", at=400, length=50)

    assert frames(bench, 1000) == [
        "100: press east",
        "150: right-stick 32767 0",
        "200: left-stick 32767 0, right-stick 0 0",
        "300: release east",
        "400: press south",
        "450: release south",
    ]


def test_next_used_by_a_whole_stick_is_not_used_by_a_press_meanwhile() -> None:
    """Section 4, next: it goes off when *that* is neutral again."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next}, cheek: south, wand: left-stick}",
            "net: {cheek: east, wand: right-stick}",
        )
    )
    bench.tap("knee", at=0, length=50)
    bench.move("wand", 1, 0, at=100)
    bench.tap("cheek", at=200, length=50)
    bench.tap("cheek", at=300, length=50)
    bench.move("wand", 0, 0, at=400)
    bench.tap("cheek", at=500, length=50)

    assert frames(bench, 1000) == [
        "100: right-stick 32767 0",
        "200: press east",
        "250: release east",
        "300: press east",
        "350: release east",
        "400: right-stick 0 0",
        "500: press south",
        "550: release south",
    ]


def test_next_with_a_press_too_short_to_count() -> None:
    """Section 3 and 4: a press that does nothing at all uses nothing up."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next}, cheek: south}",
            NET,
            cheek="acceptance-delay: 100ms",
        )
    )
    bench.tap("knee", at=0, length=50)
    bench.tap("cheek", at=100, length=50)
    bench.tap("cheek", at=300, length=200)
    bench.tap("cheek", at=700, length=200)

    assert frames(bench, 2000) == [
        "400: press east",
        "500: release east",
        "800: press south",
        "900: release south",
    ]


def test_next_in_a_short_press() -> None:
    """Section 4: A may be any action; tapped twice, the layer stays on."""
    bench = Bench(
        board(
            "sail: {knee: {short: {layer: net, how: next}, long: start}, cheek: south}",
            NET,
        )
    )
    bench.tap("knee", at=0, length=50)
    bench.tap("cheek", at=300, length=50)
    bench.tap("cheek", at=400, length=50)

    assert frames(bench, 1000) == [
        "300: press east",
        "350: release east",
        "400: press south",
        "450: release south",
    ]


# ------------------------------------------------------------------ layers and timing


def test_second_of_two_presses_in_another_layer_is_that_layers() -> None:
    """Section 4, once/twice, with 5: the second press's action is found when it comes."""
    bench = Bench(
        board(
            "sail: {knee: {once: south, twice: east, within: 400ms}, "
            "elbow: {layer: net, how: toggle}}",
            "net: {knee: west}",
        )
    )
    bench.tap("knee", at=0, length=50)
    bench.tap("elbow", at=100, length=50)
    bench.tap("knee", at=200, length=50)

    assert frames(bench, 1000) == [
        "200: press west",
        "250: release west",
        "400: press south",
        "460: release south",
    ]


def test_layer_goes_back_by_itself_while_a_stick_is_out() -> None:
    """Section 4, cycle, with 5: sticks follow at once, in the timer's own frame."""
    bench = Bench(
        board(
            "sail: {knee: {cycle: [sail, net], back-after: 500ms}, wand: left-stick}",
            "net: {wand: right-stick}",
        )
    )
    bench.tap("knee", at=0, length=50)
    bench.move("wand", 0, -1, at=100)

    assert frames(bench, 1000) == [
        "100: right-stick 0 -32767",
        "500: left-stick 0 -32767, right-stick 0 0",
    ]


def test_next_gives_up_while_a_stick_is_out() -> None:
    """Section 4, next: a stick out before it did not use it; it follows when the wait ends."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next, give-up: 1s}, wand: left-stick}",
            "net: {wand: right-stick}",
        )
    )
    bench.move("wand", 1, 0, at=0)
    bench.tap("knee", at=100, length=50)

    assert frames(bench, 3000) == [
        "0: left-stick 32767 0",
        "100: left-stick 0 0, right-stick 32767 0",
        "1100: left-stick 32767 0, right-stick 0 0",
    ]


def test_tap_of_a_layer_moves_a_stick_there_and_back() -> None:
    """Section 4, short, with 5: a layer that is on for `tap` has the stick for so long."""
    bench = Bench(
        board(
            "sail: {knee: {short: {layer: net}, long: start}, wand: left-stick}",
            "net: {wand: right-stick}",
        )
    )
    bench.move("wand", 1, 0, at=0)
    bench.tap("knee", at=100, length=50)

    assert frames(bench, 1000) == [
        "0: left-stick 32767 0",
        "150: left-stick 0 0, right-stick 32767 0",
        "210: left-stick 32767 0, right-stick 0 0",
    ]


def test_toggled_layers_keep_their_order_over_a_reload() -> None:
    """Section 8 and 5: what stays on stays in its place in the stack."""
    text = board(
        "sail: {knee: {layer: net, how: toggle}, elbow: {layer: chart, how: toggle}, cheek: south}",
        "net: {cheek: east}",
        "chart: {cheek: west}",
    )
    for first, second, out in (("knee", "elbow", "west"), ("elbow", "knee", "east")):
        bench = Bench(text)
        bench.tap(first, at=0, length=50)
        bench.tap(second, at=100, length=50)
        bench.swap(text, at=300)
        bench.tap("cheek", at=400, length=50)

        assert frames(bench, 1000) == [f"400: press {out}", f"450: release {out}"]


def test_whole_stick_to_nothing_hides_its_directions_below() -> None:
    """Section 5: `nothing` for the whole names the stick whole."""
    bench = Bench(board("sail: {knee: {layer: net}, wand.up: south}", "net: {wand: nothing}"))
    bench.press("knee", at=0)
    bench.move("wand", 0, -1, at=100)
    bench.move("wand", 0, 0, at=200)
    bench.release("knee", at=300)
    bench.move("wand", 0, -1, at=400)

    assert frames(bench, 1000) == ["400: press south"]


def test_whole_lever_with_an_action_keeps_its_press_over_a_layer_change() -> None:
    """Section 4 and 5: a lever pressed as a button is a press with a release of its own."""
    bench = Bench(board("sail: {knee: {layer: net}, pedal: south}", "net: {pedal: right-trigger}"))
    bench.move("pedal", 1, at=0)
    bench.press("knee", at=100)
    bench.move("pedal", 0, at=200)

    assert frames(bench, 1000) == [
        "0: press south",
        "100: right-trigger 255",
        "200: release south, right-trigger 0",
    ]


# ------------------------------------------------------------------ rest


def test_held_layer_needs_a_fresh_press_after_a_rest() -> None:
    """Section 12, 1: a held button acts only after a fresh press, so its layer is off."""
    bench = Bench(
        board(
            "sail: {knee: {rest: 1s}, elbow: {layer: net}, wand: left-stick}",
            "net: {wand: right-stick}",
        )
    )
    bench.press("elbow", at=0)
    bench.move("wand", 1, 0, at=50)
    bench.tap("knee", at=100, length=50)
    bench.press("knee", at=500)
    bench.until(1500)
    bench.release("knee", at=1600)
    bench.release("elbow", at=1700)
    bench.press("elbow", at=1800)

    assert frames(bench, 3000) == [
        "50: right-stick 32767 0",
        "100: right-stick 0 0",
        "1500: left-stick 32767 0",
        "1800: left-stick 0 0, right-stick 32767 0",
    ]


def test_rest_is_everyones_and_ended_only_by_its_own_control() -> None:
    """Section 4, rest: "the pad goes neutral"; "holding this control" ends it."""
    bench = Bench(board("sail: {mate: {rest: 1s}, knee: {rest: 1s}, cheek: south, crew: east}"))
    bench.tap("mate", at=0, length=50)
    bench.press("knee", at=100)
    bench.release("knee", at=3000)
    bench.tap("cheek", at=3100, length=50)
    bench.tap("crew", at=3200, length=50)
    bench.press("mate", at=4000)
    bench.until(5000)
    bench.release("mate", at=5100)
    bench.tap("cheek", at=5200, length=50)

    assert frames(bench, 9000) == ["5200: press south", "5250: release south"]


def test_rest_drops_what_was_pending() -> None:
    """Section 12, 1 and section 4: nothing that waited comes out during the rest or after it."""
    bench = Bench(
        board(
            "sail: {knee: {rest: 1s}, cheek: {short: south, long: east, after: 500ms}, "
            "elbow: {once: north, twice: west}, thumb: {on-release: start}, heel + chin: select, "
            "heel: mode}"
        )
    )
    bench.press("cheek", at=0)
    bench.tap("elbow", at=10, length=30)
    bench.press("thumb", at=50)
    bench.press("heel", at=60)
    bench.tap("knee", at=100, length=50)
    bench.release("cheek", at=200)
    bench.release("thumb", at=300)
    bench.press("knee", at=1000)
    bench.until(2000)
    bench.release("knee", at=2100)
    bench.release("heel", at=2200)

    assert frames(bench, 9000) == []


def test_rest_within_steps() -> None:
    """Section 4: a step may be a rest; the steps end with everything else."""
    bench = Bench(board("sail: {knee: {steps: [south, {rest: 1s}, east]}, cheek: north}"))
    bench.tap("knee", at=0, length=50)
    bench.tap("cheek", at=500, length=50)
    bench.until(1000)

    assert frames(bench) == ["0: press south", "60: release south"]


# ------------------------------------------------------------------ people


def test_lead_that_is_held_ends_with_its_device() -> None:
    """Section 8, unplug: everything that the device's controls hold ends."""
    bench = Bench(board("sail: {mate: {lead: helper}, knee: south}"))
    bench.press("mate", at=0)
    bench.press("knee", at=100)
    bench.unplug("aides", at=200)

    assert frames(bench, 1000) == ["200: press south"]


def test_tuning_that_is_held_ends_with_its_device() -> None:
    """Section 8, unplug: and the stick of another device has its own values again."""
    bench = Bench(
        board(
            "sail: {knee: {tuning: tired}, wand: left-stick}",
            top="tunings:\n  tired: {wand: {reach: 50%}}",
            wand="dead-zone: 0%",
        )
    )
    bench.press("knee", at=0)
    bench.move("wand", 0.25, 0, at=100)
    bench.unplug("switches", at=200)
    bench.move("wand", 0.5, 0, at=300)

    assert frames(bench, 1000) == ["100: left-stick 16384 0"]


def test_stick_and_button_of_one_person_are_opposites_on_the_dpad() -> None:
    """Section 6: joined first, left with right gives neither, whatever they come from."""
    bench = Bench(board("sail: {wand: dpad, knee: dpad-left}"))
    bench.press("knee", at=0)
    bench.move("wand", 1, 0, at=100)
    bench.release("knee", at=200)
    bench.move("wand", 0, 0, at=300)

    assert frames(bench, 1000) == [
        "0: press dpad-left",
        "100: release dpad-left",
        "200: press dpad-right",
        "300: release dpad-right",
    ]


def test_helpers_latch_yields_and_comes_back_under_player_first() -> None:
    """Section 6, player-first, with 4: a latch is the helper's part, and lasts."""
    bench = Bench(
        board("sail: {mate: {latch: south}, knee: south}", top="merge: {south: player-first}")
    )
    bench.tap("mate", at=1000, length=50)
    bench.tap("knee", at=2000, length=100)
    bench.tap("mate", at=4000, length=50)

    assert frames(bench, 9000) == [
        "1000: press south",
        "2100: release south",
        "2500: press south",
        "4000: release south",
    ]


def test_player_first_timer_and_release_at_one_time() -> None:
    """Section 6 and 7: the timer comes first, so the helper is seen, and then lets go."""
    bench = Bench(board("sail: {wand: left-stick, tiller: left-stick}"))
    bench.move("wand", 1, 0, at=1000)
    bench.move("wand", 0, 0, at=1100)
    bench.move("tiller", 0, -1, at=1200)
    bench.move("tiller", 0, 0, at=1500)

    assert frames(bench, 3000) == [
        "1000: left-stick 32767 0",
        "1100: left-stick 0 0",
        "1500: left-stick 0 -32767",
        "1500: left-stick 0 0",
    ]


def test_keep_counts_as_the_players_part() -> None:
    """Section 4, keep, with 6: a kept stick is not neutral, so the helper has to wait."""
    bench = Bench(board("sail: {knee: {keep: left-stick}, wand: left-stick, tiller: left-stick}"))
    bench.move("wand", 1, 0, at=1000)
    bench.tap("knee", at=1100, length=50)
    bench.move("wand", 0, 0, at=1200)
    bench.move("tiller", 0, -1, at=3000)
    bench.tap("knee", at=4000, length=50)

    assert frames(bench, 9000) == [
        "1000: left-stick 32767 0",
        "4000: left-stick 0 0",
        "4400: left-stick 0 -32767",
    ]


# ------------------------------------------------------------------ turbo, latch and the pad


def test_short_turbo_lasts_its_duty() -> None:
    """Section 4: A is pressed for `tap`, and a turbo press that has begun lasts its duty."""
    bench = Bench(board("sail: {knee: {short: {turbo: south}, long: start}}"))
    bench.tap("knee", at=0, length=50)

    assert frames(bench, 1000) == ["50: press south", "112.5: release south"]


def test_turbo_with_a_latch_of_the_same_target() -> None:
    """Section 6: while latched the turbo is not seen, and after it the turbo goes on."""
    bench = Bench(board("sail: {knee: {turbo: south, rate: 5/s}, cheek: {latch: south}}"))
    bench.press("knee", at=0)
    bench.tap("cheek", at=50, length=50)
    bench.tap("cheek", at=650, length=30)
    bench.release("knee", at=850)

    assert frames(bench, 2000) == [
        "0: press south",
        "700: release south",
        "800: press south",
        "900: release south",
    ]


def test_two_presses_during_a_run_out_are_one_more() -> None:
    """Section 12, 10: one press is given when the run-out is over, however many were made."""
    bench = Bench(board("sail: {knee: {turbo: left-stick.up, rate: 2/s}}", knee="debounce: 0ms"))
    bench.tap("knee", at=0, length=20)
    bench.tap("knee", at=50, length=20)
    bench.tap("knee", at=100, length=20)
    bench.until(3000)
    ups = [change for change in bench.changes if change.value == (0, -32767)]

    assert len(ups) in {1, 2}  # without shortest-press a stick need not show the gap
    assert bench.changes[-1].us == 500_000
    assert bench.neutral


def test_press_held_in_a_run_out_is_a_full_turbo_after_it() -> None:
    """Section 4: a turbo press during the run-out "starts when it is over"."""
    bench = Bench(board("sail: {knee: {turbo: south, rate: 2/s}}"))
    bench.tap("knee", at=0, length=20)
    bench.press("knee", at=100)
    bench.release("knee", at=800)

    assert frames(bench, 3000) == [
        "0: press south",
        "250: release south",
        "284: press south",
        "500: release south",
        "750: press south",
        "1000: release south",
    ]


def test_latch_and_reload_and_latch_again() -> None:
    """Section 8: an ended latch leaves nothing by which the next press could end it."""
    text = board("sail: {knee: {latch: south, at-most: 1s}}")
    bench = Bench(text)
    bench.tap("knee", at=0, length=50)
    bench.swap(text, at=500)
    bench.tap("knee", at=900, length=50)

    assert frames(bench, 5000) == [
        "0: press south",
        "500: release south",
        "900: press south",
        "1900: release south",
    ]


def test_frame_of_a_timer_shows_another_buttons_wait_that_is_over() -> None:
    """Section 12, 16: whatever made the frame."""
    bench = Bench(
        board(
            "sail: {knee: south, cheek: {pulse: east, length: 34ms}}",
            knee="debounce: 0ms",
            cheek="debounce: 0ms",
        )
    )
    bench.frame(("press", "cheek"), ("press", "knee"), at=0)
    bench.release("knee", at=10)

    assert frames(bench, 1000) == [
        "0: press south, press east",
        "34: release south, release east",
    ]


def test_dpad_crossing_in_its_wait_shows_the_last_wish() -> None:
    """Section 7 and 12, 8: left, right, and left again within the shortest press."""
    bench = Bench(
        board(
            "sail: {knee: dpad-left, cheek: dpad-right}",
            knee="debounce: 0ms",
            cheek="debounce: 0ms",
        )
    )
    bench.press("knee", at=0)
    bench.press("cheek", at=5)
    bench.release("cheek", at=10)
    bench.release("knee", at=100)

    assert frames(bench, 1000) == ["0: press dpad-left", "100: release dpad-left"]


# ------------------------------------------------------------------ scan


def test_scan_goes_on_when_its_pick_is_unplugged_and_its_own_device_ends_it() -> None:
    """Section 8, unplug: a scan ends with the device whose control began it."""
    bench = Bench(board("sail: {knee: {scan: [south, east], pick: pedal.high}}"))
    bench.tap("knee", at=0, length=50)
    bench.unplug("pedals", at=100)
    bench.plug("pedals", at=200)
    bench.tap("knee", at=300, length=50)
    bench.tap("pedal.high", at=500, length=100)

    assert frames(bench, 1000) == ["500: press east", "600: release east"]


def test_scan_item_that_is_held_ends_with_its_device() -> None:
    """Section 8, unplug: the chosen item is held by the choosing press."""
    bench = Bench(board("sail: {knee: {scan: [south, east]}}"))
    bench.tap("knee", at=0, length=50)
    bench.press("knee", at=500)
    bench.unplug("switches", at=700)

    assert frames(bench, 20_000) == ["500: press south", "700: release south"]


def test_scan_within_a_long_press() -> None:
    """Section 4: B may be a scan; the next press of that control then chooses."""
    bench = Bench(board("sail: {knee: {short: start, long: {scan: [south, east]}, after: 500ms}}"))
    bench.tap("knee", at=0, length=700)
    bench.tap("knee", at=1500, length=100)
    bench.tap("knee", at=2500, length=100)

    assert frames(bench, 9000) == [
        "1500: press south",
        "1600: release south",
        "2600: press start",
        "2660: release start",
    ]


# ------------------------------------------------------------------ keep, and controls of one code


def test_keep_ends_with_the_device_whose_button_moved_the_stick() -> None:
    """Section 4, keep: "the unplugging of a device that moved it", by a direction as a button."""
    bench = Bench(board("sail: {knee: {keep: left-stick}, pedal: left-stick.up, wand: left-stick}"))
    bench.press("pedal.high", at=0)
    bench.tap("knee", at=100, length=50)
    bench.release("pedal.high", at=200)
    bench.unplug("pedals", at=300)

    assert frames(bench, 1000) == ["0: left-stick 0 -32767", "300: left-stick 0 0"]


def test_keep_does_not_end_with_a_device_that_did_not_move_the_stick() -> None:
    """Section 4, keep: only a device that moved it, or that the keep came from."""
    bench = Bench(
        board(
            "sail: {knee: {keep: left-stick}, pedal: right-trigger, wand: left-stick, "
            "ball: left-stick}"
        )
    )
    bench.move("wand", 1, 0, at=0)
    bench.tap("knee", at=100, length=50)
    bench.unplug("pedals", at=200)
    bench.unplug("trackball", at=250)
    bench.move("wand", 0, 0, at=300)
    bench.tap("knee", at=400, length=50)

    assert frames(bench, 1000) == ["0: left-stick 32767 0", "400: left-stick 0 0"]


def test_keep_holds_what_a_push_that_ends_gave() -> None:
    """Section 4, keep: the part is frozen, whatever made it."""
    bench = Bench(
        board(
            "sail: {knee: {push: left-stick, toward: up, how: toggle}, cheek: {keep: left-stick}}"
        )
    )
    bench.tap("knee", at=0, length=50)
    bench.tap("cheek", at=100, length=50)
    bench.tap("knee", at=200, length=50)
    bench.tap("cheek", at=300, length=50)

    assert frames(bench, 1000) == ["0: left-stick 0 -32767", "300: left-stick 0 0"]


def test_two_controls_that_read_one_code_both_act() -> None:
    """Section 2 and 3: a control is a reading of a code, and two may read the same."""
    text = """
remapd: 1
title: One switch as two controls
devices:
  box:
    find: {name: "Box"}
    controls:
      quick: {button: BTN_0}
      slow: {button: BTN_0, acceptance-delay: 500ms}
layers:
  play: {quick: south, slow: east}
"""
    bench = Bench(text)
    bench.press("quick", at=0)
    bench.release("quick", at=1000)

    assert frames(bench, 2000) == [
        "0: press south",
        "500: press east",
        "1000: release south, release east",
    ]


def test_same_stick_with_another_gain_follows_at_once() -> None:
    """Section 5: the target's own stick stays the same, its value does not."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net}, wand: left-stick}",
            "net: {wand: {send: left-stick, gain: 50%}}",
        )
    )
    bench.move("wand", 1, 0, at=0)
    bench.press("knee", at=100)
    bench.release("knee", at=200)

    assert frames(bench, 1000) == [
        "0: left-stick 32767 0",
        "100: left-stick 16384 0",
        "200: left-stick 32767 0",
    ]


def test_direction_that_holds_a_layer_opens_it_for_the_next_in_the_same_frame() -> None:
    """Section 3 and 7: up is pressed before right, and right finds the layer that up put on."""
    bench = Bench(
        board("sail: {wand.up: {layer: net}, wand.right: south}", "net: {wand.right: east}")
    )
    bench.move("wand", 1, -1, at=0)
    bench.move("wand", 0, 0, at=100)

    assert frames(bench, 1000) == ["0: press east", "100: release east"]


def test_lead_that_ends_leaves_the_players_neutral_time_as_it_was() -> None:
    """Section 4, lead, with 6: neutral since 1200, so the helper counts from 1600 again."""
    bench = Bench(board("sail: {mate: {lead: helper}, wand: left-stick, tiller: left-stick}"))
    bench.move("wand", 1, 0, at=1000)
    bench.move("tiller", 0, -1, at=1050)
    bench.press("mate", at=1100)
    bench.move("wand", 0, 0, at=1200)
    bench.release("mate", at=1300)

    assert frames(bench, 3000) == [
        "1000: left-stick 32767 0",
        "1100: left-stick 0 -32767",
        "1300: left-stick 0 0",
        "1600: left-stick 0 -32767",
    ]


def test_unplugged_helper_leaves_nothing_in_a_sum() -> None:
    """Section 6 and 8: the helper's part goes with the device, and the player's stick goes on."""
    bench = Bench(
        board("sail: {wand: left-stick, tiller: left-stick}", top="merge: {left-stick: sum}")
    )
    bench.move("wand", 1, 0, at=0)
    bench.move("tiller", 0, -1, at=100)
    bench.unplug("aides", at=200)

    assert frames(bench, 1000) == [
        "0: left-stick 32767 0",
        "100: left-stick 23170 -23170",
        "200: left-stick 32767 0",
    ]
