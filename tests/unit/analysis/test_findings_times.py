"""What the check says about times, turbos, merge rules and devices."""

from __future__ import annotations

import pytest

from remapd.analysis.reach.hands import handling
from remapd.engine.settings import ButtonSettings
from tests.support.checked import Weight, checked, found, one


def controls(settings: str) -> str:
    return f"      a: {{button: BTN_0, {settings}}}\n      b: {{button: BTN_1}}\n"


def test_a_long_press_on_a_control_whose_presses_end_by_themselves() -> None:
    action = "{short: south, long: east, after: 800ms}"
    report = checked(f"  base: {{a: {action}}}", controls=controls("longest: 500ms"))
    assert "500 ms" in one(report, "long-never").message
    assert report.proof.best(1) is None
    fine = checked(f"  base: {{a: {action}}}", controls=controls("longest: 900ms"))
    assert not found(fine, "long-never")
    assert fine.proof.best(1) is not None


def test_a_short_press_on_a_control_that_lets_go_late() -> None:
    action = "{short: south, long: east, after: 300ms}"
    report = checked(f"  base: {{a: {action}}}", controls=controls("release-delay: 300ms"))
    assert found(report, "short-never")
    assert report.proof.best(0) is None
    fine = checked(f"  base: {{a: {action}}}", controls=controls("release-delay: 100ms"))
    assert not found(fine, "short-never")


def test_a_second_press_that_always_comes_too_late() -> None:
    action = "{once: south, twice: east, within: 400ms}"
    report = checked(f"  base: {{a: {action}}}", controls=controls("repeat-guard: 500ms"))
    finding = one(report, "twice-never")
    assert "within 400 ms" in finding.message
    assert report.proof.best(1) is None
    fine = checked(f"  base: {{a: {action}}}", controls=controls("repeat-guard: 100ms"))
    assert not found(fine, "twice-never")
    assert fine.proof.best(1) is not None


def test_the_soonest_second_press_is_worked_out_from_the_settings() -> None:
    """By the order of stages 1 to 4: 80 - 30 ms down, 100 + 400 ms up, 30 ms down again."""
    settings = ButtonSettings(
        debounce_us=80_000,
        release_delay_us=100_000,
        acceptance_delay_us=30_000,
        repeat_guard_us=400_000,
    )
    assert handling(settings).repeat_us == 50_000 + 500_000 + 30_000
    assert handling(settings).shortest_us == 50_000 + 100_000


@pytest.mark.parametrize(
    ("action", "words"),
    [
        ("{short: {push: left-stick, toward: up, ramp: 200ms}, long: south}", "only 30%"),
        ("{on-release: {short: south, long: east, after: 300ms}}", "always is a short press"),
        ("{steps: [{layer: net}, south]}", "is of no use inside `steps`"),
        ("{once: {lead: player}, twice: south}", "is of no use inside `once`"),
        ("{on-release: {steps: [south, east], how: hold}}", "stops after its first step"),
    ],
)
def test_what_is_too_long_for_a_tap(action: str, words: str) -> None:
    layers = f"  base: {{a: {action}, b: {{layer: net}}}}\n  net: {{c: west}}"
    assert words in one(checked(layers), "tap-too-short").message


@pytest.mark.parametrize(
    "action",
    [
        "{push: left-stick, toward: up, ramp: 200ms}",
        "{short: {push: left-stick, toward: up, ramp: 50ms}, long: south}",
        "{on-release: {layer: net, how: next}}",
        "{steps: [{layer: net, how: toggle}, south]}",
    ],
)
def test_what_a_tap_is_long_enough_for(action: str) -> None:
    layers = f"  base: {{a: {action}, b: {{layer: net}}}}\n  net: {{c: west}}"
    assert not found(checked(layers), "tap-too-short")


def test_a_longer_tap_mends_it() -> None:
    layers = "  base: {a: {on-release: {push: left-stick, toward: up, ramp: 200ms}}}"
    assert found(checked(layers), "tap-too-short")
    assert not found(checked(layers, before="tap: 250ms\n"), "tap-too-short")


def test_a_ramp_that_is_cut_short() -> None:
    action = "{push: left-stick, toward: up, ramp: 900ms}"
    report = checked(f"  base: {{a: {action}}}", controls=controls("longest: 500ms"))
    assert found(report, "ramp-cut-short")
    fine = checked(f"  base: {{a: {action}}}", controls=controls("longest: 1s"))
    assert not found(fine, "ramp-cut-short")


def test_items_that_go_by_too_quickly() -> None:
    """231 ms to react (Woods and others, 2015), and the time until a press counts."""
    action = "{scan: [south, east], every: 300ms}"
    report = checked(f"  base: {{a: {action}}}", controls=controls("acceptance-delay: 100ms"))
    assert "350 ms" in one(report, "items-too-quick").message
    assert not found(checked(f"  base: {{a: {action}}}"), "items-too-quick")


