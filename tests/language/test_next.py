"""The layout language, section 4, `next`, and section 12, 13: a layer for the next press."""

from __future__ import annotations

from tests.language.board import board, frames
from tests.support.bench import Bench

SAIL = "sail: {knee: {layer: net, how: next}, cheek: south, elbow: north}"
NET = "net: {cheek: east, elbow: west}"


def tap(bench: Bench, control: str, *times: float) -> None:
    """Presses a control for 50 ms at each of these times."""
    for at in times:
        bench.tap(control, at=at, length=50)


def pressed_by(bench: Bench, control: str, at: float) -> set[str]:
    """What a press of the control presses on the pad at that time; it is let go 40 ms later."""
    before = set(bench.pressed)
    bench.press(control, at=at)
    new = bench.pressed - before
    bench.release(control, at=at + 40)
    return new


def test_layer_is_used_up_by_the_next_press() -> None:
    """Section 4, next: on until "used up by the next press, ... of another control"."""
    bench = Bench(board(SAIL, NET))
    tap(bench, "knee", 0)
    bench.tap("cheek", at=500, length=100)
    bench.tap("cheek", at=1000, length=100)

    assert frames(bench, 2000) == [
        "500: press east",
        "600: release east",
        "1000: press south",
        "1100: release south",
    ]


def test_layer_goes_off_when_the_press_that_used_it_is_released() -> None:
    """Section 4, next: "it goes off when that is released": others meanwhile are in the layer."""
    bench = Bench(board(SAIL, NET))
    tap(bench, "knee", 0)
    bench.press("cheek", at=500)
    meanwhile = pressed_by(bench, "elbow", 600)
    bench.release("cheek", at=700)
    after = pressed_by(bench, "elbow", 800)

    assert (meanwhile, after) == ({"west"}, {"north"})


def test_press_that_was_held_already_uses_nothing() -> None:
    """Section 4, next: it is a press that uses the layer, not a release."""
    bench = Bench(board(SAIL, NET))
    bench.press("elbow", at=0)
    tap(bench, "knee", 100)
    bench.release("elbow", at=300)

    assert pressed_by(bench, "cheek", 400) == {"east"}
    assert pressed_by(bench, "cheek", 500) == {"south"}


def test_pressed_twice_running_it_stays_on() -> None:
    """Section 4, next: "Pressed twice running it stays on; a third press ends it"."""
    bench = Bench(board(SAIL, NET))
    tap(bench, "knee", 0, 200)
    locked = [pressed_by(bench, "cheek", at) for at in (300, 400, 30_000)]
    tap(bench, "knee", 31_000)
    off = pressed_by(bench, "cheek", 32_000)

    assert (locked, off) == ([{"east"}] * 3, {"south"})


def test_third_press_running_ends_it() -> None:
    """Section 4, next: with nothing pressed between."""
    bench = Bench(board(SAIL, NET))
    tap(bench, "knee", 0, 200, 400)

    assert pressed_by(bench, "cheek", 500) == {"south"}


def test_after_a_third_press_all_begins_again() -> None:
    """Section 4, next: a press after the layer has ended is a first one."""
    bench = Bench(board(SAIL, NET))
    tap(bench, "knee", 0, 200, 400, 600)
    once = pressed_by(bench, "cheek", 700)
    over = pressed_by(bench, "cheek", 800)

    assert (once, over) == ({"east"}, {"south"})


def test_used_up_between_two_presses_is_not_twice_running() -> None:
    """Section 4, next: the second press comes after the first was used."""
    bench = Bench(board(SAIL, NET))
    tap(bench, "knee", 0)
    first = pressed_by(bench, "cheek", 100)
    tap(bench, "knee", 200)
    second = pressed_by(bench, "cheek", 300)
    third = pressed_by(bench, "cheek", 400)

    assert (first, second, third) == ({"east"}, {"east"}, {"south"})


