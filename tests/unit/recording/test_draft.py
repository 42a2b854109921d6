"""Trials drafted from recordings: they read well, they pass, and they press what was pressed."""

from __future__ import annotations

import io
import random
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remapd.engine.layout import ButtonControl, Layout, LeverControl, PointerControl
from remapd.language.trials import load_trials_text
from remapd.recording.draft import Draft, draft_trial
from remapd.recording.draft_text import draft_text
from remapd.recording.excerpt import Excerpt
from remapd.recording.lines import RecordingError
from remapd.recording.reader import RecordingReader
from remapd.recording.trials import run_trial
from tests.support.layouts import HARBOUR, TWO_KNEES, load_or_fail
from tests.support.recordings import Take

LAYOUTS = Path(__file__).resolve().parents[3] / "layouts"

STICK = """\
remapd: 1
title: A foot stick
devices:
  foot:
    find: {name: "Foot stick"}
    controls:
      tiller: {stick: [ABS_X, ABS_Y]}
      toe: {button: BTN_TRIGGER, inverted: true}
layers:
  sail:
    tiller: left-stick
    toe: south
"""


def drafted(take: Take, layout: Layout | None = None, *, own: bool = False) -> tuple[Draft, str]:
    """The draft and its text, which is read back and passes."""
    layout = layout or take.driver.layout
    draft = draft_trial(Excerpt(take.reader()), layout, "drafted", own=own)
    text = draft_text(draft, layout, "take.jsonl", "harbour.yaml")
    loaded = load_trials_text(text, layout)
    assert not loaded.diagnostics, (loaded.diagnostics[0].message, text)
    (trial,) = loaded.trials
    result = run_trial(layout, trial)
    assert result.passed, (result.mismatches, text)
    return draft, text


def inputs(text: str) -> list[str]:
    """The lines of `input` without their dashes."""
    part = text.partition("    input:\n")[2].partition("    expect:")[0]
    return [line.strip().removeprefix("- ") for line in part.splitlines()]


def expected(text: str) -> list[str]:
    """The lines of `expect` without their dashes."""
    part = text.partition("    expect:\n")[2]
    return [line.strip().removeprefix("- ") for line in part.splitlines()]


def test_presses_are_drafted_as_they_were_in_the_names_of_the_layout() -> None:
    take = Take(HARBOUR)
    take.tap("left-knee", 0.2, 60)
    take.tap("left-knee", 500, 200.4)
    take.writer.mark(800_000, "that press did\nnothing")
    take.tap("right-knee", 900, 100)
    take.tap("left-knee", 1000, 150)
    take.end(2000)
    draft, text = drafted(take)

    assert inputs(text) == [
        "{at: 0ms, press: left-knee, for: 60ms}",
        "{at: 500ms, press: left-knee, for: 200ms}",
        "# 0.8 s: that press did nothing",
        "{at: 900ms, press: right-knee, for: 100ms}",
        "{at: 1000ms, press: left-knee, for: 150ms}",
    ]
    assert expected(text) == [
        "{at: 700ms, press: hoist}",
        "{at: 760ms, release: hoist}",
        "{at: 1080ms, press: start}",
        "{at: 1150ms, release: start}",
    ]
    assert not draft.notes
    assert "ends: held" not in text
    assert "simplified" not in text


def test_what_is_held_at_the_end_says_so() -> None:
    take = Take(TWO_KNEES)
    take.press("left-knee", 100)
    take.end(500)
    _, text = drafted(take)

    assert inputs(text) == ["{at: 100ms, press: left-knee}"]
    assert "ends: held" in text
    assert expected(text) == ["{at: 100ms, press: south}"]


def test_what_runs_on_after_the_hands_ends_the_trial_held() -> None:
    text = TWO_KNEES.replace("left-knee: south", "left-knee: {turbo: south, how: toggle}")
    take = Take(text)
    take.tap("left-knee", 0, 100)
    take.end(5000)
    _, text = drafted(take)

    assert "ends: held" in text
    assert expected(text) == [
        "{at: 0ms, press: south}",
        "{at: 63ms, release: south}",
    ]


