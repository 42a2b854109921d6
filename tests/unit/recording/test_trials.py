"""Trials run on layouts: what passes, and what is said about what does not."""

from __future__ import annotations

import pytest

from remapd.language.trials import load_trials_text
from remapd.recording.driver import NoSuchControl
from remapd.recording.trial_comparison import MismatchKind
from remapd.recording.trials import TrialResult, run_trial
from remapd.trial import Input, InputKind, Trial
from tests.support.layouts import HARBOUR, TWO_KNEES, load_or_fail
from tests.unit.language.test_trials import EXAMPLE

LEVERS = """\
remapd: 1
title: A pedal and a stick
devices:
  desk:
    find: {name: Desk}
    controls:
      pedal: {lever: ABS_Z}
      joy: {stick: [ABS_X, ABS_Y], steady: light}
      knee: {button: BTN_0}
layers:
  play: {pedal: right-trigger, joy: left-stick, knee: right-trigger}
"""


def run(layout: str, inputs: str, expect: str, more: str = "") -> TrialResult:
    """One trial, written as in a file of trials."""
    built = load_or_fail(layout)
    text = f"trials:\n  - name: x\n    input: [{inputs}]\n    expect: [{expect}]\n    {more}\n"
    loaded = load_trials_text(text, built)
    assert [each.message for each in loaded.errors] == []
    return run_trial(built, loaded.trials[0])


def faults(result: TrialResult) -> list[tuple[MismatchKind, str]]:
    return [(each.kind, each.text) for each in result.mismatches]


TAP = "{at: 0ms, press: left-knee, for: 120ms}"


def test_the_example_of_the_language_passes_with_its_layout() -> None:
    layout = load_or_fail(HARBOUR)
    (trial,) = load_trials_text(EXAMPLE, layout).trials

    assert faults(run_trial(layout, trial)) == []


@pytest.mark.parametrize(
    "expect",
    [
        "{at: 0ms, press: south}, {at: 120ms, release: south}",
        "{at: 120ms, release: south}, {at: 0ms, press: south}",  # read in the order of time
        "{at: 0.4ms, press: south}, {at: 119.6ms, release: south}",  # to the millisecond
        "{at: 20ms, press: south, within: 20ms}, {at: 120ms, release: south}",
        "{settles-by: 50ms, press: south}, {settles-by: 1s, release: south}",
    ],
)
def test_what_agrees(expect: str) -> None:
    assert faults(run(TWO_KNEES, TAP, expect)) == []


@pytest.mark.parametrize(
    ("expect", "wanted"),
    [
        (
            "{at: 0ms, press: south}",
            [(MismatchKind.UNEXPECTED, "`south` was released at 120 ms: nothing was expected")],
        ),
        (
            "{at: 0ms, press: south}, {at: 100ms, release: south}",
            [(MismatchKind.LATE, "`south` was released at 120 ms, 20 ms late")],
        ),
        (
            "{at: 0ms, press: south}, {at: 120.6ms, release: south}",
            [(MismatchKind.EARLY, "`south` was released at 120 ms, 0.6 ms early")],
        ),
        (
            "{at: 0ms, press: south}, {at: 120ms, release: south}, {at: 200ms, press: east}",
            [(MismatchKind.MISSING, "`east` was to be pressed at 200 ms: nothing came")],
        ),
        (
            "{at: 0ms, release: south}, {at: 120ms, release: south}",
            [
                (
                    MismatchKind.VALUE,
                    "`south` was to be released at 0 ms, and was pressed at 0 ms",
                )
            ],
        ),
        (
            "{at: 0ms, press: south}, {at: 120ms, release: south}, {at: 300ms, press: south},"
            "{at: 400ms, release: south}",
            [
                (MismatchKind.MISSING, "`south` was to be pressed at 300 ms: nothing came"),
                (MismatchKind.MISSING, "`south` was to be released at 400 ms: nothing came"),
            ],
        ),
        (
            "{settles-by: 1s, press: south}",
            [
                (
                    MismatchKind.VALUE,
                    "`south` was to be pressed by 1000 ms, and was released at 120 ms",
                )
            ],
        ),
        (
            "{settles-by: 50ms, press: south}, {settles-by: 60ms, press: east},"
            "{at: 120ms, release: south}",
            [(MismatchKind.MISSING, "`east` was to be pressed by 60 ms: nothing came")],
        ),
    ],
)
def test_what_differs(expect: str, wanted: list[tuple[MismatchKind, str]]) -> None:
    assert faults(run(TWO_KNEES, TAP, expect)) == wanted


