"""The layout language, sections 4 and 5: layers held, toggled, cycled; stacks; releases; sticks.

`next` has a file of its own.
"""

from __future__ import annotations

import pytest

from tests.language.board import board, frames
from tests.support.bench import Bench

NET = "net: {cheek: east}"


def taps(bench: Bench, control: str, *times: float, length: float = 50) -> None:
    """Presses a control for 50 ms at each of these times."""
    for at in times:
        bench.tap(control, at=at, length=length)


def pressed_by(bench: Bench, control: str, at: float) -> set[str]:
    """What a press of the control presses on the pad at that time; it is let go 40 ms later."""
    before = set(bench.pressed)
    bench.press(control, at=at)
    new = bench.pressed - before
    bench.release(control, at=at + 40)
    return new


# ------------------------------------------------------------------ hold


def test_held_layer_is_active_while_held() -> None:
    """Section 4, {layer: net}: active on press, "inactive" on release."""
    bench = Bench(board("sail: {knee: {layer: net}, cheek: south}", NET))
    bench.press("knee", at=0)
    bench.tap("cheek", at=100, length=100)
    bench.release("knee", at=300)
    bench.tap("cheek", at=400, length=100)

    assert frames(bench, 1000) == [
        "100: press east",
        "200: release east",
        "400: press south",
        "500: release south",
    ]


def test_release_after_the_layer_went_on_belongs_to_its_press() -> None:
    """Section 5: "The action that got a press gets its release, whatever layers changed"."""
    bench = Bench(board("sail: {knee: {layer: net}, cheek: south}", NET))
    bench.press("cheek", at=0)
    bench.press("knee", at=100)
    bench.release("cheek", at=200)
    bench.release("knee", at=300)

    assert frames(bench, 1000) == ["0: press south", "200: release south"]


def test_release_after_the_layer_went_off_belongs_to_its_press() -> None:
    """Section 5: the same the other way round."""
    bench = Bench(board("sail: {knee: {layer: net}, cheek: south}", NET))
    bench.press("knee", at=0)
    bench.press("cheek", at=100)
    bench.release("knee", at=200)
    bench.release("cheek", at=300)

    assert frames(bench, 1000) == ["100: press east", "300: release east"]


def test_held_layers_control_released_under_a_layer_that_binds_it_otherwise() -> None:
    """Section 5: the hold ends with its own release, though the new layer names the control."""
    bench = Bench(
        board("sail: {knee: {layer: net}, cheek: south}", "net: {knee: west, cheek: east}")
    )
    bench.press("knee", at=0)
    bench.release("knee", at=100)
    bench.tap("cheek", at=200, length=100)

    assert frames(bench, 1000) == ["200: press south", "300: release south"]


def test_two_holds_of_one_layer() -> None:
    """Section 5: "active while any hold, toggle, cycle or `next` has it on"."""
    bench = Bench(board("sail: {knee: {layer: net}, elbow: {layer: net}, cheek: south}", NET))
    bench.press("knee", at=0)
    bench.press("elbow", at=50)
    bench.release("knee", at=100)
    still = pressed_by(bench, "cheek", 200)
    bench.release("elbow", at=300)
    over = pressed_by(bench, "cheek", 400)

    assert (still, over) == ({"east"}, {"south"})


# ------------------------------------------------------------------ toggle


def test_toggled_layer_stays_until_the_next_press() -> None:
    """Section 4, toggle: "active, or inactive if it was toggled on"; nothing on release."""
    bench = Bench(board("sail: {knee: {layer: net, how: toggle}, cheek: south}", NET))
    taps(bench, "knee", 0)
    first = pressed_by(bench, "cheek", 100)
    taps(bench, "knee", 200)
    second = pressed_by(bench, "cheek", 300)
    taps(bench, "knee", 400)
    third = pressed_by(bench, "cheek", 500)

    assert (first, second, third) == ({"east"}, {"south"}, {"east"})