def test_a_bounce_shorter_than_a_trial_can_say_is_a_press_and_a_release() -> None:
    take = Take(TWO_KNEES)
    take.tap("left-knee", 10, 0.4)
    take.tap("left-knee", 11.25, 80)
    take.end(500)
    _, text = drafted(take)

    assert inputs(text) == [
        "{at: 10ms, press: left-knee}",
        "{at: 10.4ms, release: left-knee}",
        "{at: 11.25ms, press: left-knee, for: 80ms}",
    ]


def test_an_inverted_button_is_pressed_when_it_is_let_go() -> None:
    take = Take(STICK)
    take.tap("toe", 100, 50)
    take.end(500)
    _, text = drafted(take)

    assert inputs(text) == ["{at: 100ms, press: toe, for: 50ms}"]


def test_a_stick_that_shakes_at_rest_and_where_it_is_held_is_one_move() -> None:
    noise = random.Random(1)
    take = Take(STICK)
    for step in range(300):
        out = 0.8 if 100 <= step < 200 else 0.0
        take.move("tiller", out + noise.gauss(0, 0.015), noise.gauss(0, 0.015), 8 * step)
    take.end(3000)
    draft, text = drafted(take)

    assert draft.grain.step == 0.10
    assert inputs(text) == ["{at: 800ms, move: tiller, to: [80%, 0%], for: 800ms}"]
    assert "simplified to steps of 10%" in text
    assert expected(text) == [
        "{at: 800ms, move: left-stick, to: [78%, 0%]}",
        "{at: 1600ms, move: left-stick, to: [0%, 0%]}",
    ]


def test_a_slow_lean_becomes_steps_and_a_flick_is_kept() -> None:
    take = Take(STICK)
    for step in range(101):
        take.move("tiller", step / 100, 0.0, 10 * step)
    take.move("tiller", 0.0, 0.0, 1500)
    take.move("tiller", 0.0, -1.0, 2000)
    take.move("tiller", 0.0, 0.0, 2020)
    take.end(3000)
    _, text = drafted(take)

    moves = inputs(text)
    assert 6 <= len(moves) - 1 <= 12
    assert moves[-1].startswith("{at: 2000ms, move: tiller, to: [0%, -100%], for: 20ms}")


def test_directions_that_press_are_kept_by_a_finer_grain_where_it_takes_one() -> None:
    layout = load_or_fail(
        STICK.replace("tiller: left-stick", "tiller.right: east")
        .replace("[ABS_X, ABS_Y]", "[ABS_X, ABS_Y], press-at: 50%, release-at: 48%")
        .replace("[ABS_X, ABS_Y]", "[ABS_X, ABS_Y], dead-zone: 0%")
    )
    take = Take(layout)
    for step in range(40):
        take.move("tiller", 0.47 if step % 2 else 0.51, 0.0, 100 * step)
    take.move("tiller", 0.0, 0.0, 4000)
    take.end(4500)
    draft, text = drafted(take)

    assert draft.grain.step < 0.10
    assert len([line for line in expected(text) if "press: east" in line]) == 20
    assert not draft.notes


def test_a_ball_that_rolls_is_a_few_turns_and_one_count_is_a_count() -> None:
    take = Take(HARBOUR)
    for step in range(50):
        take.count("roll", 2, 0, 100 + 8 * step)
    take.count("roll", 3, -1, 2000)
    take.end(2500)
    _, text = drafted(take)

    *turns, count = inputs(text)
    assert len(turns) == 1
    assert turns[0].startswith("{at: 100ms, turn: roll, to: [42%, 0%], for: 4")
    assert count == "{at: 2000ms, count: roll, by: [3, -1]}"


