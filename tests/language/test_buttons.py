"""The layout language, section 3, buttons: the five stages of conditioning, through whole layouts.

`shortest-press` is off in most of these, so that the stages are seen bare.
"""

from __future__ import annotations

import pytest

from remapd import codes
from tests.language.board import board, frames
from tests.support.bench import Bench

BARE = "shortest-press: 0ms"


def knee(settings: str, *, top: str = BARE) -> Bench:
    """One button with these settings, to south."""
    return Bench(board("play: {knee: south}", top=top, knee=settings))


# ------------------------------------------------------------------ no setting


def test_clean_press_passes_without_delay() -> None:
    """Section 3, debounce: "Adds no delay to a clean press"."""
    bench = knee("debounce: 15ms")
    bench.press("knee", at=10)
    bench.release("knee", at=110)

    assert frames(bench, 1000) == ["10: press south", "110: release south"]


def test_default_debounce_is_15_ms() -> None:
    """Section 3, debounce: the default is 15 ms, a button without settings has it."""
    bench = Bench(board("play: {knee: south}", top=BARE))
    bench.press("knee", at=0)
    bench.release("knee", at=14)

    assert frames(bench, 1000) == ["0: press south", "15: release south"]


def test_autorepeat_is_nothing() -> None:
    """Section 3, button: "autorepeat is nothing"."""
    bench = knee("debounce: 0ms")
    bench.press("knee", at=0)
    for at in (50, 60, 70):
        bench.raw("switches", [(codes.EV_KEY, codes.KEYS["BTN_0"], 2)], at=at)
    bench.release("knee", at=100)
    bench.raw("switches", [(codes.EV_KEY, codes.KEYS["BTN_0"], 2)], at=150)

    assert frames(bench, 1000) == ["0: press south", "100: release south"]


def test_same_state_again_is_nothing() -> None:
    """Section 3, button: "pressed or not"; a state that is told twice changes nothing."""
    bench = knee("debounce: 0ms")
    bench.press("knee", at=0)
    bench.press("knee", at=50)
    bench.release("knee", at=100)
    bench.release("knee", at=150)

    assert frames(bench, 1000) == ["0: press south", "100: release south"]


# ------------------------------------------------------------------ debounce


def test_chatter_on_press_is_one_press() -> None:
    """Section 3, debounce: changes within T are ignored, the state at its end is the same."""
    bench = knee("debounce: 15ms")
    for at in (0, 2, 5):
        bench.press("knee", at=at)
        bench.release("knee", at=at + 1)
    bench.press("knee", at=7)
    bench.release("knee", at=200)

    assert frames(bench, 1000) == ["0: press south", "200: release south"]


def test_chatter_on_release_is_one_release() -> None:
    """Section 3, debounce: "A change is taken at once", a release too."""
    bench = knee("debounce: 15ms")
    bench.press("knee", at=0)
    bench.release("knee", at=100)
    bench.press("knee", at=103)
    bench.release("knee", at=104)

    assert frames(bench, 1000) == ["0: press south", "100: release south"]


def test_state_at_the_end_of_debounce_is_taken() -> None:
    """Section 3, debounce: "at its end the state then present is taken"."""
    bench = knee("debounce: 20ms")
    bench.press("knee", at=0)
    bench.release("knee", at=5)

    assert frames(bench, 1000) == ["0: press south", "20: release south"]


def test_differing_state_at_the_end_begins_a_new_debounce() -> None:
    """Section 3, debounce: "(and, if it differs, begins a new T)"."""
    bench = knee("debounce: 20ms")
    bench.press("knee", at=0)
    bench.release("knee", at=5)
    bench.press("knee", at=25)
    bench.release("knee", at=100)

    assert frames(bench, 1000) == [
        "0: press south",
        "20: release south",
        "40: press south",
        "100: release south",
    ]


def test_same_state_at_the_end_begins_no_new_debounce() -> None:
    """Section 3, debounce: a state that does not differ begins no new T."""
    bench = knee("debounce: 20ms")
    bench.press("knee", at=0)
    bench.release("knee", at=21)

    assert frames(bench, 1000) == ["0: press south", "21: release south"]


def test_change_at_the_very_end_of_debounce_is_taken() -> None:
    """Section 3, debounce: "A change at exactly T's end is taken"."""
    bench = knee("debounce: 15ms")
    bench.press("knee", at=0)
    bench.release("knee", at=15)
    bench.press("knee", at=30)
    bench.release("knee", at=45)

    assert frames(bench, 1000) == [
        "0: press south",
        "15: release south",
        "30: press south",
        "45: release south",
    ]


