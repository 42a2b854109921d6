"""The layout language, section 4, chords: two controls pressed together."""

from __future__ import annotations

import pytest

from tests.language.board import board, frames
from tests.support.bench import Bench

CHORD = "sail: {knee: south, cheek: east, elbow: west, knee + cheek: north}"


def test_chord_is_pressed_when_both_are_pressed_in_time() -> None:
    """Section 4, chords: neither member's own action is given anything; the first release ends."""
    bench = Bench(board(CHORD))
    bench.press("knee", at=0)
    bench.press("cheek", at=150)
    bench.release("knee", at=400)
    bench.release("cheek", at=600)

    assert frames(bench, 1000) == ["150: press north", "400: release north"]


def test_either_member_may_come_first_and_end_it() -> None:
    """Section 4, chords: "it ends with the first release", whichever that is."""
    bench = Bench(board(CHORD))
    bench.press("cheek", at=0)
    bench.press("knee", at=150)
    bench.release("cheek", at=400)
    bench.release("knee", at=600)

    assert frames(bench, 1000) == ["150: press north", "400: release north"]


def test_both_in_one_frame() -> None:
    """Section 4, chords: with no time between them."""
    bench = Bench(board(CHORD))
    bench.frame(("press", "knee"), ("press", "cheek"), at=10)
    bench.frame(("release", "knee"), ("release", "cheek"), at=200)

    assert frames(bench, 1000) == ["10: press north", "200: release north"]


def test_member_alone_waits_for_its_partner() -> None:
    """Section 4, chords: it "waits that long for its partner before its own press is taken"."""
    bench = Bench(board(CHORD))
    bench.tap("knee", at=0, length=500)

    assert frames(bench, 1000) == ["200: press south", "500: release south"]


def test_member_released_sooner_is_given_a_tap() -> None:
    """Section 4, chords: released sooner, "it is given a press of `tap`"."""
    bench = Bench(board(CHORD))
    bench.tap("knee", at=0, length=100)

    assert frames(bench, 1000) == ["100: press south", "160: release south"]


def test_partner_at_exactly_chord_window_is_too_late() -> None:
    """Section 4, chords: too late; and it "does not wait while the partner is held already"."""
    bench = Bench(board(CHORD))
    bench.press("knee", at=0)
    bench.press("cheek", at=200)
    bench.release("cheek", at=400)
    bench.release("knee", at=500)

    assert frames(bench, 1000) == [
        "200: press south",
        "200: press east",
        "400: release east",
        "500: release south",
    ]


def test_partner_a_microsecond_earlier_is_in_time() -> None:
    """Section 4, chords: within `chord-window`."""
    bench = Bench(board(CHORD))
    bench.press("knee", at=0)
    bench.press("cheek", at=199.999)

    assert frames(bench, 1000) == ["199.999: press north"]


def test_member_does_not_wait_while_its_partner_is_held() -> None:
    """Section 4, chords: the partner's press is past, so no chord can form."""
    bench = Bench(board(CHORD))
    bench.press("knee", at=0)
    bench.tap("cheek", at=1000, length=100)
    bench.release("knee", at=2000)

    assert frames(bench, 3000) == [
        "200: press south",
        "1000: press east",
        "1100: release east",
        "2000: release south",
    ]


def test_control_outside_a_chord_does_not_wait() -> None:
    """Section 4, chords: only "a control that is in a chord of an active layer"."""
    bench = Bench(board(CHORD))
    bench.tap("elbow", at=0, length=100)

    assert frames(bench, 1000) == ["0: press west", "100: release west"]


def test_chord_of_a_layer_that_is_not_active_makes_nobody_wait() -> None:
    """Section 4, chords: "of an active layer"."""
    bench = Bench(
        board("sail: {knee: south, cheek: east, elbow: {layer: net}}", "net: {knee + cheek: north}")
    )
    bench.tap("knee", at=0, length=100)
    bench.press("elbow", at=300)
    bench.press("knee", at=400)
    bench.press("cheek", at=500)
    bench.release("knee", at=600)
    bench.release("cheek", at=700)
    bench.release("elbow", at=800)

    assert frames(bench, 1000) == [
        "0: press south",
        "100: release south",
        "500: press north",
        "600: release north",
    ]