def test_a_lever_goes_one_way() -> None:
    take = Take(
        STICK.replace("tiller: {stick: [ABS_X, ABS_Y]}", "pedal: {lever: ABS_Z}").replace(
            "tiller: left-stick", "pedal: right-trigger"
        )
    )
    take.move("pedal", 0.6, 0.0, 100)
    take.move("pedal", 0.02, 0.0, 400)
    take.end(800)
    _, text = drafted(take)

    assert inputs(text) == ["{at: 100ms, move: pedal, to: 60%, for: 300ms}"]
    assert expected(text) == [
        "{at: 100ms, move: right-trigger, to: 56%}",
        "{at: 400ms, move: right-trigger, to: 0%}",
    ]


def test_a_trigger_that_a_button_drives_is_pressed() -> None:
    take = Take(TWO_KNEES.replace("left-knee: south", "left-knee: right-trigger"))
    take.tap("left-knee", 0, 100)
    take.end(500)
    _, text = drafted(take)

    assert expected(text) == [
        "{at: 0ms, press: right-trigger}",
        "{at: 100ms, release: right-trigger}",
    ]


def test_a_plug_that_comes_out_and_goes_in_again_with_a_knee_held() -> None:
    take = Take(TWO_KNEES)
    take.press("left-knee", 100)
    take.writer.unplugged(200_000, 0)
    device = take.device("knees")
    held = type(device)(device.source, frozenset({0x100}))
    take.writer.plugged(400_000, held)
    take.release("left-knee", 500)
    take.tap("left-knee", 600, 100)
    take.end(1000)
    _, text = drafted(take)

    assert inputs(text) == [
        "{at: 100ms, press: left-knee}",
        "{at: 200ms, unplug: knees}",
        "{at: 400ms, plug: knees}",
        "{at: 600ms, press: left-knee, for: 100ms}",
    ]


def test_a_device_that_comes_later_is_not_there_before() -> None:
    take = Take(HARBOUR)
    for number in (0, 2):
        take.writer.unplugged(0, number)
    take.tap("left-knee", 10, 100)
    take.writer.plugged(500_000, take.device("ball"))
    take.count("roll", 20, 0, 600)
    take.end(1000)
    _, text = drafted(take)

    assert "{at: 0ms, unplug: ball}" in inputs(text)
    assert "{at: 500ms, plug: ball}" in inputs(text)


@pytest.mark.parametrize(
    ("what", "why"),
    [
        ("layout", "the layout changes to `other.yaml`"),
        ("paused", "remapping is paused"),
        ("release", "everything is released from outside the layout"),
    ],
)
def test_what_a_trial_cannot_say_ends_the_draft(what: str, why: str) -> None:
    take = Take(TWO_KNEES, text=TWO_KNEES)
    take.tap("left-knee", 0, 100)
    if what == "layout":
        take.writer.layout(500_000, "other.yaml", TWO_KNEES)
    elif what == "paused":
        take.writer.paused(500_000, paused=True)
    else:
        take.writer.release_everything(500_000)
    take.end(1000)
    draft, text = drafted(take, own=True)

    assert draft.notes == [f"The draft ends at 0.5 s of the recording: {why}."]
    assert "The draft ends at 0.5 s" in text


def test_a_layout_that_is_given_plays_on_where_the_recordings_own_changes() -> None:
    take = Take(TWO_KNEES, text=TWO_KNEES)
    take.tap("left-knee", 0, 100)
    take.writer.layout(500_000, "other.yaml", TWO_KNEES)
    take.tap("left-knee", 600, 100)
    take.end(1000)
    draft, text = drafted(take, own=False)

    assert len(inputs(text)) == 2
    assert not draft.notes


def test_nothing_to_draft_is_told() -> None:
    take = Take(TWO_KNEES)
    take.end(1000)
    with pytest.raises(RecordingError, match="nothing that the layout names"):
        drafted(take)
    take = Take(TWO_KNEES)
    take.tap("left-knee", 0, 100)
    with pytest.raises(RecordingError, match="the recording has `Switch box`"):
        drafted(take, load_or_fail(STICK))


