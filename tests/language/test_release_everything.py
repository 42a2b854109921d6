"""The layout language, section 4, `{release: everything}`, as an action and from outside."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.language.board import board, frames
from tests.support.bench import Bench

Release = Callable[[Bench, float], None]


def by_action(bench: Bench, at: float) -> None:
    """The chin's press, bound to it in every layout here."""
    bench.press("chin", at=at)


def by_command(bench: Bench, at: float) -> None:
    """The control socket's command."""
    bench.release_everything(at=at)


@pytest.fixture(params=[by_action, by_command], ids=["action", "command"])
def release(request: pytest.FixtureRequest) -> Release:
    """Both ways to ask for it."""
    asked: Release = request.param
    return asked


def sail(rest: str, *more: str, top: str = "", **settings: str) -> Bench:
    """A base layer in which the chin releases everything."""
    return Bench(
        board(f"sail: {{chin: {{release: everything}}, {rest}}}", *more, top=top, **settings)
    )


def test_latch_ends(release: Release) -> None:
    """Section 4, release: "ends every latch"; the next press latches anew."""
    bench = sail("knee: {latch: south}")
    bench.tap("knee", at=0, length=50)
    release(bench, 500)
    bench.tap("knee", at=1000, length=50)

    assert frames(bench, 2000) == ["0: press south", "500: release south", "1000: press south"]


def test_toggled_turbo_ends(release: Release) -> None:
    """Section 4, release: "every ... turbo", in the middle of a press."""
    bench = sail("knee: {turbo: south, rate: 5/s, how: toggle}")
    bench.tap("knee", at=0, length=50)
    release(bench, 250)

    assert frames(bench, 2000) == [
        "0: press south",
        "100: release south",
        "200: press south",
        "250: release south",
    ]


def test_held_turbo_starts_again_only_at_a_fresh_press(release: Release) -> None:
    """Section 4, release: "a turbo that is held starts again only at a fresh press"."""
    bench = sail("knee: {turbo: south, rate: 5/s}")
    bench.press("knee", at=0)
    release(bench, 50)
    bench.release("knee", at=1000)
    bench.tap("knee", at=2000, length=50)

    assert frames(bench, 3000) == [
        "0: press south",
        "50: release south",
        "2000: press south",
        "2100: release south",
    ]


def test_run_out_of_a_turbo_ends(release: Release) -> None:
    """Section 4, release: at once, so no duty is played to its end."""
    bench = sail("knee: {turbo: south, rate: 4/s}")
    bench.tap("knee", at=0, length=20)
    release(bench, 50)

    assert frames(bench, 2000) == ["0: press south", "50: release south"]


def test_pulse_ends(release: Release) -> None:
    """Section 4, release: "every ... pulse"; a press after it pulses again."""
    bench = sail("knee: {pulse: south, length: 500ms}")
    bench.tap("knee", at=0, length=50)
    release(bench, 200)
    bench.tap("knee", at=300, length=50)

    assert frames(bench, 2000) == [
        "0: press south",
        "200: release south",
        "300: press south",
        "800: release south",
    ]


def test_keep_ends(release: Release) -> None:
    """Section 4, release: "every ... keep": the stick is where the hand has it."""
    bench = sail("knee: {keep: left-stick}, wand: left-stick")
    bench.move("wand", 1, 0, at=0)
    bench.tap("knee", at=100, length=50)
    bench.move("wand", 0, -1, at=200)
    release(bench, 300)
    bench.move("wand", 0, 0, at=400)

    assert frames(bench, 2000) == [
        "0: left-stick 32767 0",
        "300: left-stick 0 -32767",
        "400: left-stick 0 0",
    ]


def test_toggled_push_ends(release: Release) -> None:
    """Section 4, release: "every ... push", on its ramp or after it."""
    bench = sail(
        "knee: {push: left-stick, toward: up, how: toggle}, "
        "cheek: {push: right-stick, toward: right, ramp: 100ms, how: toggle}"
    )
    bench.tap("knee", at=0, length=50)
    bench.press("cheek", at=100)
    release(bench, 120)

    assert frames(bench, 2000) == [
        "0: left-stick 0 -32767",
        "108: right-stick 2621 0",
        "116: right-stick 5243 0",
        "120: left-stick 0 0, right-stick 0 0",
    ]


def test_steps_end(release: Release) -> None:
    """Section 4, release: "every ... steps", the running step and those to come."""
    bench = sail("knee: {steps: [south, east, north]}")
    bench.tap("knee", at=0, length=30)
    release(bench, 150)
    bench.tap("knee", at=500, length=30)

    assert frames(bench, 600) == [
        "0: press south",
        "60: release south",
        "120: press east",
        "150: release east",
        "500: press south",
        "560: release south",
    ]


def test_scan_ends(release: Release) -> None:
    """Section 4, release: "every ... scan": the next press starts one."""
    bench = sail("knee: {scan: [south, east]}")
    bench.tap("knee", at=0, length=50)
    release(bench, 500)
    bench.tap("knee", at=1000, length=50)
    bench.tap("knee", at=1500, length=50)

    assert frames(bench, 9000) == ["1500: press south", "1550: release south"]