def test_one_change_that_is_missing_does_not_spoil_those_that_follow() -> None:
    result = run(
        TWO_KNEES,
        f"{TAP}, {{at: 500ms, press: left-knee, for: 50ms}}",
        "{at: 0ms, press: south}, {at: 120ms, release: south},"
        "{at: 300ms, press: south}, {at: 350ms, release: south},"
        "{at: 500ms, press: south}, {at: 550ms, release: south}",
    )

    assert [(each.kind, each.us) for each in result.mismatches] == [
        (MismatchKind.MISSING, 300_000),
        (MismatchKind.MISSING, 350_000),
    ]


def test_the_order_of_different_controls_counts_within_their_tolerance() -> None:
    both = "{at: 0ms, press: left-knee}, {at: 10ms, press: right-knee}"
    tail = "only: [south, left-stick]\n    ends: held"
    right = "{at: 0ms, press: south, within: 50ms}, {at: 10ms, move: left-stick, to: [0%, -100%]}"
    wrong = (
        "{at: 5ms, move: left-stick, to: [0%, -100%], within: 50ms},"
        "{at: 8ms, press: south, within: 50ms}"
    )

    assert faults(run(TWO_KNEES, both, right, tail)) == []
    assert faults(run(TWO_KNEES, both, wrong, tail)) == [
        (MismatchKind.ORDER, "`south` came before `left-stick`, not after it"),
    ]


def test_a_verb_names_its_pad_control_in_the_sentence() -> None:
    text = TWO_KNEES.replace("layers:", "verbs: {hoist: south}\nlayers:")

    assert faults(run(text, TAP, ""))[0][1].startswith("`hoist` (south) was pressed at 0 ms")


def test_nothing_is_expected_and_nothing_comes() -> None:
    assert run(HARBOUR, "{at: 0ms, press: left-knee, for: 79ms}", "").passed


# -------------------------------------------------------------------- values
@pytest.mark.parametrize(
    ("to", "fits"),
    [("30%", True), ("30.4%", True), ("29%", False), ("29%, give: 2%", True)],
)
def test_values_agree_to_the_percent_or_as_far_as_they_may_be_off(to: str, fits: bool) -> None:
    # Past the dead zone of 10 %, a pedal at 37 % gives 30 %.
    result = run(
        LEVERS,
        "{at: 0ms, move: pedal, to: 37%, for: 100ms}",
        f"{{at: 0ms, move: right-trigger, to: {to}}}, {{at: 100ms, move: right-trigger, to: 0%}}",
    )

    assert result.passed == fits
    if not fits:
        assert "was to go to 29% at 0 ms, and went to 30.2% at 0 ms" in result.mismatches[0].text


def test_a_trigger_that_a_button_drives_is_pressed_and_released() -> None:
    expect = "{at: 0ms, press: right-trigger}, {at: 90ms, release: right-trigger}"

    assert run(LEVERS, "{at: 0ms, press: knee, for: 90ms}", expect).passed
    assert not run(LEVERS, "{at: 0ms, move: pedal, to: 50%, for: 90ms}", expect).passed


