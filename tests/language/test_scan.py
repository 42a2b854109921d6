"""The layout language, section 4, scan, and section 12, 4: items offered one after another."""

from __future__ import annotations

import pytest

from remapd.engine import NoticeKind
from tests.language.board import board, frames, milliseconds
from tests.support.bench import Bench

SCAN = "play: {knee: {scan: [south, east, north], every: 1s, first: 2s, rounds: 2}}"


def announced(bench: Bench) -> list[str]:
    """When items were announced and the scan ended, with what each was."""
    return [
        f"{milliseconds(notice.us)} {notice.text}"
        if notice.kind is NoticeKind.SCAN_ITEM
        else f"{milliseconds(notice.us)} end"
        for notice in bench.notices
        if notice.kind in {NoticeKind.SCAN_ITEM, NoticeKind.SCAN_END}
    ]


def test_items_change_every_every_and_the_first_after_first() -> None:
    """Section 4, scan: "items change every `every` (the first after `first`)"; it ends itself."""
    bench = Bench(board(SCAN))
    bench.tap("knee", at=0, length=100)
    bench.until(20_000)

    assert bench.neutral
    assert frames(bench) == []
    assert announced(bench) == [
        "0 south",
        "2000 east",
        "3000 north",
        "4000 south",
        "5000 east",
        "6000 north",
        "7000 end",
    ]


@pytest.mark.parametrize(
    ("at", "item"),
    [(1000, "south"), (1999, "south"), (2500, "east"), (3500, "north"), (4500, "south")],
)
def test_next_press_is_the_announced_items_press_and_release(at: int, item: str) -> None:
    """Section 4, scan: "the next press is that item's press (and release), and ends the scan"."""
    bench = Bench(board(SCAN))
    bench.tap("knee", at=0, length=100)
    bench.tap("knee", at=at, length=300)

    assert frames(bench, 20_000) == [f"{at}: press {item}", f"{at + 300}: release {item}"]


def test_item_that_changes_at_a_presss_own_time_has_changed() -> None:
    """Section 12, 4: "an item that changes at a press's own time has changed"."""
    bench = Bench(board(SCAN))
    bench.tap("knee", at=0, length=100)
    bench.tap("knee", at=2000, length=100)

    assert frames(bench, 20_000) == ["2000: press east", "2100: release east"]


def test_choice_ends_the_scan() -> None:
    """Section 4, scan: the press after the choice starts a new scan, at its first item."""
    bench = Bench(board(SCAN))
    bench.tap("knee", at=0, length=100)
    bench.tap("knee", at=2500, length=100)
    bench.tap("knee", at=5000, length=100)
    bench.tap("knee", at=6000, length=100)

    assert frames(bench, 20_000) == [
        "2500: press east",
        "2600: release east",
        "6000: press south",
        "6100: release south",
    ]


def test_first_press_held_long_chooses_nothing() -> None:
    """Section 4, scan: it is the next press that chooses, not the first one's release."""
    bench = Bench(board(SCAN))
    bench.tap("knee", at=0, length=5500)
    bench.tap("knee", at=5800, length=100)

    assert frames(bench, 20_000) == ["5800: press east", "5900: release east"]


def test_press_after_the_last_round_starts_a_new_scan() -> None:
    """Section 4, scan: "after `rounds` it ends by itself"."""
    bench = Bench(board(SCAN))
    bench.tap("knee", at=0, length=100)
    bench.tap("knee", at=7000, length=100)
    bench.tap("knee", at=8000, length=100)

    assert frames(bench, 20_000) == ["8000: press south", "8100: release south"]


def test_defaults_of_a_scan() -> None:
    """Section 4, scan: the row's own figures, 1 s, 2 s and 3 rounds."""
    bench = Bench(board("play: {knee: {scan: [south, east]}}"))
    bench.tap("knee", at=0, length=100)
    bench.until(20_000)

    assert announced(bench) == [
        "0 south",
        "2000 east",
        "3000 south",
        "4000 east",
        "5000 south",
        "6000 east",
        "7000 end",
    ]


def test_items_may_be_any_action() -> None:
    """Section 4: "A, B, items and steps may be any action"."""
    bench = Bench(
        board(
            "sail: {knee: {scan: [{layer: net, how: toggle}, {latch: north}, "
            "{turbo: west, rate: 5/s}], every: 1s, first: 1s}, cheek: south}",
            "net: {cheek: east}",
        )
    )
    for start, choice in ((0, 500), (10_000, 11_500), (20_000, 22_500)):
        bench.tap("knee", at=start, length=100)
        bench.tap("knee", at=choice, length=150)
    bench.tap("cheek", at=30_000, length=100)

    assert frames(bench, 40_000) == [
        "11500: press north",
        "22500: press west",
        "22600: release west",
        "30000: press east",
        "30100: release east",
    ]