def test_too_much_to_draft_is_told() -> None:
    take = Take(TWO_KNEES)
    for n in range(1100):
        take.tap("left-knee", 200 * n, 100)
    with pytest.raises(RecordingError, match="--between"):
        drafted(take)


# ------------------------------------------------------------------------------------ excerpts


def reader_of(take: Take) -> RecordingReader:
    return RecordingReader(io.BytesIO(take.data), "take.jsonl")


def test_an_excerpt_begins_with_the_state_that_was_reached() -> None:
    take = Take(STICK, text=STICK)
    take.move("tiller", 0.5, 0.25, 100)
    take.press("toe", 200)
    take.writer.layout(300_000, "second.yaml", TWO_KNEES)
    take.release("toe", 1500)
    take.writer.mark(1_700_000, "here")
    take.end(4000)
    excerpt = Excerpt(reader_of(take), 1_000_000, 1_800_000)

    (device,) = excerpt.devices
    assert device.held == frozenset()  # inverted: pressed is up
    assert device.axes == {0: 500_000, 1: 250_000}
    assert excerpt.layout is not None
    assert excerpt.layout.path == "second.yaml"
    assert [(type(line).__name__, line.us) for line in excerpt] == [
        ("FrameLine", 500_000),
        ("MarkLine", 700_000),
        ("EndLine", 800_000),
    ]


def test_an_excerpt_knows_who_was_plugged_in_then() -> None:
    take = Take(HARBOUR)
    take.writer.unplugged(100_000, 0)
    take.writer.unplugged(100_000, 2)
    take.writer.plugged(200_000, take.device("ball"))
    take.tap("left-knee", 1000, 100)
    excerpt = Excerpt(reader_of(take), 500_000)
    assert [device.source.id for device in excerpt.devices] == [1, 0]


def test_a_whole_recording_is_an_excerpt_of_itself() -> None:
    take = Take(HARBOUR, text=HARBOUR)
    take.tap("left-knee", 0, 100)
    take.end(500)
    whole = list(reader_of(take))
    excerpt = Excerpt(reader_of(take))
    assert excerpt.devices == reader_of(take).devices
    assert list(excerpt) == whole[1:]


def test_an_excerpt_beyond_the_end_is_told() -> None:
    take = Take(TWO_KNEES)
    take.end(500)
    with pytest.raises(RecordingError, match=r"over after 0\.5 s"):
        Excerpt(reader_of(take), 1_000_000)


# ------------------------------------------------------------------------------------ any hands


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(sorted(path for path in LAYOUTS.glob("*.yaml") if "trials" not in path.name)),
    st.integers(0, 2**32),
)
def test_whatever_hands_do_the_draft_passes(path: Path, seed: int) -> None:
    layout = load_or_fail(path.read_text())
    rng = random.Random(seed)
    take = Take(layout)
    at = 0.0
    down: set[str] = set()
    for _ in range(rng.randrange(1, 40)):
        at += rng.choice((0.3, 3, 8, 30, 100, 250, 900)) * rng.uniform(0.5, 1.5)
        control = rng.choice(layout.controls)
        match control:
            case ButtonControl():
                (take.release if control.name in down else take.press)(control.name, at)
                down ^= {control.name}
            case PointerControl():
                take.count(control.name, rng.randrange(-20, 20), rng.randrange(-20, 20), at)
            case LeverControl():
                take.move(control.name, rng.uniform(-1, 1), 0.0, at)
            case _:
                take.move(control.name, rng.uniform(-1, 1), rng.uniform(-1, 1), at)
    take.end(at + rng.choice((0, 500)))
    try:
        draft, _ = drafted(take)
    except RecordingError as error:
        assert "nothing that the layout names" in error.what  # noqa: PT017 - drafts may be refused
        return
    assert not draft.notes
