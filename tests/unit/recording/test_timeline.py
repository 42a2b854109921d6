"""The picture of a failed trial."""

from __future__ import annotations

import re

from hypothesis import given, settings
from hypothesis import strategies as st

from remapd.language.trials import load_trials_text
from remapd.recording.timeline import draw
from remapd.recording.trials import run_trial
from remapd.trial import Expectation, Input, InputKind, Trial
from tests.support.layouts import HARBOUR, load_or_fail

LAYOUT = load_or_fail(HARBOUR)
FAILING = """\
trials:
  - name: not as it is
    input:
      - {at: 0ms, press: right-knee, for: 120ms}
      - {at: 500ms, press: left-knee, for: 200ms}
      - {at: 900ms, move: roll, to: [100%, 0%], for: 300ms}
      - {at: 1300ms, move: helper-pad.left-trigger, to: 60%, for: 100ms}
    expect:
      - {at: 500ms, press: start}
      - {at: 700ms, release: start}
      - {at: 900ms, move: steer, to: [50%, 0%]}
      - {at: 1200ms, move: steer, to: [0%, 0%]}
      - {at: 1300ms, press: hoist}
"""


#: Columns of a lane in it, and the time at their end: a twentieth after all that happens.
WIDTH = 45
UNTIL_US = 1_400_000 * 21 // 20 + 1


def failing() -> str:
    (trial,) = load_trials_text(FAILING, LAYOUT).trials
    return draw(run_trial(LAYOUT, trial))


LANE = re.compile(r"  (.*?) +(hand|expected|actual) +([]<>.=|^v*o+#[-]+)")


def lanes(picture: str) -> dict[tuple[str, str], str]:
    """Each lane by its name and kind; that of `actual` has the name of the one above it."""
    found = {}
    label = ""
    for line in picture.splitlines():
        match = LANE.fullmatch(line)
        if match is not None:
            label = match[1].strip() or label
            found[label, match[2]] = match[3]
    return found


def test_every_line_fits_80_columns_and_is_plain_ascii() -> None:
    lines = failing().splitlines()

    assert max(map(len, lines)) <= 80
    assert failing().isascii()


def test_lanes_have_one_time_axis() -> None:
    picture = failing()

    assert len(lanes(picture)) == 12
    assert len({len(lane) for lane in lanes(picture).values()}) == 1
    ruler = picture.splitlines()[1]
    assert set(ruler) == set(" +-")
    columns = [ruler.index("+") + 500_000 * n * WIDTH // UNTIL_US for n in range(3)]
    assert [n for n, sign in enumerate(ruler) if sign == "+"] == columns
    assert [picture.splitlines()[0][n:].split()[0] for n in columns] == ["0", "0.5", "1"]


def test_marks_stand_where_the_times_say() -> None:
    picture = lanes(failing())
    steer = picture["steer", "actual"]

    assert picture["start", "expected"].index("[") == 500_000 * WIDTH // UNTIL_US
    assert picture["start", "expected"].index("]") == 700_000 * WIDTH // UNTIL_US
    assert picture["start", "actual"].index("[") == 580_000 * WIDTH // UNTIL_US
    assert steer.index(">") == 900_000 * WIDTH // UNTIL_US
    assert steer.index("o") == 1_200_000 * WIDTH // UNTIL_US
    assert set(steer) == set(".>-o")
    assert "+" in picture["left-trigger", "actual"]


def test_numbers_below_the_lanes_lead_to_the_sentences() -> None:
    lines = failing().splitlines()
    sentence = next(line for line in lines if "80 ms late" in line)
    number = sentence.split()[0]
    actual = next(n for n, line in enumerate(lines) if " actual " in line and "[" in line)

    assert sentence.split("`")[1] == "start"
    assert lines[actual + 1][lines[actual].index("[")] == number


def test_a_press_too_short_for_its_two_marks_is_one_stroke() -> None:
    trial = Trial(
        "x",
        (Input(0, InputKind.PRESS, "left-knee", for_us=200_000),),
        (Expectation(60_000_000, InputKind.PRESS, "east", "east"),),
    )
    picture = draw(run_trial(LAYOUT, trial))

    assert lanes(picture)["left-knee", "hand"].startswith("|....")


def test_a_control_whose_own_fault_is_elsewhere_is_not_drawn_where_it_is_not_looked_at() -> None:
    trial = Trial(
        "x",
        (Input(0, InputKind.PRESS, "left-knee", for_us=200_000),),
        (Expectation(10_000, InputKind.PRESS, "east", "east"),),
        only=frozenset({"east"}),
    )

    assert "hoist" not in draw(run_trial(LAYOUT, trial))


INPUTS = st.builds(
    Input,
    st.integers(0, 10**7),
    st.sampled_from([InputKind.PRESS, InputKind.RELEASE]),
    st.sampled_from(["left-knee", "right-knee", "roll.up", "helper-pad.south"]),
    st.just((0.0, 0.0)),
    st.none() | st.integers(1, 10**6),
)
EXPECTED = st.builds(
    Expectation,
    st.integers(0, 10**7),
    st.sampled_from([InputKind.PRESS, InputKind.RELEASE]),
    st.sampled_from(["south", "start", "dpad-up"]),
)


@settings(max_examples=40, deadline=None)
@given(st.lists(INPUTS, max_size=5), st.lists(EXPECTED, max_size=5), st.integers(80, 140))
def test_any_trial_can_be_drawn(
    inputs: list[Input], expected: list[Expectation], width: int
) -> None:
    result = run_trial(LAYOUT, Trial("x", tuple(inputs), tuple(expected)))
    picture = draw(result, width)

    assert max(map(len, picture.splitlines())) <= width
    assert len(result.mismatches) <= picture.count("\n") + 100
