"""The layout language, section 4: short and long, once and twice, on-release."""

from __future__ import annotations

import pytest

from tests.language.board import board, frames
from tests.support.bench import Bench

NET = "net: {cheek: east}"

# ------------------------------------------------------------------ short and long


def test_short_press_taps_the_short_action_at_the_release() -> None:
    """Section 4, short/long: "if earlier, A is pressed for `tap`"."""
    bench = Bench(board("play: {knee: {short: south, long: east, after: 500ms}}"))
    bench.tap("knee", at=0, length=300)

    assert frames(bench, 2000) == ["300: press south", "360: release south"]


def test_long_press_presses_the_long_action_until_the_release() -> None:
    """Section 4, short/long: "when held for `after`, action B is pressed"; then released."""
    bench = Bench(board("play: {knee: {short: south, long: east, after: 500ms}}"))
    bench.tap("knee", at=0, length=900)

    assert frames(bench, 2000) == ["500: press east", "900: release east"]


def test_after_is_800_ms_unless_said() -> None:
    """Section 4, short/long: the row's own figure."""
    bench = Bench(board("play: {knee: {short: south, long: east}}"))
    bench.tap("knee", at=0, length=799)
    bench.tap("knee", at=1000, length=900)

    assert frames(bench, 3000) == [
        "799: press south",
        "859: release south",
        "1800: press east",
        "1900: release east",
    ]


def test_release_just_after_is_long() -> None:
    """Section 7: at `after` the timer comes before the release."""
    bench = Bench(board("play: {knee: {short: south, long: east, after: 500ms}}"))
    bench.tap("knee", at=0, length=500)

    assert frames(bench, 2000) == ["500: press east", "534: release east"]


def test_tap_is_a_setting_of_the_file() -> None:
    """Section 2: "`tap: 60ms` (the length of a press that the engine makes up)"."""
    bench = Bench(board("play: {knee: {short: south, long: east}}", top="tap: 100ms"))
    bench.tap("knee", at=0, length=50)

    assert frames(bench, 2000) == ["50: press south", "150: release south"]


def test_short_toggles_a_layer_and_long_presses() -> None:
    """Section 4: "A, B, items and steps may be any action"."""
    bench = Bench(
        board("sail: {knee: {short: {layer: net, how: toggle}, long: north}, cheek: south}", NET)
    )
    bench.tap("knee", at=0, length=100)
    bench.tap("cheek", at=200, length=50)
    bench.tap("knee", at=300, length=900)
    bench.tap("cheek", at=1300, length=50)
    bench.tap("knee", at=1400, length=100)
    bench.tap("cheek", at=1600, length=50)

    assert frames(bench, 3000) == [
        "200: press east",
        "250: release east",
        "1100: press north",
        "1200: release north",
        "1300: press east",
        "1350: release east",
        "1600: press south",
        "1650: release south",
    ]


def test_short_that_holds_a_layer_has_it_on_for_a_tap() -> None:
    """Section 4: A is pressed for `tap`, and a layer that is held goes off at its end."""
    bench = Bench(board("sail: {knee: {short: {layer: net}, long: north}, cheek: south}", NET))
    bench.tap("knee", at=0, length=100)
    bench.tap("cheek", at=120, length=50)
    bench.tap("cheek", at=200, length=50)

    assert frames(bench, 2000) == [
        "120: press east",
        "170: release east",
        "200: press south",
        "250: release south",
    ]


def test_long_holds_a_layer_while_the_control_is_held() -> None:
    """Section 4: B gets its press at `after` and its release with the control's."""
    bench = Bench(
        board("sail: {knee: {short: north, long: {layer: net}, after: 500ms}, cheek: south}", NET)
    )
    bench.press("knee", at=0)
    bench.tap("cheek", at=100, length=50)
    bench.tap("cheek", at=600, length=50)
    bench.release("knee", at=700)
    bench.tap("cheek", at=800, length=50)

    assert frames(bench, 2000) == [
        "100: press south",
        "150: release south",
        "600: press east",
        "650: release east",
        "800: press south",
        "850: release south",
    ]


def test_short_and_long_belong_to_the_layer_of_their_press() -> None:
    """Section 5: the press's action is what waits, whatever layers change meanwhile."""
    bench = Bench(
        board(
            "sail: {knee: {short: south, long: east, after: 500ms}, elbow: {layer: net}}",
            "net: {knee: west}",
        )
    )
    bench.press("knee", at=0)
    bench.press("elbow", at=100)
    bench.release("knee", at=200)
    bench.tap("knee", at=400, length=100)
    bench.release("elbow", at=600)

    assert frames(bench, 2000) == [
        "200: press south",
        "260: release south",
        "400: press west",
        "500: release west",
    ]


def test_each_short_press_gives_a_tap() -> None:
    """Section 4, short/long: one after the other."""
    bench = Bench(board("play: {knee: {short: south, long: east}}"))
    bench.tap("knee", at=0, length=20)
    bench.tap("knee", at=120, length=20)

    assert frames(bench, 2000) == [
        "20: press south",
        "80: release south",
        "140: press south",
        "200: release south",
    ]


def test_short_latch_and_long_turbo() -> None:
    """Section 4: actions that last go on after the tap; a turbo runs while B is pressed."""
    bench = Bench(
        board("play: {knee: {short: {latch: south}, long: {turbo: east, rate: 5/s}, after: 500ms}}")
    )
    bench.tap("knee", at=0, length=100)
    bench.tap("knee", at=200, length=750)
    bench.tap("knee", at=1500, length=100)

    assert frames(bench, 3000) == [
        "100: press south",
        "700: press east",
        "800: release east",
        "900: press east",
        "1000: release east",
        "1600: release south",
    ]