def test_toggle_by_two_people_is_one_toggle() -> None:
    """Section 4, toggle: a layer that anybody toggled on is toggled off by anybody."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: toggle}, mate: {layer: net, how: toggle}, "
            "cheek: south}",
            NET,
        )
    )
    taps(bench, "knee", 0)
    taps(bench, "mate", 100)
    off = pressed_by(bench, "cheek", 200)
    taps(bench, "mate", 300)
    on = pressed_by(bench, "cheek", 400)
    taps(bench, "knee", 500)
    off_again = pressed_by(bench, "cheek", 600)

    assert (off, on, off_again) == ({"south"}, {"east"}, {"south"})


def test_toggle_of_a_layer_that_is_held_outlasts_the_hold() -> None:
    """Section 4, toggle: it was held, not toggled on, so a press toggles it on."""
    bench = Bench(
        board("sail: {knee: {layer: net}, elbow: {layer: net, how: toggle}, cheek: south}", NET)
    )
    bench.press("knee", at=0)
    taps(bench, "elbow", 100)
    bench.release("knee", at=200)
    toggled = pressed_by(bench, "cheek", 300)
    taps(bench, "elbow", 400)
    off = pressed_by(bench, "cheek", 500)

    assert (toggled, off) == ({"east"}, {"south"})


def test_toggle_off_under_a_hold_keeps_the_layer() -> None:
    """Section 5: active while any hold has it on."""
    bench = Bench(
        board("sail: {knee: {layer: net}, elbow: {layer: net, how: toggle}, cheek: south}", NET)
    )
    taps(bench, "elbow", 0)
    bench.press("knee", at=100)
    taps(bench, "elbow", 200)
    held = pressed_by(bench, "cheek", 300)
    bench.release("knee", at=400)
    off = pressed_by(bench, "cheek", 500)

    assert (held, off) == ({"east"}, {"south"})


def test_layer_toggled_within_itself() -> None:
    """Section 5: the toggle passes through the layer that it put on, and takes it off."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: toggle}}",
            "net: {knee: {layer: net, how: toggle}, cheek: east}",
        )
    )
    taps(bench, "knee", 0)
    on = pressed_by(bench, "cheek", 100)
    taps(bench, "knee", 200)
    off = pressed_by(bench, "cheek", 300)

    assert (on, off) == ({"east"}, set())


# ------------------------------------------------------------------ the stack


STACK = (
    "sail: {knee: {layer: net, how: toggle}, elbow: {layer: chart, how: toggle}, "
    "thumb: {layer: net}, cheek: south}"
)


@pytest.mark.parametrize(
    ("order", "found"), [(("knee", "elbow"), "west"), (("elbow", "knee"), "east")]
)
def test_newest_layer_is_on_top(order: tuple[str, str], found: str) -> None:
    """Section 5: layers stack "in the order in which they became active, newest on top"."""
    bench = Bench(board(STACK, NET, "chart: {cheek: west}"))
    for at, control in enumerate(order):
        taps(bench, control, 100 * at)

    assert pressed_by(bench, "cheek", 300) == {found}


def test_order_in_the_file_does_not_matter() -> None:
    """Section 5: the order of becoming active alone counts."""
    bench = Bench(board(STACK, "chart: {cheek: west}", NET))
    taps(bench, "knee", 0)
    taps(bench, "elbow", 100)

    assert pressed_by(bench, "cheek", 300) == {"west"}


def test_layer_that_stays_active_keeps_its_place() -> None:
    """Section 5: "and keeps its place meanwhile": a second cause does not lift it."""
    bench = Bench(board(STACK, NET, "chart: {cheek: west}"))
    taps(bench, "knee", 0)
    taps(bench, "elbow", 100)
    bench.press("thumb", at=200)  # net once more, by a hold
    under = pressed_by(bench, "cheek", 300)
    taps(bench, "knee", 400)  # net off by toggle, still held
    still_under = pressed_by(bench, "cheek", 500)

    assert (under, still_under) == ({"west"}, {"west"})


def test_layer_that_goes_and_comes_back_is_on_top() -> None:
    """Section 5: it became active anew."""
    bench = Bench(board(STACK, NET, "chart: {cheek: west}"))
    taps(bench, "knee", 0)
    taps(bench, "elbow", 100)
    taps(bench, "knee", 200)
    taps(bench, "knee", 300)

    assert pressed_by(bench, "cheek", 400) == {"east"}


def test_layer_that_does_not_name_a_control_is_passed_through() -> None:
    """Section 5: "a layer that does not name the control is passed through"."""
    bench = Bench(board(STACK, NET, "chart: {heel: west}"))
    taps(bench, "knee", 0)
    taps(bench, "elbow", 100)

    assert pressed_by(bench, "cheek", 200) == {"east"}
    assert pressed_by(bench, "heel", 300) == {"west"}