def test_held_down_it_is_a_plain_hold() -> None:
    """Section 4, next: "Held down while others are pressed, it is a plain hold"."""
    bench = Bench(board(SAIL, NET))
    bench.press("knee", at=0)
    held = [pressed_by(bench, "cheek", at) for at in (100, 200)]
    bench.release("knee", at=300)
    after = pressed_by(bench, "cheek", 400)

    assert (held, after) == ([{"east"}] * 2, {"south"})


def test_plain_hold_is_not_one_of_two_running() -> None:
    """Section 4, next: a press used as a hold is over at its release; the next is a first one."""
    bench = Bench(board(SAIL, NET))
    bench.press("knee", at=0)
    pressed_by(bench, "cheek", 100)
    bench.release("knee", at=200)
    tap(bench, "knee", 300)
    once = pressed_by(bench, "cheek", 400)
    over = pressed_by(bench, "cheek", 500)

    assert (once, over) == ({"east"}, {"south"})


def test_held_alone_it_waits_after_the_release() -> None:
    """Section 4, next: with nothing pressed while it was held it is on for the next press."""
    bench = Bench(board(SAIL, NET))
    bench.tap("knee", at=0, length=3000)
    once = pressed_by(bench, "cheek", 4000)
    over = pressed_by(bench, "cheek", 5000)

    assert (once, over) == ({"east"}, {"south"})


def test_a_press_held_over_the_hold_keeps_what_it_got() -> None:
    """Section 5: its release belongs to its press when the plain hold ends before it."""
    bench = Bench(board(SAIL, NET))
    bench.press("knee", at=0)
    bench.press("cheek", at=100)
    bench.release("knee", at=200)
    bench.release("cheek", at=300)
    after = pressed_by(bench, "cheek", 400)

    assert frames(bench, 1000)[:2] == ["100: press east", "300: release east"]
    assert after == {"south"}


def test_layers_cycles_and_nothing_do_not_use_it_up() -> None:
    """Section 4, next: "another control whose action is not a layer, a cycle or `nothing`"."""
    for action in (
        "{layer: chart}",
        "{layer: chart, how: toggle}",
        "{layer: chart, how: next}",
        "{cycle: [sail, chart]}",
        "nothing",
    ):
        bench = Bench(
            board(
                f"sail: {{knee: {{layer: net, how: next}}, cheek: south, heel: {action}}}",
                "net: {cheek: east}",
                "chart: {thumb: north}",
            )
        )
        tap(bench, "knee", 0)
        tap(bench, "heel", 200)
        once = pressed_by(bench, "cheek", 300)
        over = pressed_by(bench, "cheek", 400)

        assert (action, once, over) == (action, {"east"}, {"south"})


def test_every_other_action_uses_it_up() -> None:
    """Section 4, next: any press whose action is none of those, whatever it does."""
    for action in (
        "north",
        "{latch: north}",
        "{pulse: north}",
        "{turbo: north}",
        "{short: north, long: west}",
        "{say: Wait}",
        "{push: left-stick, toward: up}",
    ):
        bench = Bench(
            board(
                f"sail: {{knee: {{layer: net, how: next}}, cheek: south, heel: {action}}}",
                "net: {cheek: east}",
            )
        )
        tap(bench, "knee", 0)
        tap(bench, "heel", 200)

        assert (action, pressed_by(bench, "cheek", 3000)) == (action, {"south"})


def test_unbound_press_does_not_use_it_up() -> None:
    """Section 4, next: a control without an action presses nothing."""
    bench = Bench(board(SAIL, NET))
    tap(bench, "knee", 0)
    tap(bench, "heel", 200)

    assert pressed_by(bench, "cheek", 300) == {"east"}


def test_another_persons_press_does_not_use_it_up() -> None:
    """Section 4, next: "by the same person"."""
    bench = Bench(board("sail: {knee: {layer: net, how: next}, cheek: south, mate: north}", NET))
    tap(bench, "knee", 0)
    tap(bench, "mate", 200)
    once = pressed_by(bench, "cheek", 300)
    over = pressed_by(bench, "cheek", 400)

    assert (once, over) == ({"east"}, {"south"})


