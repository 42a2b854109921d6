"""The layout language, section 8: reload, unplug, plug, pause; with section 12, 2 and 14."""

from __future__ import annotations

import pytest

from tests.language.board import board, frames
from tests.support.bench import Bench

NET = "net: {cheek: east}"

# ------------------------------------------------------------------ reload


def test_reload_releases_everything_in_one_frame() -> None:
    """Section 8, reload: "everything that the old one pressed is released", in one frame."""
    bench = Bench(
        board(
            "sail: {knee: south, cheek: {latch: east}, elbow: {push: right-stick, toward: up, "
            "how: toggle}, pedal: right-trigger}"
        )
    )
    bench.press("knee", at=0)
    bench.tap("cheek", at=10, length=50)
    bench.tap("elbow", at=100, length=50)
    bench.move("pedal", 1, at=200)
    bench.swap(board("sail: {knee: north, pedal: nothing}"), at=300)

    assert frames(bench, 2000) == [
        "0: press south",
        "10: press east",
        "100: right-stick 0 -32767",
        "200: right-trigger 255",
        "300: release south, release east, right-stick 0 0, right-trigger 0",
    ]


def test_button_held_over_a_reload_acts_only_after_a_fresh_press() -> None:
    """Section 8, reload: "a button that is held down acts again only after a fresh press"."""
    bench = Bench(board("sail: {knee: south}"))
    bench.press("knee", at=0)
    bench.swap(board("sail: {knee: north}"), at=300)
    bench.release("knee", at=500)
    bench.tap("knee", at=600, length=100)

    assert frames(bench, 2000) == [
        "0: press south",
        "300: release south",
        "600: press north",
        "700: release north",
    ]


def test_reload_with_the_same_text_releases_too() -> None:
    """Section 8, reload: the rule does not ask what has changed."""
    text = board("sail: {knee: south}")
    bench = Bench(text)
    bench.press("knee", at=0)
    bench.swap(text, at=300)
    bench.release("knee", at=500)

    assert frames(bench, 2000) == ["0: press south", "300: release south"]


def test_sticks_take_their_new_targets_at_once() -> None:
    """Section 8, reload: "sticks take their new targets at once", in the same frame."""
    bench = Bench(board("sail: {wand: left-stick, pedal: left-trigger}"))
    bench.move("wand", 0, -1, at=0)
    bench.move("pedal", 1, at=10)
    bench.swap(board("sail: {wand: right-stick, pedal: right-trigger}"), at=300)

    assert frames(bench, 2000) == [
        "0: left-stick 0 -32767",
        "10: left-trigger 255",
        "300: left-stick 0 0, right-stick 0 -32767, left-trigger 0, right-trigger 255",
    ]


def test_stick_that_keeps_its_target_over_a_reload_makes_no_frame() -> None:
    """Section 7 and 8: one frame, and in it only what changed."""
    bench = Bench(board("sail: {wand: left-stick}"))
    bench.move("wand", 0, -1, at=0)
    bench.swap(board("sail: {wand: left-stick, knee: south}"), at=300)

    assert frames(bench, 2000) == ["0: left-stick 0 -32767"]


def test_stick_takes_its_new_conditioning_at_a_reload() -> None:
    """Section 8, reload: the present deflection, through the new layout."""
    bench = Bench(board("sail: {wand: left-stick}", wand="dead-zone: 0%"))
    bench.move("wand", 0.5, 0, at=0)
    bench.swap(board("sail: {wand: left-stick}", wand="dead-zone: 0%, reach: 50%"), at=300)

    assert frames(bench, 2000) == ["0: left-stick 16384 0", "300: left-stick 32767 0"]


def test_direction_held_over_a_reload_needs_a_fresh_press() -> None:
    """Section 8, reload: a direction is a button."""
    text = board("sail: {wand.up: south}")
    bench = Bench(text)
    bench.move("wand", 0, -1, at=0)
    bench.swap(text, at=300)
    bench.move("wand", 0, 0, at=400)
    bench.move("wand", 0, -1, at=500)

    assert frames(bench, 2000) == ["0: press south", "300: release south", "500: press south"]