@pytest.mark.parametrize(
    ("rate", "shortest", "code"),
    [
        ("16/s", "0ms", "turbo-too-fast"),  # above 15 a second at 60 looks a second
        ("15/s", "0ms", None),
        ("15/s", "34ms", "turbo-not-shown"),  # 34 + 34 ms: 14.7 a second at the most
        ("14/s", "34ms", None),
        ("8/s", "34ms", None),
        ("8/s", "70ms", "turbo-not-shown"),
        ("5/s, duty: 10%", "34ms", "turbo-duty-changed"),
        ("3/s, duty: 90%", "34ms", "turbo-duty-changed"),
    ],
)
def test_turbo_rates(rate: str, shortest: str, code: str | None) -> None:
    report = checked(
        f"  base: {{a: {{turbo: south, rate: {rate}}}}}", before=f"shortest-press: {shortest}\n"
    )
    kinds = {"turbo-too-fast", "turbo-not-shown", "turbo-duty-changed"}
    assert {each.code for each in report.findings} & kinds == ({code} if code else set())


def test_turbos_that_may_flash_wcag_2_3_1() -> None:
    """WCAG 2.2, success criterion 2.3.1: no more than three flashes in any one second."""
    report = checked("  base: {a: {turbo: south, rate: 4/s}, b: {turbo: east, rate: 5/s}}")
    finding = one(report, "turbo-may-flash")
    assert finding.weight is Weight.NOTE
    assert "turbo south, turbo east" in finding.message
    assert "2.3.1" in finding.source
    assert not found(checked("  base: {a: {turbo: south, rate: 3/s}}"), "turbo-may-flash")


HELPER_PAD = (
    "  pad:\n    person: helper\n    find: {name: Pad}\n    controls:\n      h: {button: BTN_0}\n"
)


def test_merge_rules_that_can_never_hold() -> None:
    both = checked("  base: {a: south}", before="merge: {south: both}\n")
    assert "no device has `person: helper`" in one(both, "rule-never-holds").message
    one_sided = checked(
        "  base: {a: south, h: east}", devices=HELPER_PAD, before="merge: {south: both}\n"
    )
    finding = one(one_sided, "rule-never-holds")
    assert "the helper has no control for it" in finding.message
    assert ("merge", "south") in finding.places
    fine = checked(
        "  base: {a: south, h: south}", devices=HELPER_PAD, before="merge: {south: both}\n"
    )
    assert not found(fine, "rule-never-holds")


def test_rules_for_one_person_who_has_no_control_for_it() -> None:
    report = checked(
        "  base: {a: south, h: east}",
        devices=HELPER_PAD,
        before="merge: {south: helper-only, east: player-only, west: both}\n",
    )
    messages = [each.message for each in found(report, "rule-never-holds")]
    assert len(messages) == 2
    assert "the helper has no control" in messages[0]
    assert "the player has no control" in messages[1]


def test_a_typing_keyboard_that_is_taken_whole() -> None:
    def keyboard(more: str) -> str:
        return (
            f"  keys:\n    find: {{shape: keyboard}}\n{more}    controls:\n"
            "      space: {button: KEY_SPACE}\n"
        )

    taken = checked("  base: {space: south}", devices=keyboard("    exclusive: true\n"))
    finding = one(taken, "keyboard-taken")
    assert finding.weight is Weight.WARNING
    assert "Esc for 5 s" in finding.message
    assert finding.places == (("device", "keys"),)
    shared = checked("  base: {space: south}", devices=keyboard(""))
    assert one(shared, "keyboard-shared").weight is Weight.NOTE
    assert not found(shared, "keyboard-taken")


def test_a_mouse_that_moves_the_arrow_as_well() -> None:
    def ball(more: str) -> str:
        return (
            f"  ball:\n    find: {{name: Ball}}\n{more}    controls:\n"
            "      roll: {pointer: [REL_X, REL_Y]}\n"
        )

    assert found(checked("  base: {roll: left-stick}", devices=ball("")), "pointer-shared")
    taken = checked("  base: {roll: left-stick}", devices=ball("    exclusive: true\n"))
    assert not found(taken, "pointer-shared")


@pytest.mark.parametrize(
    ("device", "cues", "words"),
    [
        ("    rumble: 40%\n", "", "the game's rumble is felt on the player's `wheel`"),
        ("", "cues: {rest-on: {rumble: wheel}}\n", "a cue is felt on the player's `wheel`"),
        ("", "cues: {base: {tone: low, off: {rumble: wheel}}}\n", "a cue is felt on"),
        ("    rumble: true\n", "cues: {rest-on: {rumble: wheel}}\n", "rumble and a cue is felt on"),
        ("    rumble: true\n    person: helper\n", "", ""),
        ("    rumble: false\n", "cues: {rest-on: {tone: low}}\n", ""),
    ],
)
def test_what_the_player_feels_is_pointed_out(device: str, cues: str, words: str) -> None:
    devices = f"  wheel:\n    find: {{name: Box}}\n{device}    controls: {{d: {{button: BTN_0}}}}\n"
    report = checked(f"  base: {{a: south}}\n{cues}", devices=devices)
    told = [each.message for each in found(report, "felt-by-the-player")]
    assert len(told) == bool(words)
    assert words in "".join(told)
