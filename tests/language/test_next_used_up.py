"""The layout language, section 4, `next`: whose press uses a layer up, and when it is over."""

from __future__ import annotations

from tests.language.board import board
from tests.language.test_next import NET, pressed_by, tap
from tests.support.bench import Bench


def test_layer_used_by_a_chord_goes_off_at_the_chords_first_release() -> None:
    """Section 4, chords and next: a chord "ends with the first release", and the layer with it."""
    for own in ("", "cheek: south, elbow: north, "):
        for first, second in (("cheek", "elbow"), ("elbow", "cheek")):
            for released, kept in ((first, second), (second, first)):
                bench = Bench(
                    board(
                        f"sail: {{{own}knee: {{layer: net, how: next}}, heel: start}}",
                        "net: {cheek + elbow: west, heel: select}",
                    )
                )
                tap(bench, "knee", 0)
                bench.press(first, at=500)
                bench.press(second, at=560)
                meanwhile = pressed_by(bench, "heel", 600)
                bench.release(released, at=700)
                after = pressed_by(bench, "heel", 800)
                bench.release(kept, at=900)

                assert (own, first, released, meanwhile, after) == (
                    own,
                    first,
                    released,
                    {"select"},
                    {"start"},
                )


def test_next_as_a_short_press_twice_running_stays_on() -> None:
    """Section 4, next: it is used up by "another control"; its own pressed twice running keeps it.

    The second short press is a press of the control that began the wait.
    """
    bench = Bench(
        board("sail: {knee: {short: {layer: net, how: next}, long: start}, cheek: south}", NET)
    )
    tap(bench, "knee", 0, 300)
    stays = [pressed_by(bench, "cheek", at) for at in (600, 700, 800)]
    tap(bench, "knee", 1000)
    off = pressed_by(bench, "cheek", 1300)

    assert (stays, off) == ([{"east"}] * 3, {"south"})


def test_long_press_of_the_same_control_does_not_use_it_up() -> None:
    """Section 4, next: "of another control", and the layer gives this one no other action."""
    bench = Bench(
        board(
            "sail: {knee: {short: {layer: net, how: next}, long: start, after: 500ms}, "
            "cheek: south}",
            NET,
        )
    )
    tap(bench, "knee", 0)
    bench.tap("knee", at=300, length=900)
    once = pressed_by(bench, "cheek", 1300)
    over = pressed_by(bench, "cheek", 1500)

    assert (once, over) == ({"east"}, {"south"})


def test_press_that_takes_an_item_of_a_scan_uses_it_up() -> None:
    """Section 4, next and scan: "the next press is that item's press", and no layer's."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next}, heel: {scan: [south, east]}, cheek: north}",
            "net: {cheek: west}",
        )
    )
    tap(bench, "heel", 0)
    tap(bench, "knee", 200)
    tap(bench, "heel", 500)

    assert pressed_by(bench, "cheek", 1000) == {"north"}


def test_press_that_takes_a_layer_from_a_scan_does_not_use_it_up() -> None:
    """Section 4, next: the item is a layer."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next}, "
            "heel: {scan: [{layer: chart, how: toggle}, east]}, cheek: north}",
            "net: {cheek: west}",
            "chart: {elbow: start}",
        )
    )
    tap(bench, "heel", 0)
    tap(bench, "knee", 200)
    tap(bench, "heel", 500)
    once = pressed_by(bench, "cheek", 1000)
    over = pressed_by(bench, "cheek", 1200)

    assert (once, over) == ({"west"}, {"north"})


def test_two_peoples_next_that_stay_on_both_stay_over_a_reload() -> None:
    """Section 12, 13 and 14: for each person, ended by their own third press."""
    text = board(
        "sail: {knee: {layer: net, how: next}, mate: {layer: net, how: next}, cheek: south}", NET
    )
    bench = Bench(text)
    tap(bench, "knee", 0, 100)
    tap(bench, "mate", 200, 300)
    bench.swap(text, at=500)
    tap(bench, "knee", 600)
    tap(bench, "mate", 800)

    assert pressed_by(bench, "cheek", 900) == {"south"}


def test_layer_taken_up_while_a_next_waits_leaves_it() -> None:
    """Section 4, next: with the layer of the wait on top or not, the next press is in it."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next}, heel: {layer: chart, how: toggle}, "
            "cheek: south}",
            NET,
            "chart: {elbow: start}",
        )
    )
    tap(bench, "knee", 0)
    tap(bench, "heel", 100)
    once = pressed_by(bench, "cheek", 200)
    over = pressed_by(bench, "cheek", 300)

    assert (once, over) == ({"east"}, {"south"})