def test_timers_end_at_a_reload() -> None:
    """Section 8, reload: "latches and timers end"."""
    layers = (
        "sail: {knee: {turbo: south, rate: 5/s, how: toggle}, cheek: {short: east, long: west}, "
        "elbow: {once: north, twice: select}, thumb: {steps: [start, mode]}, "
        "heel: {scan: [west, select]}}"
    )
    bench = Bench(board(layers))
    for at, control in enumerate(("knee", "elbow", "thumb", "heel")):
        bench.tap(control, at=20 * at, length=20)
    bench.press("cheek", at=85)
    bench.swap(board(layers), at=90)
    bench.release("cheek", at=2000)

    assert frames(bench, 9000)[-1] == "90: release south, release start"
    assert bench.neutral


def test_pending_acceptance_ends_at_a_reload() -> None:
    """Section 8, reload: a press on its way has not counted, and never will."""
    text = board("sail: {knee: south}", knee="acceptance-delay: 500ms")
    bench = Bench(text)
    bench.press("knee", at=0)
    bench.swap(text, at=300)
    bench.release("knee", at=2000)

    assert frames(bench, 9000) == []


def test_on_release_is_not_given_by_a_reload() -> None:
    """Section 8, reload: what was pending is no release by a hand."""
    text = board("sail: {knee: {on-release: south}}")
    bench = Bench(text)
    bench.press("knee", at=0)
    bench.swap(text, at=300)
    bench.release("knee", at=500)

    assert frames(bench, 9000) == []


def test_toggled_layers_that_still_exist_stay_on() -> None:
    """Section 8, reload: "toggled layers that still exist stay on"."""
    bench = Bench(board("sail: {knee: {layer: net, how: toggle}, cheek: south}", NET))
    bench.tap("knee", at=0, length=50)
    bench.swap(
        board("sail: {knee: {layer: net, how: toggle}, cheek: south}", "net: {cheek: west}"), at=300
    )
    bench.tap("cheek", at=400, length=50)
    bench.tap("knee", at=500, length=50)
    bench.tap("cheek", at=600, length=50)

    assert frames(bench, 2000) == [
        "400: press west",
        "450: release west",
        "600: press south",
        "650: release south",
    ]


def test_toggled_layer_that_is_gone_is_off() -> None:
    """Section 8, reload: only those that still exist."""
    bench = Bench(board("sail: {knee: {layer: net, how: toggle}, cheek: south}", NET))
    bench.tap("knee", at=0, length=50)
    bench.swap(board("sail: {cheek: north}", "chart: {cheek: west}"), at=300)
    bench.tap("cheek", at=400, length=50)

    assert frames(bench, 2000) == ["400: press north", "450: release north"]


def test_toggled_layers_are_found_by_name() -> None:
    """Section 8, reload: a layer is its name, wherever it stands in the new file."""
    bench = Bench(
        board("sail: {knee: {layer: net, how: toggle}, cheek: south}", NET, "chart: {cheek: west}")
    )
    bench.tap("knee", at=0, length=50)
    bench.swap(
        board("sail: {cheek: south}", "chart: {cheek: west}", "haul: {cheek: start}", NET), at=300
    )
    bench.tap("cheek", at=400, length=50)

    assert frames(bench, 2000) == ["400: press east", "450: release east"]


def test_cycled_layers_stay_on() -> None:
    """Section 12, 14: "cycled ones and a `next` that stays on stay too"."""
    text = board(
        "sail: {knee: {cycle: [sail, net, chart]}, cheek: south}", NET, "chart: {cheek: west}"
    )
    bench = Bench(text)
    bench.tap("knee", at=0, length=50)
    bench.swap(text, at=300)
    bench.tap("cheek", at=400, length=50)
    bench.tap("knee", at=500, length=50)
    bench.tap("cheek", at=600, length=50)

    assert frames(bench, 2000) == [
        "400: press east",
        "450: release east",
        "600: press west",
        "650: release west",
    ]