def test_debounce_off_takes_every_change() -> None:
    """Section 3, debounce: with 0ms nothing is ignored."""
    bench = knee("debounce: 0ms")
    for at in (0, 2, 4):
        bench.press("knee", at=at)
        bench.release("knee", at=at + 1)

    assert frames(bench, 100) == [
        "0: press south",
        "1: release south",
        "2: press south",
        "3: release south",
        "4: press south",
        "5: release south",
    ]


def test_debounce_of_one_button_leaves_another_alone() -> None:
    """Section 3: each control is conditioned by itself."""
    bench = Bench(board("play: {knee: south, cheek: east}", top=BARE, knee="debounce: 50ms"))
    bench.press("knee", at=0)
    bench.press("cheek", at=10)
    bench.release("knee", at=20)
    bench.release("cheek", at=30)

    assert frames(bench, 100) == [
        "0: press south",
        "10: press east",
        "30: release east",
        "50: release south",
    ]


# ------------------------------------------------------------------ release-delay


def test_release_delay_holds_the_release_back() -> None:
    """Section 3, release-delay: released "only when it has been up for T"."""
    bench = knee("release-delay: 100ms")
    bench.press("knee", at=0)
    bench.release("knee", at=50)

    assert frames(bench, 1000) == ["0: press south", "150: release south"]


def test_release_delay_bridges_a_gap() -> None:
    """Section 3, release-delay: "without a break (a slipping grip, a tremor)"."""
    bench = knee("release-delay: 100ms")
    bench.press("knee", at=0)
    bench.release("knee", at=50)
    bench.press("knee", at=149)
    bench.release("knee", at=300)

    assert frames(bench, 1000) == ["0: press south", "400: release south"]


def test_release_delay_counts_each_gap_from_its_own_start() -> None:
    """Section 3, release-delay: up for T without a break, so a bridged gap does not add up."""
    bench = knee("release-delay: 100ms")
    bench.press("knee", at=0)
    for gap in (50, 150, 250):
        bench.release("knee", at=gap)
        bench.press("knee", at=gap + 80)
    bench.release("knee", at=500)

    assert frames(bench, 1000) == ["0: press south", "600: release south"]


def test_release_delay_that_is_over_at_the_next_press_ends_the_first() -> None:
    """Section 3 and 7: T is over at the press's own time, and timers come before the frame."""
    bench = knee("release-delay: 100ms")
    bench.press("knee", at=0)
    bench.release("knee", at=50)
    bench.press("knee", at=150)
    bench.release("knee", at=250)

    assert frames(bench, 1000) == [
        "0: press south",
        "150: release south",
        "150: press south",
        "350: release south",
    ]


# ------------------------------------------------------------------ acceptance-delay


def test_acceptance_delay_holds_the_press_back() -> None:
    """Section 3, acceptance-delay: "a press counts only when held for T"."""
    bench = knee("acceptance-delay: 80ms")
    bench.press("knee", at=0)
    bench.release("knee", at=200)

    assert frames(bench, 1000) == ["80: press south", "200: release south"]


def test_press_shorter_than_acceptance_delay_does_nothing() -> None:
    """Section 3, acceptance-delay: "a shorter one does nothing at all"."""
    bench = knee("acceptance-delay: 80ms")
    bench.press("knee", at=0)
    bench.release("knee", at=79.999)

    assert frames(bench, 1000) == []


def test_press_of_just_acceptance_delay_counts() -> None:
    """Section 3 and 7: at T the timer comes before the release of that time."""
    bench = knee("acceptance-delay: 80ms")
    bench.press("knee", at=0)
    bench.release("knee", at=80)

    assert frames(bench, 1000) == ["80: press south", "80: release south"]


def test_two_short_touches_do_not_add_up() -> None:
    """Section 3, acceptance-delay: "held for T without a break"."""
    bench = knee("acceptance-delay: 80ms")
    for at in (0, 60, 120):
        bench.press("knee", at=at)
        bench.release("knee", at=at + 40)

    assert frames(bench, 1000) == []