def test_nothing_blocks_the_layers_below() -> None:
    """Section 4, nothing: "blocks the control in this layer", passing nothing through."""
    bench = Bench(
        board("sail: {knee: {layer: net, how: toggle}, cheek: south}", "net: {cheek: nothing}")
    )
    taps(bench, "knee", 0)
    blocked = pressed_by(bench, "cheek", 100)
    taps(bench, "knee", 200)
    free = pressed_by(bench, "cheek", 300)

    assert (blocked, free) == (set(), {"south"})


def test_layer_held_from_a_held_layer_stays_while_it_is_held() -> None:
    """Section 5: the inner hold belongs to its own press."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net}, cheek: south}",
            "net: {elbow: {layer: chart}}",
            "chart: {cheek: west}",
        )
    )
    bench.press("knee", at=0)
    bench.press("elbow", at=100)
    bench.release("knee", at=200)
    inner = pressed_by(bench, "cheek", 300)
    bench.release("elbow", at=400)
    outer = pressed_by(bench, "cheek", 500)

    assert (inner, outer) == ({"west"}, {"south"})


# ------------------------------------------------------------------ cycle


CYCLE = "sail: {knee: {cycle: [sail, net, chart]}, cheek: south}"


def test_cycle_goes_round() -> None:
    """Section 4, cycle: "the next of these layers is on in place of the one before"."""
    bench = Bench(board(CYCLE, NET, "chart: {cheek: west}"))
    found = [pressed_by(bench, "cheek", 0)]
    for at in (100, 300, 500, 700):
        taps(bench, "knee", at)
        found.append(pressed_by(bench, "cheek", at + 100))

    assert found == [{"south"}, {"east"}, {"west"}, {"south"}, {"east"}]


def test_cycle_is_in_place_of_the_one_before() -> None:
    """Section 4, cycle: the layer before goes off: what only it named is passed through."""
    bench = Bench(board(CYCLE, "net: {cheek: east, heel: north}", "chart: {cheek: west}"))
    taps(bench, "knee", 0, 100)

    assert pressed_by(bench, "heel", 200) == set()


def test_cycle_goes_back_after_its_time() -> None:
    """Section 4, cycle: "`back-after: T` returns to the first"."""
    bench = Bench(
        board(
            "sail: {knee: {cycle: [sail, net, chart], back-after: 1s}, cheek: south}",
            NET,
            "chart: {cheek: west}",
        )
    )
    taps(bench, "knee", 0)
    before = pressed_by(bench, "cheek", 900)
    after = pressed_by(bench, "cheek", 1000)
    taps(bench, "knee", 2000)
    again = pressed_by(bench, "cheek", 2100)

    assert (before, after, again) == ({"east"}, {"south"}, {"east"})


def test_each_cycle_press_begins_the_time_to_go_back() -> None:
    """Section 4, cycle: back-after is a time without a press of it."""
    bench = Bench(
        board(
            "sail: {knee: {cycle: [sail, net, chart], back-after: 1s}, cheek: south}",
            NET,
            "chart: {cheek: west}",
        )
    )
    taps(bench, "knee", 0, 600)
    later = pressed_by(bench, "cheek", 1500)
    back = pressed_by(bench, "cheek", 1600)

    assert (later, back) == ({"west"}, {"south"})


def test_layer_that_is_cycled_and_held_is_on_until_both_are_over() -> None:
    """Section 5: active while any hold, toggle, cycle or next has it on."""
    bench = Bench(
        board(
            "sail: {knee: {cycle: [sail, net]}, elbow: {layer: net}, cheek: south}",
            NET,
        )
    )
    taps(bench, "knee", 0)
    bench.press("elbow", at=100)
    taps(bench, "knee", 200)
    held = pressed_by(bench, "cheek", 300)
    bench.release("elbow", at=400)
    off = pressed_by(bench, "cheek", 500)

    assert (held, off) == ({"east"}, {"south"})


# ------------------------------------------------------------------ sticks follow at once


def test_held_stick_takes_its_new_target_in_the_same_frame() -> None:
    """Section 5: "the old target is centred and the new one takes the present deflection"."""
    bench = Bench(board("sail: {knee: {layer: net}, wand: left-stick}", "net: {wand: right-stick}"))
    bench.move("wand", 0, -1, at=0)
    bench.press("knee", at=100)
    bench.release("knee", at=200)

    assert frames(bench, 1000) == [
        "0: left-stick 0 -32767",
        "100: left-stick 0 0, right-stick 0 -32767",
        "200: left-stick 0 -32767, right-stick 0 0",
    ]


def test_held_stick_goes_on_to_the_dpad() -> None:
    """Section 5 and 7: in one frame, presses before axes."""
    bench = Bench(board("sail: {knee: {layer: net}, wand: left-stick}", "net: {wand: dpad}"))
    bench.move("wand", 1, 0, at=0)
    bench.press("knee", at=100)
    bench.release("knee", at=200)

    assert frames(bench, 1000) == [
        "0: left-stick 32767 0",
        "100: press dpad-right, left-stick 0 0",
        "200: release dpad-right, left-stick 32767 0",
    ]


def test_held_stick_that_is_blocked_is_centred() -> None:
    """Section 5: no layer change leaves a pad control pressed or deflected."""
    bench = Bench(board("sail: {knee: {layer: net}, wand: left-stick}", "net: {wand: nothing}"))
    bench.move("wand", 1, 0, at=0)
    bench.press("knee", at=100)
    bench.release("knee", at=200)

    assert frames(bench, 1000) == [
        "0: left-stick 32767 0",
        "100: left-stick 0 0",
        "200: left-stick 32767 0",
    ]


def test_change_centred_waits_for_neutral() -> None:
    """Section 5: "With `change: centred` the new target stays centred until neutral"."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: toggle}, wand: left-stick}",
            "net: {wand: {send: right-stick, change: centred}}",
        )
    )
    bench.move("wand", 1, 0, at=0)
    taps(bench, "knee", 100)
    bench.move("wand", 0, 1, at=200)
    bench.move("wand", 0, 0.05, at=300)
    bench.move("wand", 0, 1, at=400)

    assert frames(bench, 1000) == [
        "0: left-stick 32767 0",
        "100: left-stick 0 0",
        "400: right-stick 0 32767",
    ]