def test_next_that_stays_on_stays_and_a_waiting_one_ends() -> None:
    """Section 12, 14: "a waiting `next` ends"."""
    text = board("sail: {knee: {layer: net, how: next}, cheek: south}", NET)
    for taps, out in ((1, "south"), (2, "east")):
        bench = Bench(text)
        for at in range(taps):
            bench.tap("knee", at=100 * at, length=50)
        bench.swap(text, at=300)
        bench.tap("cheek", at=400, length=50)

        assert frames(bench, 2000) == [f"400: press {out}", f"450: release {out}"]


def test_held_layer_ends_at_a_reload() -> None:
    """Section 8, reload: only toggled layers stay; a held button acts after a fresh press."""
    text = board("sail: {knee: {layer: net}, cheek: south}", NET)
    bench = Bench(text)
    bench.press("knee", at=0)
    bench.swap(text, at=300)
    bench.tap("cheek", at=400, length=50)

    assert frames(bench, 2000) == ["400: press south", "450: release south"]


def test_reload_is_not_delayed() -> None:
    """Section 7: a reload shows its releases at once."""
    text = board("sail: {knee: south}")
    bench = Bench(text)
    bench.press("knee", at=0)
    bench.swap(text, at=10)

    assert frames(bench, 2000) == ["0: press south", "10: release south"]


def test_reload_brings_a_device_that_was_not_described_before() -> None:
    """Section 8: a device is taken by `find`, by the new layout too."""
    bench = Bench(board("sail: {knee: south}"))
    bench.swap(board("sail: {knee: south, wand: left-stick}"), at=100)
    bench.move("wand", 1, 0, at=200)

    assert frames(bench, 2000) == ["200: left-stick 32767 0"]


# ------------------------------------------------------------------ unplug


def test_unplug_ends_all_that_the_device_holds_or_began_in_one_frame() -> None:
    """Section 8, unplug: "Everything that the device's controls hold or began ... ends"."""
    bench = Bench(
        board(
            "sail: {knee: south, cheek: {latch: east}, elbow: {turbo: north, rate: 1/s, "
            "how: toggle}, thumb: {pulse: west, length: 1s}, heel: {push: left-stick, toward: up, "
            "how: toggle}, chin: {steps: [start, mode]}}"
        )
    )
    bench.press("knee", at=0)
    for at, control in enumerate(("cheek", "elbow", "thumb", "heel")):
        bench.tap(control, at=100 + 20 * at, length=20)
    bench.press("chin", at=200)
    bench.unplug("switches", at=230)

    assert frames(bench, 9000)[-1] == (
        "230: release south, release east, release west, release north, release start, "
        "left-stick 0 0"
    )
    assert bench.neutral


def test_what_was_due_before_comes_before_what_happens_to_devices_and_layouts() -> None:
    """Section 7: what is due comes first, though nobody woke up for it."""
    text = board("sail: {knee: {turbo: south, rate: 5/s, how: toggle}, wand: left-stick}")
    for happening in ("swap", "unplug", "pause", "release"):
        bench = Bench(text)
        bench.tap("knee", at=0, length=50)
        if happening == "swap":
            bench.swap(text, at=450)
        elif happening == "unplug":
            bench.unplug("switches", at=450)
        elif happening == "pause":
            bench.pause(at=450)
        else:
            bench.release_everything(at=450)

        assert (happening, frames(bench, 2000)) == (
            happening,
            [
                "0: press south",
                "100: release south",
                "200: press south",
                "300: release south",
                "400: press south",
                "450: release south",
            ],
        )


def test_unplugged_stick_is_centred() -> None:
    """Section 8, unplug: what it moved goes to rest."""
    bench = Bench(board("sail: {wand: left-stick, knee: south}"))
    bench.move("wand", 1, 0, at=0)
    bench.press("knee", at=100)
    bench.unplug("joystick", at=200)
    bench.release("knee", at=300)

    assert frames(bench, 2000) == [
        "0: left-stick 32767 0",
        "100: press south",
        "200: left-stick 0 0",
        "300: release south",
    ]