def test_debounced_chatter_does_not_break_acceptance() -> None:
    """Section 3: the stages stand in this order, debounce before acceptance-delay."""
    bench = knee("debounce: 15ms, acceptance-delay: 80ms")
    bench.press("knee", at=0)
    bench.release("knee", at=3)
    bench.press("knee", at=5)
    bench.release("knee", at=200)

    assert frames(bench, 1000) == ["80: press south", "200: release south"]


def test_gap_bridged_before_acceptance_does_not_break_it() -> None:
    """Section 3: release-delay stands before acceptance-delay."""
    bench = knee("release-delay: 50ms, acceptance-delay: 80ms")
    bench.press("knee", at=0)
    bench.release("knee", at=30)
    bench.press("knee", at=50)
    bench.release("knee", at=200)

    assert frames(bench, 1000) == ["80: press south", "250: release south"]


def test_acceptance_that_ends_in_a_gap_waits_for_the_bridge() -> None:
    """Section 3, acceptance-delay: "the press counts when the gap is bridged"."""
    bench = knee("release-delay: 50ms, acceptance-delay: 80ms")
    bench.press("knee", at=0)
    bench.release("knee", at=70)
    bench.press("knee", at=100)
    bench.release("knee", at=200)

    assert frames(bench, 1000) == ["100: press south", "250: release south"]


def test_acceptance_that_ends_in_a_gap_never_bridged_is_nothing() -> None:
    """Section 3, acceptance-delay: "and does nothing if it is not"."""
    bench = knee("release-delay: 50ms, acceptance-delay: 80ms")
    bench.press("knee", at=0)
    bench.release("knee", at=70)
    bench.press("knee", at=120)
    bench.release("knee", at=150)

    assert frames(bench, 1000) == []


def test_press_after_an_unbridged_gap_begins_afresh() -> None:
    """Section 3, acceptance-delay: a new press needs its own T."""
    bench = knee("release-delay: 50ms, acceptance-delay: 80ms")
    bench.press("knee", at=0)
    bench.release("knee", at=70)
    bench.press("knee", at=130)
    bench.release("knee", at=300)

    assert frames(bench, 1000) == ["210: press south", "350: release south"]


def test_action_is_found_when_the_press_counts() -> None:
    """Section 3 and 5: a press that counts later finds its action in the layers of that time."""
    bench = Bench(
        board(
            "sail: {knee: south, cheek: {layer: net, how: toggle}}",
            "net: {knee: east}",
            knee="acceptance-delay: 100ms",
        )
    )
    bench.press("knee", at=0)
    bench.tap("cheek", at=20, length=30)
    bench.release("knee", at=300)

    assert frames(bench, 1000) == ["100: press east", "300: release east"]


# ------------------------------------------------------------------ repeat-guard


def test_press_within_repeat_guard_does_nothing_however_long() -> None:
    """Section 3, repeat-guard: "does nothing at all, however long it is held"."""
    bench = knee("repeat-guard: 500ms")
    bench.press("knee", at=0)
    bench.release("knee", at=100)
    bench.press("knee", at=599)
    bench.release("knee", at=5000)

    assert frames(bench, 9000) == ["0: press south", "100: release south"]


def test_press_at_the_end_of_repeat_guard_counts() -> None:
    """Section 3, repeat-guard: refused where it begins "less than T after the end"."""
    bench = knee("repeat-guard: 500ms")
    bench.tap("knee", at=0, length=100)
    bench.tap("knee", at=600, length=100)

    assert frames(bench, 2000) == [
        "0: press south",
        "100: release south",
        "600: press south",
        "700: release south",
    ]


def test_ignored_press_does_not_begin_a_new_guard() -> None:
    """Section 3, repeat-guard: "an ignored press does not begin a new T"."""
    bench = knee("repeat-guard: 500ms")
    bench.tap("knee", at=0, length=100)
    bench.tap("knee", at=300, length=250)
    bench.tap("knee", at=620, length=100)

    assert frames(bench, 2000) == [
        "0: press south",
        "100: release south",
        "620: press south",
        "720: release south",
    ]


def test_repeat_guard_refuses_only_its_own_control() -> None:
    """Section 3, repeat-guard: it belongs to a control, another one is free."""
    bench = Bench(
        board("play: {knee: south, cheek: south}", knee="repeat-guard: 500ms"),
    )
    bench.tap("knee", at=0, length=100)
    bench.tap("cheek", at=200, length=100)
    bench.tap("knee", at=400, length=100)

    assert frames(bench, 2000) == [
        "0: press south",
        "100: release south",
        "200: press south",
        "300: release south",
    ]