def test_change_centred_does_not_hold_a_stick_at_rest() -> None:
    """Section 5: a stick that is neutral at the change is free at once."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: toggle}, wand: left-stick}",
            "net: {wand: {send: right-stick, change: centred}}",
        )
    )
    taps(bench, "knee", 100)
    bench.move("wand", 0, 1, at=200)

    assert frames(bench, 1000) == ["200: right-stick 0 32767"]


def test_layer_change_that_leaves_the_target_changes_nothing() -> None:
    """Section 5: only a new target is a change."""
    bench = Bench(
        board("sail: {knee: {layer: net}, wand: left-stick, cheek: south}", "net: {cheek: east}")
    )
    bench.move("wand", 1, 0, at=0)
    bench.press("knee", at=100)
    bench.release("knee", at=200)

    assert frames(bench, 1000) == ["0: left-stick 32767 0"]


def test_two_layers_change_in_one_frame_without_a_glitch() -> None:
    """Section 7: the whole frame is applied, "then sticks are resolved"."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net}, elbow: {layer: chart}, wand: left-stick}",
            "net: {wand: right-stick}",
            "chart: {wand: dpad}",
        )
    )
    bench.move("wand", 1, 0, at=0)
    bench.press("knee", at=100)
    bench.frame(("release", "knee"), ("press", "elbow"), at=200)

    assert frames(bench, 1000) == [
        "0: left-stick 32767 0",
        "100: left-stick 0 0, right-stick 32767 0",
        "200: press dpad-right, right-stick 0 0",
    ]


def test_lever_follows_a_layer_change_at_once() -> None:
    """Section 5: a lever bound whole takes its new trigger as a stick does."""
    bench = Bench(
        board("sail: {knee: {layer: net}, pedal: left-trigger}", "net: {pedal: right-trigger}")
    )
    bench.move("pedal", 1, at=0)
    bench.press("knee", at=100)
    bench.release("knee", at=200)

    assert frames(bench, 1000) == [
        "0: left-trigger 255",
        "100: left-trigger 0, right-trigger 255",
        "200: left-trigger 255, right-trigger 0",
    ]


def test_pointer_follows_a_layer_change_at_once() -> None:
    """Section 5: a pointer is a stick; the counts still in its window go to the new target."""
    bench = Bench(board("sail: {knee: {layer: net}, ball: left-stick}", "net: {ball: right-stick}"))
    bench.count("ball", 48, 0, at=0)
    bench.press("knee", at=30)

    assert frames(bench, 1000) == [
        "0: left-stick 32767 0",
        "30: left-stick 0 0, right-stick 32767 0",
        "60: right-stick 0 0",
    ]


