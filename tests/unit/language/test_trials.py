"""Trials as written: what they come to, and what is said about those with faults."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from remapd.language.trials import load_trials, load_trials_text, trials_path
from remapd.trial import Expectation, Input, InputKind, Trial
from tests.support.layouts import HARBOUR, load_or_fail

LAYOUT = load_or_fail(HARBOUR)

EXAMPLE = """\
trials:
  - name: the chart layer lasts for one press
    input:
      - {at: 0ms, press: right-knee, for: 120ms}
      - {at: 500ms, press: left-knee, for: 200ms}
      - {at: 900ms, move: roll, to: [100%, 0%], for: 300ms}   # deflection before conditioning
    expect:
      - {at: 580ms, press: start}
      - {at: 700ms, release: start}
      - {at: 900ms, move: steer, to: [100%, 0%]}
      - {at: 1200ms, move: steer, to: [0%, 0%]}
    never: [south]
"""


def one_trial(inputs: str = "", expect: str = "", more: str = "") -> str:
    """A file with one trial with these parts."""
    return (
        "trials:\n  - name: one\n"
        f"    input: [{inputs or '{at: 0ms, press: left-knee}'}]\n"
        f"    expect: [{expect}]\n" + (f"    {more}\n" if more else "")
    )


def read_one(text: str) -> Trial:
    loaded = load_trials_text(text, LAYOUT)
    assert [each.message for each in loaded.diagnostics] == []
    (trial,) = loaded.trials
    return trial


def test_the_example_of_the_language() -> None:
    press, second, move = read_one(EXAMPLE).inputs

    assert press == Input(0, InputKind.PRESS, "right-knee", for_us=120_000, line=4)
    assert second == Input(500_000, InputKind.PRESS, "left-knee", for_us=200_000, line=5)
    assert move == Input(900_000, InputKind.MOVE, "roll", (1.0, 0.0), 300_000, line=6)

    trial = read_one(EXAMPLE)
    assert trial.name == "the chart layer lasts for one press"
    assert trial.expect[0] == Expectation(580_000, InputKind.PRESS, "start", "start", line=8)
    assert trial.expect[2] == Expectation(
        900_000, InputKind.MOVE, "left-stick", "steer", (1.0, 0.0), line=10
    )
    assert (trial.never, trial.only, trial.ends_held) == (("south",), frozenset(), False)


def test_everything_else_that_can_be_written() -> None:
    trial = read_one(
        one_trial(
            "{at: 1ms, release: left-knee}, {at: 2ms, count: roll, by: [5, -3]}, "
            "{at: 3ms, turn: ball.roll, to: [-50%, 0%], for: 40ms}, {at: 4ms, unplug: knees}, "
            "{at: 5ms, plug: knees}, {at: 6ms, press: roll.up}, "
            "{at: 7ms, move: helper-pad.left-trigger, to: 70%}",
            "{settles-by: 1.5s, move: cast-net, to: 70%, give: 5%, within: 10ms}",
            "only: [hoist, dpad, right-stick.up]\n    ends: held",
        )
    )

    assert [each.kind.value for each in trial.inputs] == [
        *("release", "count", "turn", "unplug", "plug", "press", "move"),
    ]
    assert trial.inputs[1].to == (5, -3)
    assert trial.inputs[2].to == (-0.5, 0.0)
    assert trial.inputs[6].to == (0.7, 0.0)
    assert trial.expect[0] == Expectation(
        1_500_000, InputKind.MOVE, "right-trigger", "cast-net", (0.7, 0.0), 10_000, 0.05, True, 4
    )
    assert trial.only == {
        *("south", "dpad-up", "dpad-down", "dpad-left", "dpad-right", "right-stick"),
    }
    assert trial.ends_held


@pytest.mark.parametrize(
    ("inputs", "code"),
    [
        ("{at: 0ms}", "trial-nothing-said"),
        ("{press: left-knee}", "missing-setting"),
        ("{at: 5, press: left-knee}", "missing-unit"),
        ("{at: 0ms, press: left-knee, release: right-knee}", "trial-two-things"),
        ("{at: 0ms, press: left-kne}", "unknown-control"),
        ("{at: 0ms, press: roll}", "press-given-stick"),
        ("{at: 0ms, press: left-knee.up}", "no-parts"),
        ("{at: 0ms, move: left-knee, to: 10%}", "trial-moved-button"),
        ("{at: 0ms, move: roll.up, to: 10%}", "trial-moved-button"),
        ("{at: 0ms, move: roll}", "trial-setting-missing"),
        ("{at: 0ms, move: roll, to: 10%}", "trial-two-shares"),
        ("{at: 0ms, move: left-trigger, to: [10%, 0%]}", "trial-one-share"),
        ("{at: 0ms, move: roll, to: [10%, 110%]}", "out-of-range"),
        ("{at: 0ms, move: roll, to: [0.1, 0%]}", "missing-unit"),
        ("{at: 0ms, turn: roll, to: [10%, 0%]}", "trial-setting-missing"),
        ("{at: 0ms, turn: left-stick, to: [10%, 0%], for: 1s}", "trial-not-a-pointer"),
        ("{at: 0ms, count: roll}", "trial-setting-missing"),
        ("{at: 0ms, press: left-knee, to: 10%}", "trial-setting-unfit"),
        ("{at: 0ms, unplug: knee}", "unknown-device"),
        ("{at: 0ms, pres: left-knee}", "unknown-setting"),
        ("left-knee", "not-a-group"),
    ],
)
def test_a_fault_of_the_input_has_its_place(inputs: str, code: str) -> None:
    loaded = load_trials_text(one_trial(inputs), LAYOUT)

    assert code in [each.code for each in loaded.errors]
    assert {each.span.line for each in loaded.errors} == {3}
    assert loaded.trials == ()


@pytest.mark.parametrize(
    ("expect", "code"),
    [
        ("{press: start}", "trial-times"),
        ("{at: 0ms, settles-by: 1s, press: start}", "trial-times"),
        ("{at: 0ms, press: strat}", "unknown-pad-control"),
        ("{at: 0ms, press: steer}", "trial-pressed-stick"),
        ("{at: 0ms, press: left-stick.up}", "trial-pressed-stick"),
        ("{at: 0ms, press: dpad}", "trial-moved-dpad"),
        ("{at: 0ms, move: dpad, to: [0%, 0%]}", "trial-moved-dpad"),
        ("{at: 0ms, move: start, to: 10%}", "trial-moved-button"),
        ("{at: 0ms, move: left-stick.up, to: 10%}", "trial-moved-button"),
        ("{at: 0ms, move: steer, to: 10%}", "trial-two-shares"),
        ("{at: 0ms, move: cast-net, to: [10%, 0%]}", "trial-one-share"),
        ("{at: 0ms, press: start, give: 5%}", "trial-setting-unfit"),
        ("{at: 0ms, press: start, for: 5ms}", "unknown-setting"),
    ],
)
def test_a_fault_of_what_is_expected_has_its_place(expect: str, code: str) -> None:
    loaded = load_trials_text(one_trial(expect=expect), LAYOUT)

    assert code in [each.code for each in loaded.errors]
    assert {each.span.line for each in loaded.errors} == {4}


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ("never: [strat]", "unknown-pad-control"),
        ("only: [start, start]", "repeated-item"),
        ("ends: neutral", "unknown-word"),
        ("expects: []", "unknown-setting"),
    ],
)
def test_a_fault_of_the_trial_itself(more: str, code: str) -> None:
    loaded = load_trials_text(one_trial(more=more), LAYOUT)

    assert [(each.code, each.span.line) for each in loaded.errors] == [(code, 5)]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "empty-file"),
        ("trials", "not-a-group"),
        ("trials: []", "too-few"),
        ("remapd: 1", "unknown-setting"),
        ("trials: &all []", "anchor"),
        ("trials: [{name: x}]", "missing-setting"),
    ],
)
def test_a_file_that_holds_no_trials(text: str, code: str) -> None:
    loaded = load_trials_text(text, LAYOUT)

    assert code in [each.code for each in loaded.errors]


def test_the_file_beside_the_layout(tmp_path: Path) -> None:
    path = trials_path(tmp_path / "harbour.yaml")

    assert path == tmp_path / "harbour.trials.yaml"
    assert [each.code for each in load_trials(path, LAYOUT).errors] == ["file-missing"]
    path.write_text(EXAMPLE)
    assert len(load_trials(path, LAYOUT).trials) == 1


PIECES = st.sampled_from(
    [
        *("trials:", "\n", "  ", "- ", "name: x", "input: ", "expect: ", "[", "]", "{", "}", ", "),
        *("at: 0ms", "press: left-knee", "move: roll", "to: [10%, 0%]", "to: 5%", "only: [south]"),
        *("never: [steer.up]", "ends: held", "for: 5ms", "count: roll", "by: [1, 2]", ": ", "\t"),
    ]
)


@given(st.lists(PIECES | st.text(max_size=3), max_size=40).map("".join) | st.binary(max_size=80))
def test_any_text_gives_trials_or_errors_with_a_place(text: str | bytes) -> None:
    loaded = load_trials_text(text, LAYOUT)

    assert loaded.trials or loaded.errors
    assert not (loaded.trials and loaded.errors)
    length = len(text.splitlines()) + 1
    assert all(1 <= each.span.line <= length for each in loaded.diagnostics)