def test_whole_stick_that_leaves_neutral_uses_it_up() -> None:
    """Section 4, next: "or by a whole stick of theirs that leaves neutral"; off at neutral."""
    bench = Bench(
        board("sail: {knee: {layer: net, how: next}, wand: left-stick}", "net: {wand: right-stick}")
    )
    tap(bench, "knee", 0)
    bench.move("wand", 1, 0, at=200)
    bench.move("wand", 0, 1, at=300)
    bench.move("wand", 0, 0, at=400)
    bench.move("wand", 1, 0, at=500)

    assert frames(bench, 1000) == [
        "200: right-stick 32767 0",
        "300: right-stick 0 32767",
        "400: right-stick 0 0",
        "500: left-stick 32767 0",
    ]


def test_stick_that_is_out_already_does_not_use_it_up() -> None:
    """Section 4, next: it has to leave neutral; sticks follow the layer at once meanwhile."""
    bench = Bench(
        board("sail: {knee: {layer: net, how: next}, wand: left-stick}", "net: {wand: right-stick}")
    )
    bench.move("wand", 1, 0, at=0)
    tap(bench, "knee", 100)
    bench.move("wand", 0, 0, at=300)
    bench.move("wand", 0, 1, at=400)
    bench.move("wand", 0, 0, at=500)
    bench.move("wand", 0, 1, at=600)

    assert frames(bench, 1000) == [
        "0: left-stick 32767 0",
        "100: left-stick 0 0, right-stick 32767 0",
        "300: right-stick 0 0",
        "400: right-stick 0 32767",
        "500: right-stick 0 0",
        "600: left-stick 0 32767",
    ]


def test_stick_bound_by_direction_uses_it_up_as_a_button() -> None:
    """Section 4, next: a direction's press is a press of another control."""
    bench = Bench(
        board("sail: {knee: {layer: net, how: next}, wand.up: south}", "net: {wand.up: east}")
    )
    tap(bench, "knee", 0)
    for at in (200, 400):
        bench.move("wand", 0, -1, at=at)
        bench.move("wand", 0, 0, at=at + 100)

    assert frames(bench, 1000) == [
        "200: press east",
        "300: release east",
        "400: press south",
        "500: release south",
    ]


def test_give_up_ends_a_wait() -> None:
    """Section 4, next: "`give-up` (20s) ends a wait"."""
    bench = Bench(board(SAIL, NET))
    tap(bench, "knee", 0)
    bench.tap("cheek", at=20_100, length=50)

    assert frames(bench, 30_000) == ["20100: press south", "20150: release south"]


def test_press_before_give_up_still_uses_it() -> None:
    """Section 4, next: the wait is 20 s long."""
    bench = Bench(board(SAIL, NET))
    tap(bench, "knee", 0)

    assert pressed_by(bench, "cheek", 19_900) == {"east"}


def test_own_give_up() -> None:
    """Section 4, next: give-up is a setting."""
    bench = Bench(board("sail: {knee: {layer: net, how: next, give-up: 2s}, cheek: south}", NET))
    tap(bench, "knee", 0)
    late = pressed_by(bench, "cheek", 2100)
    tap(bench, "knee", 3000)
    early = pressed_by(bench, "cheek", 4900)

    assert (late, early) == ({"south"}, {"east"})


def test_give_up_does_not_end_a_press_that_uses_it() -> None:
    """Section 4, next: give-up ends a wait, and a layer in use is not waiting."""
    bench = Bench(
        board("sail: {knee: {layer: net, how: next, give-up: 2s}, cheek: south, elbow: north}", NET)
    )
    tap(bench, "knee", 0)
    bench.press("cheek", at=1900)
    meanwhile = pressed_by(bench, "elbow", 2500)
    bench.release("cheek", at=3000)
    after = pressed_by(bench, "elbow", 3100)

    assert (meanwhile, after) == ({"west"}, {"north"})


def test_give_up_does_not_end_one_that_stays_on() -> None:
    """Section 4, next: pressed twice running it does not wait."""
    bench = Bench(board("sail: {knee: {layer: net, how: next, give-up: 2s}, cheek: south}", NET))
    tap(bench, "knee", 0, 200)

    assert pressed_by(bench, "cheek", 10_000) == {"east"}