def test_own_chord_window() -> None:
    """Section 2, chord-window: a top-level setting."""
    bench = Bench(board(CHORD, top="chord-window: 500ms"))
    bench.press("knee", at=0)
    bench.press("cheek", at=450)
    bench.release("cheek", at=600)
    bench.release("knee", at=700)
    bench.press("knee", at=1000)

    assert frames(bench, 2000) == ["450: press north", "600: release north", "1500: press south"]


def test_member_that_waits_keeps_the_action_of_its_press() -> None:
    """Section 4, chords: found "in the layers that were active when it was pressed"."""
    bench = Bench(
        board(
            "sail: {knee: south, cheek: east, knee + cheek: north, elbow: {layer: net}}",
            "net: {knee: west}",
        )
    )
    bench.press("knee", at=0)
    bench.press("elbow", at=100)
    bench.release("knee", at=400)
    bench.tap("knee", at=500, length=100)

    assert frames(bench, 1000) == [
        "200: press south",
        "400: release south",
        "500: press west",
        "600: release west",
    ]


def test_member_that_waits_keeps_its_action_when_the_layer_has_gone() -> None:
    """Section 4, chords: the same the other way round, with a release in the window."""
    bench = Bench(
        board(
            "sail: {knee: south, cheek: east, knee + cheek: north, elbow: {layer: net}}",
            "net: {knee: west, knee + cheek: select}",
        )
    )
    bench.press("elbow", at=0)
    bench.press("knee", at=100)
    bench.release("elbow", at=150)
    bench.release("knee", at=180)

    assert frames(bench, 1000) == ["180: press west", "240: release west"]


def test_higher_layer_that_names_a_member_hides_the_chord() -> None:
    """Section 4, chords: "A higher layer that names a member hides the chord"."""
    bench = Bench(
        board(
            "sail: {knee: south, cheek: east, knee + cheek: north, elbow: {layer: net}}",
            "net: {knee: west}",
        )
    )
    bench.press("elbow", at=0)
    bench.press("knee", at=100)
    bench.press("cheek", at=150)
    bench.release("knee", at=300)
    bench.release("cheek", at=400)

    assert frames(bench, 1000) == [
        "100: press west",
        "150: press east",
        "300: release west",
        "400: release east",
    ]


def test_higher_layer_with_nothing_hides_the_chord_too() -> None:
    """Section 4, chords: to name a member with `nothing` is to name it."""
    bench = Bench(
        board(
            "sail: {knee: south, cheek: east, knee + cheek: north, elbow: {layer: net}}",
            "net: {knee: nothing}",
        )
    )
    bench.press("elbow", at=0)
    bench.press("knee", at=100)
    bench.tap("cheek", at=150, length=100)

    assert frames(bench, 1000) == ["150: press east", "250: release east"]


def test_of_two_chords_the_topmost_counts() -> None:
    """Section 4, chords: "of two chords the topmost counts"."""
    bench = Bench(
        board(
            "sail: {knee: south, cheek: east, knee + cheek: north, elbow: {layer: net}}",
            "net: {knee + cheek: select}",
        )
    )
    bench.press("elbow", at=0)
    bench.press("knee", at=100)
    bench.press("cheek", at=150)
    bench.release("knee", at=300)

    assert frames(bench, 1000) == ["150: press select", "300: release select"]


def test_of_two_chords_in_a_layer_the_first_in_the_file_counts() -> None:
    """Section 4, chords: "then the first in the file", when one press could form both."""
    for chords, out in (
        ("knee + elbow: north, cheek + elbow: select", "north"),
        ("cheek + elbow: select, knee + elbow: north", "select"),
    ):
        bench = Bench(board(f"sail: {{knee: south, cheek: east, {chords}}}"))
        bench.press("knee", at=0)
        bench.press("cheek", at=20)
        bench.press("elbow", at=50)
        bench.until(60)

        assert bench.pressed == {out}