def test_what_was_pending_comes_to_nothing() -> None:
    """Section 8, unplug: "what was pending comes to nothing"."""
    bench = Bench(
        board(
            "sail: {knee: {short: south, long: east}, cheek: {once: north, twice: west}, "
            "elbow: {on-release: start}, thumb: {scan: [select, mode]}, heel: south}",
            heel="acceptance-delay: 500ms",
        )
    )
    bench.press("knee", at=0)
    bench.tap("cheek", at=10, length=20)
    bench.press("elbow", at=40)
    bench.tap("thumb", at=50, length=20)
    bench.press("heel", at=80)
    bench.unplug("switches", at=100)

    assert frames(bench, 9000) == []


def test_run_out_of_an_unplugged_turbo_ends() -> None:
    """Section 8, unplug: a turbo ends in that frame, its duty too."""
    bench = Bench(board("sail: {knee: {turbo: south, rate: 2/s}}"))
    bench.tap("knee", at=0, length=50)
    bench.unplug("switches", at=100)

    assert frames(bench, 9000) == ["0: press south", "100: release south"]


def test_press_waiting_for_a_run_out_comes_to_nothing() -> None:
    """Section 8, unplug: pending."""
    bench = Bench(board("sail: {knee: {turbo: south, rate: 2/s}}"))
    bench.tap("knee", at=0, length=50)
    bench.press("knee", at=100)
    bench.unplug("switches", at=150)

    assert frames(bench, 9000) == ["0: press south", "150: release south"]


def test_toggled_layers_stay_when_the_device_goes() -> None:
    """Section 8, unplug: "toggled layers stay"."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: toggle}, wand: left-stick}", "net: {wand: right-stick}"
        )
    )
    bench.tap("knee", at=0, length=50)
    bench.unplug("switches", at=100)
    bench.move("wand", 1, 0, at=200)

    assert frames(bench, 2000) == ["200: right-stick 32767 0"]


def test_cycled_layers_stay_and_a_waiting_next_ends_when_the_device_goes() -> None:
    """Section 12, 14: as at a reload."""
    for action, taps, stick in (
        ("{cycle: [sail, net]}", 1, "right"),
        ("{layer: net, how: next}", 1, "left"),
        ("{layer: net, how: next}", 2, "right"),
    ):
        bench = Bench(
            board(f"sail: {{knee: {action}, wand: left-stick}}", "net: {wand: right-stick}")
        )
        for at in range(taps):
            bench.tap("knee", at=100 * at, length=50)
        bench.unplug("switches", at=300)
        bench.move("wand", 1, 0, at=400)

        assert (action, taps, frames(bench, 2000)) == (
            action,
            taps,
            [f"400: {stick}-stick 32767 0"],
        )


def test_held_layer_ends_with_its_device_and_others_sticks_follow_in_that_frame() -> None:
    """Section 8, unplug, with section 5: sticks follow at once."""
    bench = Bench(board("sail: {knee: {layer: net}, wand: left-stick}", "net: {wand: right-stick}"))
    bench.press("knee", at=0)
    bench.move("wand", 1, 0, at=100)
    bench.unplug("switches", at=200)

    assert frames(bench, 2000) == [
        "100: right-stick 32767 0",
        "200: left-stick 32767 0, right-stick 0 0",
    ]


def test_the_others_go_on() -> None:
    """Section 8, unplug: "the others go on": their latches, turbos and holds."""
    bench = Bench(
        board(
            "sail: {knee: south, mate: {turbo: south, rate: 1/s, how: toggle}, crew: {latch: east}}"
        )
    )
    bench.press("knee", at=0)
    bench.tap("mate", at=100, length=50)
    bench.tap("crew", at=200, length=50)
    bench.unplug("switches", at=300)

    assert frames(bench, 1200) == [
        "0: press south",
        "200: press east",
        "600: release south",
        "1100: press south",
    ]


def test_target_that_another_device_holds_stays_pressed() -> None:
    """Section 8, unplug: only what the device's controls hold."""
    bench = Bench(board("sail: {knee: south, pedal: south}"))
    bench.press("knee", at=0)
    bench.move("pedal", 1, at=50)
    bench.unplug("switches", at=100)
    bench.move("pedal", 0, at=300)

    assert frames(bench, 1000) == ["0: press south", "300: release south"]