def test_guarded_press_begins_before_its_acceptance_delay() -> None:
    """Section 12, 15: "a press begins when it comes out of release-delay"."""
    bench = knee("acceptance-delay: 100ms, repeat-guard: 200ms")
    bench.press("knee", at=0)
    bench.release("knee", at=150)
    bench.press("knee", at=320)
    bench.release("knee", at=900)

    assert frames(bench, 2000) == ["100: press south", "150: release south"]


def test_press_that_begins_after_the_guard_is_accepted_later() -> None:
    """Section 12, 15: begun 200 ms after the release, accepted 100 ms after that."""
    bench = knee("acceptance-delay: 100ms, repeat-guard: 200ms")
    bench.press("knee", at=0)
    bench.release("knee", at=150)
    bench.press("knee", at=350)
    bench.release("knee", at=900)

    assert frames(bench, 2000) == [
        "100: press south",
        "150: release south",
        "450: press south",
        "900: release south",
    ]


def test_touch_too_short_to_count_begins_no_guard() -> None:
    """Section 3, repeat-guard: T follows "the end of an accepted press" only."""
    bench = knee("acceptance-delay: 100ms, repeat-guard: 500ms")
    bench.tap("knee", at=0, length=50)
    bench.tap("knee", at=200, length=200)

    assert frames(bench, 2000) == ["300: press south", "400: release south"]


def test_guard_counts_from_the_release_after_longest() -> None:
    """Section 12, 15: "its T counts from the release of the control, also after longest"."""
    bench = knee("longest: 300ms, repeat-guard: 200ms")
    bench.press("knee", at=0)
    bench.release("knee", at=1000)
    bench.tap("knee", at=1150, length=20)
    bench.tap("knee", at=1200, length=100)

    assert frames(bench, 3000) == [
        "0: press south",
        "300: release south",
        "1200: press south",
        "1300: release south",
    ]


# ------------------------------------------------------------------ longest


def test_longest_ends_a_press_by_itself() -> None:
    """Section 3, longest: "an accepted press ends by itself after T"."""
    bench = knee("longest: 1s")
    bench.press("knee", at=0)
    bench.release("knee", at=4000)

    assert frames(bench, 9000) == ["0: press south", "1000: release south"]


def test_longest_counts_from_acceptance() -> None:
    """Section 3, longest: it is the accepted press that ends after T."""
    bench = knee("acceptance-delay: 100ms, longest: 1s")
    bench.press("knee", at=0)

    assert frames(bench, 9000) == ["100: press south", "1100: release south"]


def test_control_must_be_released_after_longest() -> None:
    """Section 3, longest: "the control must be released before it can press again"."""
    bench = knee("longest: 1s")
    bench.press("knee", at=0)
    bench.release("knee", at=1500)
    bench.press("knee", at=1600)
    bench.release("knee", at=1700)

    assert frames(bench, 9000) == [
        "0: press south",
        "1000: release south",
        "1600: press south",
        "1700: release south",
    ]


def test_release_at_the_time_of_longest_is_one_release() -> None:
    """Section 3 and 7: the timer fires first, and nothing is released twice."""
    bench = knee("longest: 1s")
    bench.press("knee", at=0)
    bench.release("knee", at=1000)

    assert frames(bench, 9000) == ["0: press south", "1000: release south"]


def test_longest_gives_the_action_its_release() -> None:
    """Section 3, longest with section 4: a layer that is held ends with the press."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net}, cheek: south}",
            "net: {cheek: east}",
            knee="longest: 500ms",
        )
    )
    bench.press("knee", at=0)
    bench.tap("cheek", at=100, length=100)
    bench.tap("cheek", at=600, length=100)

    assert frames(bench, 2000) == [
        "100: press east",
        "200: release east",
        "600: press south",
        "700: release south",
    ]


def test_longest_while_release_delay_watches() -> None:
    """Section 3: after longest nothing more comes of that press, nor of its gaps."""
    bench = knee("release-delay: 100ms, longest: 300ms")
    bench.press("knee", at=0)
    bench.release("knee", at=320)
    bench.press("knee", at=380)
    bench.release("knee", at=900)

    assert frames(bench, 3000) == ["0: press south", "300: release south"]


# ------------------------------------------------------------------ inverted
# On the bench a press of an inverted button is the act (letting go of the key), and its stand-in
# rests with the key held down.


def test_inverted_button_acts_on_letting_go() -> None:
    """Section 3, inverted: "where letting go is the act": the key's 0 presses, its 1 releases."""
    bench = knee("inverted: true")
    bench.raw("switches", [(codes.EV_KEY, codes.KEYS["BTN_0"], 0)], at=100)
    bench.raw("switches", [(codes.EV_KEY, codes.KEYS["BTN_0"], 1)], at=300)

    assert frames(bench, 2000) == ["100: press south", "300: release south"]