# ------------------------------------------------------------------ whole and directions


def test_whole_stick_above_hides_the_directions_below() -> None:
    """Section 5: "A layer that names a stick whole hides its directions in lower layers"."""
    bench = Bench(board("sail: {knee: {layer: net}, wand.up: south}", "net: {wand: right-stick}"))
    bench.press("knee", at=0)
    bench.move("wand", 0, -1, at=100)
    bench.move("wand", 0, 0, at=200)

    assert frames(bench, 1000) == ["100: right-stick 0 -32767", "200: right-stick 0 0"]


def test_direction_above_hides_the_whole_below() -> None:
    """Section 5: "and one that names a direction hides the whole"."""
    bench = Bench(board("sail: {knee: {layer: net}, wand: left-stick}", "net: {wand.up: south}"))
    bench.press("knee", at=0)
    bench.move("wand", 1, 0, at=100)
    bench.move("wand", 0, -1, at=200)
    bench.move("wand", 0, 0, at=300)

    assert frames(bench, 1000) == ["200: press south", "300: release south"]


def test_directions_that_a_layer_does_not_name_pass_through() -> None:
    """Section 5: "directions that it does not name pass through"."""
    bench = Bench(
        board("sail: {knee: {layer: net}, wand.up: south, wand.down: west}", "net: {wand.up: east}")
    )
    bench.press("knee", at=0)
    bench.move("wand", 0, -1, at=100)
    bench.move("wand", 0, 1, at=200)

    assert frames(bench, 1000) == ["100: press east", "200: release east, press west"]


def test_deflected_stick_whose_whole_is_hidden_is_centred() -> None:
    """Section 5: the whole loses its target; a direction presses only with a press of its own."""
    bench = Bench(board("sail: {knee: {layer: net}, wand: left-stick}", "net: {wand.up: south}"))
    bench.move("wand", 0, -1, at=0)
    bench.press("knee", at=100)
    bench.move("wand", 0, 0, at=200)
    bench.move("wand", 0, -1, at=300)

    assert frames(bench, 1000) == [
        "0: left-stick 0 -32767",
        "100: left-stick 0 0",
        "300: press south",
    ]


def test_direction_that_is_pressed_keeps_its_press_when_the_whole_comes_back() -> None:
    """Section 5: its release belongs to its press, and the whole follows at once."""
    bench = Bench(board("sail: {knee: {layer: net}, wand: left-stick}", "net: {wand.up: south}"))
    bench.press("knee", at=0)
    bench.move("wand", 0, -1, at=100)
    bench.release("knee", at=200)
    bench.move("wand", 0, 0, at=300)

    assert frames(bench, 1000) == [
        "100: press south",
        "200: left-stick 0 -32767",
        "300: release south, left-stick 0 0",
    ]


def test_lever_ends_and_whole_hide_each_other_alike() -> None:
    """Section 5, for levers: a layer naming an end hides the whole below it."""
    bench = Bench(
        board("sail: {knee: {layer: net}, breath: right-trigger}", "net: {breath.sip: south}")
    )
    bench.press("knee", at=0)
    bench.move("breath", 1, at=100)
    bench.move("breath", -1, at=200)
    bench.release("knee", at=300)
    bench.move("breath", 1, at=400)

    assert frames(bench, 1000) == ["200: press south", "400: release south, right-trigger 255"]


def test_no_layer_change_leaves_anything_pressed() -> None:
    """Section 5: "No sequence of layer changes may leave a pad control pressed"."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: toggle}, elbow: {layer: chart}, cheek: south, "
            "wand: left-stick, pedal: right-trigger}",
            "net: {cheek: {together: [east, left-stick.up]}, wand: dpad, pedal: west}",
            "chart: {cheek: dpad-up, wand.up: north, pedal: nothing}",
        )
    )
    bench.move("wand", 0, -1, at=0)
    bench.move("pedal", 1, at=10)
    bench.press("cheek", at=20)
    bench.press("elbow", at=100)
    taps(bench, "knee", 200)
    bench.release("cheek", at=300)
    bench.press("cheek", at=400)
    bench.release("elbow", at=500)
    bench.move("wand", 0, 0, at=600)
    taps(bench, "knee", 700)
    bench.release("cheek", at=800)
    bench.move("pedal", 0, at=900)
    bench.until(2000)

    assert bench.neutral