def test_member_of_two_chords_forms_the_one_whose_partner_comes() -> None:
    """Section 4, chords: a control may be in several."""
    text = board("sail: {knee: south, knee + cheek: north, knee + elbow: select}")
    for partner, out in (("cheek", "north"), ("elbow", "select")):
        bench = Bench(text)
        bench.press("knee", at=0)
        bench.press(partner, at=50)
        bench.release(partner, at=150)

        assert frames(bench, 1000) == [f"50: press {out}", f"150: release {out}"]


def test_chord_whose_member_is_held_on_does_not_form_again() -> None:
    """Section 4, chords: it needs the presses of both within the window."""
    bench = Bench(board(CHORD))
    bench.press("knee", at=0)
    bench.press("cheek", at=50)
    bench.release("cheek", at=150)
    bench.tap("cheek", at=500, length=100)
    bench.release("knee", at=900)

    assert frames(bench, 2000) == [
        "50: press north",
        "150: release north",
        "500: press east",
        "600: release east",
    ]


def test_chord_forms_anew_after_both_are_released() -> None:
    """Section 4, chords: every time."""
    bench = Bench(board(CHORD))
    for at in (0, 1000):
        bench.press("knee", at=at)
        bench.press("cheek", at=at + 50)
        bench.release("cheek", at=at + 150)
        bench.release("knee", at=at + 200)

    assert frames(bench, 2000) == [
        "50: press north",
        "150: release north",
        "1050: press north",
        "1150: release north",
    ]


@pytest.mark.parametrize(
    ("action", "out"),
    [
        ("{latch: north}", ["50: press north"]),
        ("{pulse: north, length: 80ms}", ["50: press north", "130: release north"]),
        ("{on-release: north}", ["150: press north", "210: release north"]),
        ("{turbo: north, rate: 5/s}", ["50: press north", "150: release north"]),
        ("{push: left-stick, toward: up}", ["50: left-stick 0 -32767", "150: left-stick 0 0"]),
    ],
)
def test_chord_takes_any_action(action: str, out: list[str]) -> None:
    """Section 4, chords: `left-knee + right-knee: ACTION`."""
    bench = Bench(board(f"sail: {{knee: south, knee + cheek: {action}}}"))
    bench.press("knee", at=0)
    bench.press("cheek", at=50)
    bench.release("knee", at=150)
    bench.release("cheek", at=160)

    assert frames(bench, 1000) == out


def test_chord_holds_a_layer_until_its_first_release() -> None:
    """Section 4, chords: held from the second press to the first release."""
    bench = Bench(board("sail: {knee + cheek: {layer: net}, elbow: south}", "net: {elbow: east}"))
    bench.press("knee", at=0)
    bench.press("cheek", at=50)
    bench.tap("elbow", at=100, length=50)
    bench.release("knee", at=200)
    bench.tap("elbow", at=300, length=50)
    bench.release("cheek", at=400)

    assert frames(bench, 1000) == [
        "100: press east",
        "150: release east",
        "300: press south",
        "350: release south",
    ]


def test_members_without_own_actions() -> None:
    """Section 4, chords: a member may have no action of its own."""
    bench = Bench(board("sail: {knee + cheek: north}"))
    bench.tap("knee", at=0, length=100)
    bench.press("knee", at=500)
    bench.press("cheek", at=600)
    bench.release("cheek", at=700)
    bench.release("knee", at=800)

    assert frames(bench, 1000) == ["600: press north", "700: release north"]


def test_acceptance_comes_before_the_chord() -> None:
    """Section 3 with 4: the window counts between presses that count."""
    bench = Bench(board(CHORD, cheek="acceptance-delay: 100ms"))
    bench.press("knee", at=0)
    bench.press("cheek", at=50)
    bench.release("knee", at=300)
    bench.release("cheek", at=350)
    bench.press("knee", at=1000)
    bench.press("cheek", at=1120)  # counts at 1220, too late
    bench.release("knee", at=1300)
    bench.release("cheek", at=1400)

    assert frames(bench, 2000) == [
        "150: press north",
        "300: release north",
        "1200: press south",
        "1220: press east",
        "1300: release south",
        "1400: release east",
    ]