def test_inverted_button_takes_its_stages_on_letting_go() -> None:
    """Section 3: inversion comes before the stages."""
    bench = knee("inverted: true, acceptance-delay: 80ms")
    bench.tap("knee", at=100, length=50)
    bench.tap("knee", at=300, length=200)

    assert frames(bench, 2000) == ["380: press south", "500: release south"]


def test_inverted_button_up_at_plug_in_counts_as_held() -> None:
    """Section 12, 2: "up at start, reload or plug-in counts as held"."""
    bench = knee("inverted: true")
    bench.unplug("switches", at=100)
    bench.plug("switches", at=200, held=("knee",))

    assert frames(bench, 2000) == []
    assert bench.neutral


def test_inverted_button_up_at_plug_in_acts_after_it_has_been_down() -> None:
    """Section 12, 2: "it acts after it has been down once"."""
    bench = knee("inverted: true")
    bench.unplug("switches", at=100)
    bench.plug("switches", at=200, held=("knee",))
    bench.release("knee", at=600)
    bench.press("knee", at=800)

    assert frames(bench, 2000) == ["800: press south"]


def test_unplugging_an_inverted_button_presses_nothing() -> None:
    """Section 12, 2: "Unplugging presses nothing"."""
    bench = knee("inverted: true")
    bench.tap("knee", at=100, length=100)
    bench.unplug("switches", at=300)

    assert frames(bench, 2000) == ["100: press south", "200: release south"]


def test_unplugging_a_pressed_inverted_button_releases_it() -> None:
    """Section 8, unplug: what the control holds ends, inverted or not."""
    bench = knee("inverted: true")
    bench.press("knee", at=100)
    bench.unplug("switches", at=300)

    assert frames(bench, 2000) == ["100: press south", "300: release south"]


def test_inverted_button_up_at_a_reload_acts_after_it_has_been_down() -> None:
    """Section 12, 2: at a reload as at the start."""
    text = board("play: {knee: south}", top=BARE, knee="inverted: true")
    bench = Bench(text)
    bench.press("knee", at=100)
    bench.swap(text, at=300)
    bench.release("knee", at=500)
    bench.press("knee", at=700)

    assert frames(bench, 2000) == ["100: press south", "300: release south", "700: press south"]


# ------------------------------------------------------------------ all together


def test_all_five_stages_in_their_order() -> None:
    """Section 3: debounce, release-delay, acceptance-delay, repeat-guard, longest."""
    bench = knee(
        "debounce: 10ms, release-delay: 40ms, acceptance-delay: 100ms, repeat-guard: 200ms, "
        "longest: 400ms"
    )
    bench.press("knee", at=0)
    bench.release("knee", at=4)  # chatter
    bench.press("knee", at=6)
    bench.release("knee", at=60)  # a slip
    bench.press("knee", at=90)
    bench.release("knee", at=700)  # longest is over at 500
    bench.press("knee", at=860)  # within the guard
    bench.release("knee", at=1200)
    bench.press("knee", at=1300)
    bench.release("knee", at=1500)

    assert frames(bench, 3000) == [
        "100: press south",
        "500: release south",
        "1400: press south",
        "1540: release south",
    ]


@pytest.mark.parametrize(
    ("settings", "pressed", "released"),
    [
        ("acceptance-delay: 120ms", 120, 300),
        ("release-delay: 120ms", 0, 420),
        ("longest: 120ms", 0, 120),
        ("acceptance-delay: 120ms, release-delay: 60ms", 120, 360),
        ("acceptance-delay: 120ms, longest: 60ms", 120, 180),
        ("acceptance-delay: 0.12s", 120, 300),
    ],
)
def test_one_press_of_300_ms(settings: str, pressed: int, released: int) -> None:
    """Section 3: each stage moves the edge that is its own, and no other."""
    bench = knee(settings)
    bench.tap("knee", at=0, length=300)

    assert frames(bench, 2000) == [f"{pressed}: press south", f"{released}: release south"]