def test_given_up_while_held_goes_off_at_the_release() -> None:
    """Section 12, 13: "one whose control is held goes off at the release"."""
    bench = Bench(board("sail: {knee: {layer: net, how: next, give-up: 2s}, cheek: south}", NET))
    bench.press("knee", at=0)
    held = pressed_by(bench, "cheek", 3000)
    bench.release("knee", at=4000)
    after = pressed_by(bench, "cheek", 4100)
    bench.tap("knee", at=5000, length=3000)
    alone = pressed_by(bench, "cheek", 8100)

    assert (held, after, alone) == ({"east"}, {"south"}, {"south"})


def test_twice_running_by_two_controls() -> None:
    """Section 12, 13: "counted for each layer and person, by whichever control"."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next}, heel: {layer: net, how: next}, cheek: south}",
            NET,
        )
    )
    tap(bench, "knee", 0)
    tap(bench, "heel", 200)
    stays = [pressed_by(bench, "cheek", at) for at in (300, 400)]
    tap(bench, "heel", 500)
    off = pressed_by(bench, "cheek", 600)

    assert (stays, off) == ([{"east"}] * 2, {"south"})


def test_twice_running_is_not_counted_across_people() -> None:
    """Section 12, 13: for each person by themselves."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next}, mate: {layer: net, how: next}, cheek: south, "
            "crew: south}",
            "net: {cheek: east, crew: west}",
        )
    )
    tap(bench, "knee", 0)
    tap(bench, "mate", 200)
    player = pressed_by(bench, "cheek", 300)  # the helper's wait has it on still
    helper = pressed_by(bench, "crew", 400)
    over = pressed_by(bench, "cheek", 500)

    assert (player, helper, over) == ({"east"}, {"west"}, {"south"})


def test_twice_running_is_counted_for_each_layer() -> None:
    """Section 12, 13: two layers that wait are both used by one press."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next}, heel: {layer: chart, how: next}, cheek: south, "
            "elbow: north}",
            NET,
            "chart: {elbow: select}",
        )
    )
    tap(bench, "knee", 0)
    tap(bench, "heel", 200)
    both = pressed_by(bench, "cheek", 300)
    after = (pressed_by(bench, "cheek", 400), pressed_by(bench, "elbow", 500))

    assert (both, after) == ({"east"}, ({"south"}, {"north"}))


def test_next_on_a_layer_that_is_toggled_on_leaves_the_toggle() -> None:
    """Section 5: active while any of them has it on; using up ends only the `next`."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next}, heel: {layer: net, how: toggle}, cheek: south}",
            NET,
        )
    )
    tap(bench, "heel", 0)
    tap(bench, "knee", 100)
    first = pressed_by(bench, "cheek", 200)
    second = pressed_by(bench, "cheek", 300)
    tap(bench, "heel", 400)
    off = pressed_by(bench, "cheek", 500)

    assert (first, second, off) == ({"east"}, {"east"}, {"south"})


def test_chord_of_the_next_layer_uses_it_up() -> None:
    """Section 4, next and chords: the chord's press is the next press, and it ends with it."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next}, cheek: south, elbow: north}",
            "net: {cheek + elbow: west}",
        )
    )
    tap(bench, "knee", 0)
    bench.press("cheek", at=500)
    bench.press("elbow", at=560)
    bench.release("cheek", at=700)
    bench.release("elbow", at=720)
    bench.tap("cheek", at=1000, length=100)

    assert frames(bench, 2000) == [
        "560: press west",
        "700: release west",
        "1000: press south",
        "1100: release south",
    ]


def test_member_of_a_chord_alone_uses_the_next_layer_when_its_press_is_taken() -> None:
    """Section 4, chords: the press that waited has the action of the layers when it was pressed."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next}, cheek: south, elbow: north}",
            "net: {cheek: east, cheek + elbow: west}",
        )
    )
    tap(bench, "knee", 0)
    bench.press("cheek", at=500)
    bench.release("cheek", at=900)
    bench.tap("cheek", at=1000, length=100)

    assert frames(bench, 2000) == [
        "700: press east",
        "900: release east",
        "1000: press south",
        "1100: release south",
    ]