def test_direction_in_a_chord() -> None:
    """Section 3 and 4: a direction is a button, in a chord too."""
    bench = Bench(board("sail: {knee: south, wand.up: east, knee + wand.up: north}"))
    bench.move("wand", 0, -1, at=0)
    bench.press("knee", at=100)
    bench.move("wand", 0, 0, at=200)
    bench.release("knee", at=300)

    assert frames(bench, 1000) == ["100: press north", "200: release north"]


def test_direction_that_is_bound_in_chords_alone() -> None:
    """Section 3 and 4: it is listened to though it has no action of its own."""
    bench = Bench(board("sail: {knee: south, wand.up + knee: north}"))
    bench.press("knee", at=0)
    bench.move("wand", 0, -1, at=100)
    bench.move("wand", 0, 0, at=200)

    assert frames(bench, 1000) == ["100: press north", "200: release north"]


@pytest.mark.parametrize(
    ("chord", "seen"), [("knee + mate", True), ("mate + knee", False)], ids=["player", "helper"]
)
def test_person_of_a_chord_is_the_first_named_members(chord: str, seen: bool) -> None:
    """Section 4, chords: "Its person is the first-named member's"."""
    bench = Bench(board(f"sail: {{{chord}: north}}", top="merge: {north: player-only}"))
    bench.press("knee", at=0)
    bench.press("mate", at=50)
    bench.release("knee", at=200)
    bench.release("mate", at=300)

    assert frames(bench, 1000) == (["50: press north", "200: release north"] if seen else [])


def test_long_press_of_a_member_counts_from_when_its_press_is_taken() -> None:
    """Section 4, chords: "before its own press is taken": `after` begins then."""
    bench = Bench(
        board("sail: {knee: {short: south, long: east, after: 500ms}, knee + cheek: north}")
    )
    bench.tap("knee", at=0, length=1000)

    assert frames(bench, 2000) == ["700: press east", "1000: release east"]


def test_layer_of_a_member_that_waits_comes_on_when_its_press_is_taken() -> None:
    """Section 4, chords: its own press comes late, and only then its layer."""
    bench = Bench(
        board("sail: {knee: {layer: net}, knee + cheek: north, elbow: south}", "net: {elbow: east}")
    )
    bench.press("knee", at=0)
    bench.tap("elbow", at=100, length=50)
    bench.tap("elbow", at=250, length=50)
    bench.release("knee", at=400)

    assert frames(bench, 1000) == [
        "100: press south",
        "150: release south",
        "250: press east",
        "300: release east",
    ]


def test_unplugging_a_member_that_waits_comes_to_nothing() -> None:
    """Section 8, unplug: "what was pending comes to nothing"."""
    bench = Bench(board(CHORD))
    bench.press("knee", at=0)
    bench.unplug("switches", at=100)

    assert frames(bench, 1000) == []


def test_unplugging_one_member_of_a_chord_ends_it() -> None:
    """Section 8, unplug: everything that the device's controls hold ends."""
    bench = Bench(board("sail: {mate: south, knee: east, knee + mate: north}"))
    bench.press("mate", at=0)
    bench.press("knee", at=50)
    bench.unplug("aides", at=200)
    bench.release("knee", at=300)

    assert frames(bench, 1000) == ["50: press north", "200: release north"]


def test_waiting_member_whose_partner_is_unplugged_still_gets_its_press() -> None:
    """Section 8, unplug: "the others go on"."""
    bench = Bench(board("sail: {mate: south, knee: east, knee + mate: north}"))
    bench.press("knee", at=0)
    bench.unplug("aides", at=100)
    bench.release("knee", at=400)

    assert frames(bench, 1000) == ["200: press east", "400: release east"]