def test_toggled_cycled_and_next_layers_go_off(release: Release) -> None:
    """Section 4, release: "and toggled, cycled or `next` layer of everyone"."""
    for action, taps in (
        ("{layer: net, how: toggle}", 1),
        ("{cycle: [sail, net]}", 1),
        ("{layer: net, how: next}", 1),
        ("{layer: net, how: next}", 2),
    ):
        bench = sail(f"knee: {action}, cheek: south", "net: {cheek: east}")
        for at in range(taps):
            bench.tap("knee", at=100 * at, length=50)
        release(bench, 300)
        bench.tap("cheek", at=500, length=50)
        bench.tap("knee", at=600, length=50)  # and it begins anew
        bench.tap("cheek", at=700, length=50)

        assert (action, frames(bench, 1000)) == (
            action,
            ["500: press south", "550: release south", "700: press east", "750: release east"],
        )


def test_what_a_hand_holds_stays(release: Release) -> None:
    """Section 4, release: "what a hand still holds stays": buttons, sticks and held layers."""
    bench = sail(
        "knee: south, wand: left-stick, pedal: right-trigger, elbow: {layer: net}, cheek: east",
        "net: {cheek: west}",
    )
    bench.press("knee", at=0)
    bench.move("wand", 1, 0, at=10)
    bench.move("pedal", 1, at=20)
    bench.press("elbow", at=30)
    release(bench, 200)
    bench.tap("cheek", at=300, length=50)
    bench.release("knee", at=400)

    assert frames(bench, 1000) == [
        "0: press south",
        "10: left-stick 32767 0",
        "20: right-trigger 255",
        "300: press west",
        "350: release west",
        "400: release south",
    ]


def test_target_that_a_hand_holds_stays_when_its_latch_ends(release: Release) -> None:
    """Section 4, release, with section 6: still pressed by the hand."""
    bench = sail("knee: {latch: south}, cheek: south")
    bench.tap("knee", at=0, length=50)
    bench.press("cheek", at=100)
    release(bench, 200)
    bench.release("cheek", at=300)

    assert frames(bench, 1000) == ["0: press south", "300: release south"]


def test_everyones_at_once_in_one_frame(release: Release) -> None:
    """Section 4, release: "of everyone, at once"."""
    bench = sail(
        "knee: {latch: south}, cheek: {layer: net, how: toggle}, mate: {latch: north}, "
        "crew: {turbo: east, rate: 2/s, how: toggle}, wand: left-stick",
        "net: {wand: right-stick}",
    )
    bench.tap("knee", at=0, length=50)
    bench.tap("cheek", at=50, length=50)
    bench.tap("mate", at=100, length=50)
    bench.tap("crew", at=150, length=50)
    bench.move("wand", 1, 0, at=200)
    release(bench, 300)

    assert frames(bench, 2000) == [
        "0: press south",
        "100: press north",
        "150: press east",
        "200: right-stick 32767 0",
        "300: release south, release east, release north, left-stick 32767 0, right-stick 0 0",
    ]


def test_it_is_not_delayed(release: Release) -> None:
    """Section 7: "`release: everything`, ... are not delayed"."""
    bench = sail("knee: {latch: south}")
    bench.press("knee", at=0)
    release(bench, 10)

    assert frames(bench, 1000) == ["0: press south", "10: release south"]


def test_it_shows_every_release_that_waits(release: Release) -> None:
    """Section 12, 6: "shows every release that waits"."""
    bench = sail("knee: south, cheek: {latch: east}", knee="debounce: 0ms")
    bench.tap("cheek", at=0, length=50)
    bench.press("knee", at=100)
    bench.release("knee", at=105)
    release(bench, 110)

    assert frames(bench, 1000) == [
        "0: press east",
        "100: press south",
        "110: release south, release east",
    ]


def test_it_drops_presses_that_came_and_went(release: Release) -> None:
    """Section 12, 6: "and drops presses that came and went"."""
    bench = sail("knee: south, cheek: {latch: east}", knee="debounce: 0ms")
    bench.tap("cheek", at=0, length=50)
    bench.tap("knee", at=100, length=50)
    bench.tap("knee", at=155, length=5)  # would be shown at 184
    release(bench, 170)

    assert frames(bench, 1000) == [
        "0: press east",
        "100: press south",
        "150: release south",
        "170: release east",
    ]


def test_nothing_to_release_makes_no_frame(release: Release) -> None:
    """Section 7: "Only what changed"."""
    bench = sail("knee: south")
    release(bench, 100)

    assert frames(bench, 1000) == []


def test_short_or_long_that_a_hand_holds_stays(release: Release) -> None:
    """Section 4, release: it is not among what ends, and the hand holds it still."""
    bench = sail("knee: {short: south, long: east, after: 500ms}")
    bench.press("knee", at=0)
    release(bench, 200)
    bench.release("knee", at=700)

    assert frames(bench, 2000) == ["500: press east", "700: release east"]