def test_latch_pressed_in_the_next_layer_outlives_it() -> None:
    """Section 5: a latch may stay pressed when the layer that gave it has gone."""
    bench = Bench(
        board("sail: {knee: {layer: net, how: next}, cheek: south}", "net: {cheek: {latch: east}}")
    )
    tap(bench, "knee", 0)
    bench.tap("cheek", at=200, length=50)
    bench.tap("cheek", at=400, length=50)
    tap(bench, "knee", 600)
    bench.tap("cheek", at=800, length=50)

    assert frames(bench, 2000) == [
        "200: press east",
        "400: press south",
        "450: release south",
        "800: release east",
    ]


def test_unplugged_while_held_it_counts_no_press_that_is_still_down() -> None:
    """Section 8, unplug: its hold ends with the device, and the next press is a first one."""
    bench = Bench(board("sail: {pedal: {layer: net, how: next}, cheek: south}", NET))
    bench.press("pedal.high", at=0)
    bench.unplug("pedals", at=100)
    bench.plug("pedals", at=200)
    tap(bench, "pedal.high", 300)
    once = pressed_by(bench, "cheek", 400)
    over = pressed_by(bench, "cheek", 500)

    assert (once, over) == ({"east"}, {"south"})


def test_third_press_after_an_unplug_still_ends_one_that_stays_on() -> None:
    """Section 12, 14: a `next` that stays on stays, and is ended as before."""
    bench = Bench(board("sail: {pedal: {layer: net, how: next}, cheek: south}", NET))
    tap(bench, "pedal.high", 0)
    bench.press("pedal.high", at=100)
    bench.unplug("pedals", at=200)
    bench.plug("pedals", at=300)
    stays = [pressed_by(bench, "cheek", at) for at in (400, 500)]
    tap(bench, "pedal.high", 600)
    off = pressed_by(bench, "cheek", 700)

    assert (stays, off) == ([{"east"}, {"east"}], {"south"})


def test_held_into_a_rest_it_is_let_go_by_it() -> None:
    """Section 12, 1: after the rest a fresh press is a first one, for one press."""
    bench = Bench(
        board("sail: {knee: {layer: net, how: next}, heel: {rest: 1s}, cheek: south}", NET)
    )
    bench.press("knee", at=0)
    tap(bench, "heel", 100)
    bench.release("knee", at=300)
    bench.press("heel", at=500)
    bench.until(1500)
    bench.release("heel", at=1600)
    tap(bench, "knee", 2000)
    once = pressed_by(bench, "cheek", 2100)
    over = pressed_by(bench, "cheek", 2200)

    assert (once, over) == ({"east"}, {"south"})


def test_held_through_release_everything_it_is_over() -> None:
    """Section 4, release: the `next` layer goes off; the next press begins anew."""
    bench = Bench(board(SAIL, NET))
    bench.press("knee", at=0)
    bench.release_everything(at=100)
    off = pressed_by(bench, "cheek", 200)
    bench.release("knee", at=300)
    still_off = pressed_by(bench, "cheek", 400)
    tap(bench, "knee", 500)
    once = pressed_by(bench, "cheek", 600)
    over = pressed_by(bench, "cheek", 700)

    assert (off, still_off, once, over) == ({"south"}, {"south"}, {"east"}, {"south"})


def test_member_that_waits_uses_the_layer_before_a_press_that_follows() -> None:
    """Section 4, next and chords: the waiting member's press came first, so it is the next press.

    The layer stays on until that member is released; a later press in it is still in the layer.
    """
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next}, cheek: south, heel: start}",
            "net: {cheek: east, cheek + elbow: west, heel: select}",
        )
    )
    tap(bench, "knee", 0)
    bench.press("cheek", at=500)
    between = pressed_by(bench, "heel", 550)
    bench.release("cheek", at=900)
    after = pressed_by(bench, "heel", 1000)

    assert (between, after) == ({"select"}, {"start"})