def test_a_steadied_stick_settles() -> None:
    inputs = "{at: 0ms, move: joy, to: [100%, 0%]}, {at: 2s, move: joy, to: [0%, 0%]}"
    expect = (
        "{settles-by: 1.5s, move: left-stick, to: [100%, 0%]},"
        "{settles-by: 3.5s, move: left-stick, to: [0%, 0%]}"
    )

    assert faults(run(LEVERS, inputs, expect)) == []
    early = run(LEVERS, inputs, expect.replace("1.5s", "10ms"))
    assert early.mismatches[0].kind is MismatchKind.VALUE


# -------------------------------------------------------------------- what is looked at
def test_only_limits_what_is_looked_at() -> None:
    both = f"{TAP}, {{at: 0ms, press: right-knee, for: 100ms}}"
    expect = "{at: 0ms, press: south}, {at: 120ms, release: south}"

    assert run(TWO_KNEES, both, expect, "only: [south]").passed
    assert not run(TWO_KNEES, both, expect).passed


@pytest.mark.parametrize(
    ("never", "comes"),
    [
        ("south", True),
        ("east", False),
        ("left-stick", True),
        ("left-stick.up", True),
        ("left-stick.down", False),
        ("right-stick", False),
        ("dpad", False),
    ],
)
def test_what_must_never_come(never: str, comes: bool) -> None:
    both = f"{TAP}, {{at: 200ms, press: right-knee, for: 100ms}}"
    result = run(TWO_KNEES, both, "", f"only: [mode]\n    never: [{never}]")

    assert [each.kind for each in result.mismatches] == [MismatchKind.NEVER] * comes


def test_the_d_pad_must_never_come() -> None:
    text = TWO_KNEES.replace("left-knee: south", "left-knee: dpad-left")
    result = run(text, TAP, "", "only: [mode]\n    never: [dpad]")

    assert [each.kind for each in result.mismatches] == [MismatchKind.NEVER]


# -------------------------------------------------------------------- the end
def test_the_pad_has_to_be_at_rest_unless_it_is_said() -> None:
    hold = "{at: 0ms, press: left-knee}"
    expect = "{at: 0ms, press: south}"

    assert [each.kind for each in run(TWO_KNEES, hold, expect).mismatches] == [MismatchKind.HELD]
    assert run(TWO_KNEES, hold, expect, "ends: held").passed
    assert run(TWO_KNEES, hold, "", "only: [east]").passed


def test_what_still_comes_after_the_inputs_is_looked_at() -> None:
    text = TWO_KNEES.replace("left-knee: south", "left-knee: {pulse: south, length: 3s}")
    expect = "{at: 0ms, press: south}"

    late = run(text, TAP, expect)
    assert [(each.kind, each.us) for each in late.mismatches] == [
        (MismatchKind.UNEXPECTED, 3_000_000)
    ]
    assert run(text, TAP, expect, "ends: held").passed


def test_a_turbo_that_runs_for_ever_does_not_keep_the_trial_from_ending() -> None:
    text = TWO_KNEES.replace(
        "left-knee: south", "left-knee: {turbo: south, rate: 10/s, how: toggle}"
    )
    result = run(text, TAP, "", "only: [east]")

    assert result.passed
    assert 4_900_000 < result.end_us <= 120_000 + 5_000_000


def test_devices_that_go_and_come() -> None:
    result = run(
        TWO_KNEES,
        "{at: 0ms, press: left-knee}, {at: 100ms, unplug: knees}, {at: 200ms, plug: knees},"
        "{at: 300ms, press: left-knee, for: 50ms}",
        "{at: 0ms, press: south}, {at: 100ms, release: south}, {at: 300ms, press: south},"
        "{at: 350ms, release: south}",
    )

    assert faults(result) == []


def test_names_that_the_layout_has_not() -> None:
    trial = Trial("x", (Input(0, InputKind.PRESS, "elbow"),), ())

    with pytest.raises(NoSuchControl):
        run_trial(load_or_fail(TWO_KNEES), trial)