def test_long_within_short_and_long_counts_from_its_own_press() -> None:
    """Section 4: any action, so B may itself wait for its release."""
    bench = Bench(
        board(
            "play: {knee: {short: south, long: {short: east, long: north, after: 300ms}, "
            "after: 500ms}}"
        )
    )
    bench.tap("knee", at=0, length=600)
    bench.tap("knee", at=1000, length=900)

    assert frames(bench, 3000) == [
        "600: press east",
        "660: release east",
        "1800: press north",
        "1900: release north",
    ]


# ------------------------------------------------------------------ once and twice

TWICE = "play: {knee: {once: south, twice: east, within: 400ms}}"


def test_once_is_tapped_when_the_time_is_over() -> None:
    """Section 4, once/twice: "A is pressed for `tap` when `within` is over"."""
    bench = Bench(board(TWICE))
    bench.tap("knee", at=0, length=100)

    assert frames(bench, 2000) == ["400: press south", "460: release south"]


def test_within_is_500_ms_unless_said() -> None:
    """Section 4, once/twice: the row's own figure."""
    bench = Bench(board("play: {knee: {once: south, twice: east}}"))
    bench.tap("knee", at=0, length=100)

    assert frames(bench, 2000) == ["500: press south", "560: release south"]


def test_second_press_in_time_presses_twice_until_its_release() -> None:
    """Section 4, once/twice: "the second press within `within` of the first's presses B"."""
    bench = Bench(board(TWICE))
    bench.tap("knee", at=0, length=100)
    bench.tap("knee", at=399, length=300)

    assert frames(bench, 2000) == ["399: press east", "699: release east"]


def test_second_press_too_late_is_a_first() -> None:
    """Section 7: at `within` the timer comes before the press."""
    bench = Bench(board(TWICE))
    bench.tap("knee", at=0, length=100)
    bench.tap("knee", at=400, length=100)

    assert frames(bench, 2000) == [
        "400: press south",
        "460: release south",
        "800: press south",
        "860: release south",
    ]


def test_third_press_is_a_first_again() -> None:
    """Section 4, once/twice: the second has used up the first."""
    bench = Bench(board(TWICE))
    for at in (0, 150, 300):
        bench.tap("knee", at=at, length=60)

    assert frames(bench, 2000) == [
        "150: press east",
        "210: release east",
        "700: press south",
        "760: release south",
    ]


def test_once_comes_though_the_first_press_is_still_held() -> None:
    """Section 4, once/twice: with no second press in time, whatever the first's release does."""
    bench = Bench(board(TWICE))
    bench.tap("knee", at=0, length=1000)

    assert frames(bench, 2000) == ["400: press south", "460: release south"]


def test_once_is_a_layer_toggle() -> None:
    """Section 4: A may be any action."""
    bench = Bench(
        board("sail: {knee: {once: {layer: net, how: toggle}, twice: north}, cheek: south}", NET)
    )
    bench.tap("knee", at=0, length=50)
    bench.tap("cheek", at=450, length=30)
    bench.tap("cheek", at=600, length=50)

    assert frames(bench, 2000) == [
        "450: press south",
        "484: release south",
        "600: press east",
        "650: release east",
    ]


def test_twice_holds_a_layer() -> None:
    """Section 4: B is pressed and released with the second press."""
    bench = Bench(board("sail: {knee: {once: north, twice: {layer: net}}, cheek: south}", NET))
    bench.tap("knee", at=0, length=50)
    bench.press("knee", at=200)
    bench.tap("cheek", at=300, length=50)
    bench.release("knee", at=400)
    bench.tap("cheek", at=500, length=50)

    assert frames(bench, 2000) == [
        "300: press east",
        "350: release east",
        "500: press south",
        "550: release south",
    ]


# ------------------------------------------------------------------ on-release


@pytest.mark.parametrize("length", [50, 5000])
def test_on_release_taps_at_the_release(length: int) -> None:
    """Section 4, on-release: "A is pressed for `tap`"."""
    bench = Bench(board("play: {knee: {on-release: south}}"))
    bench.tap("knee", at=0, length=length)

    assert frames(bench, 9000) == [f"{length}: press south", f"{length + 60}: release south"]


def test_on_release_of_a_press_that_longest_ended() -> None:
    """Section 3, longest: the press ends by itself, and that is its release."""
    bench = Bench(board("play: {knee: {on-release: south}}", knee="longest: 300ms"))
    bench.tap("knee", at=0, length=1000)

    assert frames(bench, 9000) == ["300: press south", "360: release south"]


def test_on_release_toggles_a_layer() -> None:
    """Section 4: A may be any action; it is not on while the control is held."""
    bench = Bench(board("sail: {knee: {on-release: {layer: net, how: toggle}}, cheek: south}", NET))
    bench.press("knee", at=0)
    bench.tap("cheek", at=100, length=50)
    bench.release("knee", at=200)
    bench.tap("cheek", at=300, length=50)

    assert frames(bench, 2000) == [
        "100: press south",
        "150: release south",
        "300: press east",
        "350: release east",
    ]


def test_on_release_of_an_accepted_press_only() -> None:
    """Section 3, acceptance-delay: "a shorter one does nothing at all"."""
    bench = Bench(board("play: {knee: {on-release: south}}", knee="acceptance-delay: 100ms"))
    bench.tap("knee", at=0, length=50)
    bench.tap("knee", at=200, length=150)

    assert frames(bench, 2000) == ["350: press south", "410: release south"]