def test_device_that_comes_back_is_taken_again() -> None:
    """Section 8, unplug: "When it comes back it is taken again by `find`, with no restart"."""
    bench = Bench(board("sail: {knee: south}"))
    bench.unplug("switches", at=100)
    bench.plug("switches", at=200)
    bench.tap("knee", at=300, length=100)

    assert frames(bench, 1000) == ["300: press south", "400: release south"]


def test_button_held_at_plug_in_acts_only_after_a_fresh_press() -> None:
    """Section 8, unplug: "a button held at that moment acts only after a fresh press"."""
    bench = Bench(board("sail: {knee: south}"))
    bench.press("knee", at=0)
    bench.unplug("switches", at=100)
    bench.plug("switches", at=200, held=("knee",))
    bench.release("knee", at=300)
    bench.tap("knee", at=400, length=100)

    assert frames(bench, 1000) == [
        "0: press south",
        "100: release south",
        "400: press south",
        "500: release south",
    ]


@pytest.mark.parametrize("how", ["plug", "pause"])
def test_what_was_held_when_a_device_went_is_not_held_when_it_is_back(how: str) -> None:
    """Section 8: a press after the reload is a fresh one, however the device went before it."""
    bench = Bench(board("sail: {knee: south}"))
    bench.press("knee", at=0)
    if how == "plug":
        bench.unplug("switches", at=100)
        bench.plug("switches", at=200)
    else:
        bench.pause(at=100)
        bench.resume(at=200)
    bench.swap(board("sail: {knee: north}"), at=300)
    bench.press("knee", at=400)

    assert frames(bench, 2000) == ["0: press south", "100: release south", "400: press north"]


def test_latch_does_not_come_back_with_its_device() -> None:
    """Section 8, unplug: it has ended; the next press latches."""
    bench = Bench(board("sail: {knee: {latch: south}}"))
    bench.tap("knee", at=0, length=50)
    bench.unplug("switches", at=100)
    bench.plug("switches", at=200)
    bench.tap("knee", at=300, length=50)

    assert frames(bench, 1000) == ["0: press south", "100: release south", "300: press south"]


def test_unplug_is_not_delayed() -> None:
    """Section 7: unplug shows its releases at once."""
    bench = Bench(board("sail: {knee: south}"))
    bench.press("knee", at=0)
    bench.unplug("switches", at=10)

    assert frames(bench, 1000) == ["0: press south", "10: release south"]


def test_unplug_while_a_release_waits_shows_it() -> None:
    """Section 12, 6: a frame that is not delayed shows every release that waits."""
    bench = Bench(board("sail: {knee: south, wand: left-stick}", knee="debounce: 0ms"))
    bench.tap("knee", at=0, length=5)
    bench.unplug("joystick", at=10)

    assert frames(bench, 1000) == ["0: press south", "10: release south"]


def test_unplugged_pointer_leaves_no_counts_behind() -> None:
    """Section 8, unplug: its window has nothing left to expire."""
    bench = Bench(board("sail: {ball: left-stick}"))
    bench.count("ball", 48, 0, at=0)
    bench.unplug("trackball", at=20)
    bench.plug("trackball", at=30)
    bench.count("ball", 24, 0, at=40)

    assert frames(bench, 1000) == [
        "0: left-stick 32767 0",
        "20: left-stick 0 0",
        "40: left-stick 16384 0",
        "100: left-stick 0 0",
    ]