def test_item_is_held_while_the_choosing_press_is() -> None:
    """Section 4, scan: that item's press and release: a held layer is held."""
    bench = Bench(
        board(
            "sail: {knee: {scan: [{layer: net}, north], every: 1s, first: 1s}, cheek: south}",
            "net: {cheek: east}",
        )
    )
    bench.tap("knee", at=0, length=100)
    bench.press("knee", at=500)
    bench.tap("cheek", at=3000, length=100)
    bench.release("knee", at=4000)
    bench.tap("cheek", at=5000, length=100)

    assert frames(bench, 9000) == [
        "3000: press east",
        "3100: release east",
        "5000: press south",
        "5100: release south",
    ]


def test_presses_go_to_the_scan_alone_whatever_layers_change() -> None:
    """Section 12, 4: presses of the control that began it "go to it alone"."""
    bench = Bench(
        board(
            "sail: {knee: {scan: [south, east], every: 1s, first: 1s}, "
            "elbow: {layer: net, how: toggle}}",
            "net: {knee: west}",
        )
    )
    bench.tap("knee", at=0, length=100)
    bench.tap("elbow", at=200, length=100)
    bench.tap("knee", at=1500, length=100)
    bench.tap("knee", at=3000, length=100)

    assert frames(bench, 9000) == [
        "1500: press east",
        "1600: release east",
        "3000: press west",
        "3100: release west",
    ]


def test_other_controls_are_free_while_a_scan_runs() -> None:
    """Section 4, scan: only its own control (and pick) belong to it."""
    bench = Bench(board("play: {knee: {scan: [south, east]}, cheek: north}"))
    bench.tap("knee", at=0, length=100)
    bench.tap("cheek", at=500, length=100)
    bench.tap("knee", at=1000, length=100)

    assert frames(bench, 9000) == [
        "500: press north",
        "600: release north",
        "1000: press south",
        "1100: release south",
    ]


def test_second_scan_ends_the_first() -> None:
    """Section 12, 4: "a second scan ends the first"."""
    bench = Bench(board("play: {knee: {scan: [south, east]}, cheek: {scan: [north, west]}}"))
    bench.tap("knee", at=0, length=100)
    bench.tap("cheek", at=500, length=100)
    bench.tap("knee", at=1000, length=100)  # starts a scan again, which ends the second
    bench.tap("knee", at=1500, length=100)

    assert frames(bench, 9000) == ["1500: press south", "1600: release south"]


# ------------------------------------------------------------------ by hand

BY_HAND = "play: {knee: {scan: [south, east, north], pick: cheek}, cheek: west}"


def test_by_hand_presses_go_to_the_next_item_and_pick_takes_it() -> None:
    """Section 4, scan: "presses here go to the next item, a press of that control takes it"."""
    bench = Bench(board(BY_HAND))
    for at in (0, 500):
        bench.tap("knee", at=at, length=100)
    bench.tap("cheek", at=1000, length=200)

    assert frames(bench, 60_000) == ["1000: press east", "1200: release east"]


def test_by_hand_the_items_go_round() -> None:
    """Section 4, scan: after the last item comes the first."""
    bench = Bench(board(BY_HAND))
    for at in (0, 500, 1000, 1500):
        bench.tap("knee", at=at, length=100)
    bench.tap("cheek", at=2000, length=200)

    assert frames(bench, 60_000) == ["2000: press south", "2200: release south"]


def test_by_hand_time_changes_no_item() -> None:
    """Section 4, scan: made by hand, nothing goes on by itself."""
    bench = Bench(board(BY_HAND))
    bench.tap("knee", at=0, length=100)
    bench.until(1500)

    assert announced(bench) == ["0 south"]


def test_pick_has_its_own_action_when_no_scan_runs() -> None:
    """Section 12, 4: presses of `pick` belong to a scan only while it runs."""
    bench = Bench(board(BY_HAND))
    bench.tap("cheek", at=0, length=100)
    bench.tap("knee", at=500, length=100)
    bench.tap("cheek", at=1000, length=100)
    bench.tap("cheek", at=1500, length=100)

    assert frames(bench, 60_000) == [
        "0: press west",
        "100: release west",
        "1000: press south",
        "1100: release south",
        "1500: press west",
        "1600: release west",
    ]


def test_pick_goes_to_the_scan_whatever_layers_change() -> None:
    """Section 12, 4: "and of `pick`, go to it alone, whatever layers change"."""
    bench = Bench(
        board(
            "sail: {knee: {scan: [south, east], pick: cheek}, elbow: {layer: net, how: toggle}}",
            "net: {cheek: north, knee: west}",
        )
    )
    bench.tap("knee", at=0, length=100)
    bench.tap("elbow", at=200, length=100)
    bench.tap("knee", at=500, length=100)
    bench.tap("cheek", at=800, length=100)

    assert frames(bench, 60_000) == ["800: press east", "900: release east"]