def test_unplugged_steady_stick_starts_afresh() -> None:
    """Section 3, sticks 4 and section 8: "first sample passes" after plug-in too."""
    bench = Bench(board("sail: {wand: left-stick}", wand="steady: strong"))
    bench.move("wand", 1, 0, at=0)
    bench.until(1000)
    bench.unplug("joystick", at=1000)
    bench.plug("joystick", at=2000)
    bench.until(9000)

    assert bench.neutral
    assert frames(bench)[-1] == "1000: left-stick 0 0"


def test_helpers_stick_counts_after_the_players_was_unplugged() -> None:
    """Section 6 and 8: an unplugged stick is neutral from then on."""
    bench = Bench(board("sail: {wand: left-stick, tiller: left-stick}"))
    bench.move("wand", 1, 0, at=1000)
    bench.move("tiller", 0, -1, at=1100)
    bench.unplug("joystick", at=1200)

    assert frames(bench, 3000) == [
        "1000: left-stick 32767 0",
        "1200: left-stick 0 0",
        "1600: left-stick 0 -32767",
    ]


# ------------------------------------------------------------------ pause


def test_pause_makes_the_pad_neutral_and_takes_no_input() -> None:
    """Section 8, pause: "The pad goes neutral, devices are given back"."""
    bench = Bench(board("sail: {knee: south, cheek: {latch: east}, wand: left-stick}"))
    bench.press("knee", at=0)
    bench.tap("cheek", at=20, length=30)
    bench.move("wand", 1, 0, at=100)
    bench.pause(at=200)

    assert frames(bench, 9000)[-1] == "200: release south, release east, left-stick 0 0"
    assert bench.neutral
    assert bench.engine.next_deadline_us is None


def test_resume_is_as_plugging_in() -> None:
    """Section 8, pause: "resuming is as plugging in": held buttons need a fresh press."""
    bench = Bench(board("sail: {knee: south, cheek: east}"))
    bench.press("knee", at=0)
    bench.pause(at=200)
    bench.resume(at=1000, held=("knee",))
    bench.release("knee", at=1100)
    bench.tap("cheek", at=1200, length=100)
    bench.tap("knee", at=1400, length=100)

    assert frames(bench, 9000) == [
        "0: press south",
        "200: release south",
        "1200: press east",
        "1300: release east",
        "1400: press south",
        "1500: release south",
    ]


@pytest.mark.parametrize("settings", ["steady: strong", "dead-zone: 0%"])
def test_pause_in_the_middle_of_a_moving_stick(settings: str) -> None:
    """Section 8, pause: no tick moves the pad while paused."""
    bench = Bench(board("sail: {wand: left-stick}", wand=settings))
    bench.move("wand", 1, 0, at=0)
    bench.pause(at=60)
    bench.until(5000)

    assert bench.neutral
    assert frames(bench)[-1] == "60: left-stick 0 0"


# ------------------------------------------------------------------ everything at once


def test_unplug_in_the_middle_of_everything() -> None:
    """Section 8, unplug: layers, chords, scans and merges of a device that goes."""
    bench = Bench(
        board(
            "sail: {knee: {layer: net, how: next}, cheek: {short: {latch: south}, "
            "long: {layer: chart}, after: 300ms}, elbow + thumb: {turbo: east, rate: 2/s}, "
            "heel: {keep: left-stick}, wand: left-stick, tiller: left-stick}",
            "net: {wand: right-stick}",
            "chart: {wand: dpad, heel: {rest: 2s}}",
            top="merge: {left-stick: sum}",
        )
    )
    bench.move("wand", 0, -1, at=0)
    bench.move("tiller", 1, 0, at=10)
    bench.tap("heel", at=50, length=30)
    bench.press("cheek", at=100)
    bench.tap("cheek", at=100, length=50)
    bench.press("elbow", at=200)
    bench.press("thumb", at=250)
    bench.press("cheek", at=300)  # the latch is on, and held again: long at 600
    bench.until(700)
    bench.tap("knee", at=800, length=50)
    bench.unplug("switches", at=900)
    bench.move("wand", 0, 0, at=1000)
    bench.unplug("aides", at=1100)
    bench.until(60_000)

    assert bench.neutral
    assert bench.engine.next_deadline_us is None
