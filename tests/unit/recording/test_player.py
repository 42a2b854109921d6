"""Replays: the same pad every time, layouts that change on the way, devices that are not there."""

from __future__ import annotations

import dataclasses
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remapd.engine import AxisRange, Layout
from remapd.recording.lines import RecordedDevice, RecordingError
from remapd.recording.pad_changes import Change, PadView
from remapd.recording.pad_description import pad_device
from remapd.recording.player import Player
from remapd.recording.reader import RecordingReader
from remapd.recording.writer import RecordingWriter
from tests.support.bench import Bench
from tests.support.layouts import HARBOUR, TWO_KNEES, load_or_fail
from tests.support.recordings import Take

SWAPPED = TWO_KNEES.replace("left-knee: south", "left-knee: east")


def own(_path: str, text: str) -> Layout:
    return load_or_fail(text)


def played(player: Player) -> list[Change]:
    view = PadView()
    return [change for frame in player for change in view.apply(frame.us, frame.events)]


def knees(*, text: str | None = None) -> Take:
    return Take(TWO_KNEES, text=text)


def test_a_replay_does_what_the_engine_did() -> None:
    take, bench = Take(HARBOUR), Bench(HARBOUR)
    for name, at, length in (
        ("left-knee", 0, 200),
        ("right-knee", 400, 60),
        ("left-knee", 700, 950),
    ):
        take.tap(name, at, length)
        bench.tap(name, at=at, length=length)
    take.count("roll", 7, -4, 1700)
    bench.count("roll", 7, -4, at=1700)
    take.end(3000)
    bench.until(3000)

    assert played(Player(take.reader(), load_or_fail(HARBOUR))) == bench.changes
    assert len(bench.changes) > 5


def test_timers_due_by_the_last_line_fire_and_later_ones_do_not() -> None:
    layout = load_or_fail(TWO_KNEES.replace("left-knee: south", "left-knee: {pulse: south}"))
    for end_us, changes in ((149_999, 1), (150_000, 2)):
        take = knees()
        take.press("left-knee", 0)
        take.writer.mark(end_us, "the end of it")

        assert len(played(Player(take.reader(), layout))) == changes


def test_a_button_held_at_the_start_acts_only_after_a_fresh_press() -> None:
    stream = io.BytesIO()
    take = knees()
    held = RecordedDevice(take.device("knees").source, frozenset({0x100}))
    writer = RecordingWriter(stream, [held])
    for us, value in ((50_000, 0), (100_000, 1)):
        writer.frame(us, 0, [(1, 0x100, value)])
    reader = RecordingReader(io.BytesIO(stream.getvalue()), "held.jsonl")

    assert played(Player(reader, load_or_fail(TWO_KNEES))) == [Change(100_000, "press", "south")]


def test_an_axis_that_is_away_at_the_start_moves_the_pad_at_time_0() -> None:
    text = TWO_KNEES.replace("left-knee: {button: BTN_0}", "joy: {stick: [ABS_X, ABS_Y]}")
    text = text.replace("left-knee: south", "joy: left-stick")
    take = Take(text)
    device = take.device("knees")
    away = RecordedDevice(device.source, device.held, {**device.axes, 0: 1_000_000})
    stream = io.BytesIO()
    RecordingWriter(stream, [away]).end(1)
    reader = RecordingReader(io.BytesIO(stream.getvalue()), "away.jsonl")

    assert played(Player(reader, load_or_fail(text))) == [
        Change(0, "move", "left-stick", (32767, 0)),
    ]


def test_unplugged_and_plugged_in_again() -> None:
    take = knees()
    take.press("left-knee", 0)
    take.writer.unplugged(50_000, 0)
    take.writer.plugged(60_000, take.device("knees"))
    take.tap("left-knee", 100, 50)

    assert [(c.us, c.what) for c in played(Player(take.reader(), load_or_fail(TWO_KNEES)))] == [
        (0, "press"),
        (50_000, "release"),
        (100_000, "press"),
        (150_000, "release"),
    ]


def test_paused_and_resumed() -> None:
    take = knees()
    take.press("left-knee", 0)
    take.writer.paused(50_000, paused=True)
    take.writer.paused(90_000, paused=False)
    take.writer.plugged(90_000, take.device("knees"))
    take.tap("left-knee", 100, 50)

    assert [(c.us, c.what) for c in played(Player(take.reader(), load_or_fail(TWO_KNEES)))] == [
        (0, "press"),
        (50_000, "release"),
        (100_000, "press"),
        (150_000, "release"),
    ]


def test_release_everything_from_outside() -> None:
    layout = load_or_fail(TWO_KNEES.replace("left-knee: south", "left-knee: {latch: south}"))
    take = knees()
    take.tap("left-knee", 0, 50)
    take.writer.release_everything(80_000)

    assert played(Player(take.reader(), layout)) == [
        Change(0, "press", "south"),
        Change(80_000, "release", "south"),
    ]


def test_the_recordings_own_layouts_change_where_they_stand() -> None:
    take = knees(text=TWO_KNEES)
    take.tap("left-knee", 100, 50)
    take.writer.layout(200_000, "other.yaml", SWAPPED)
    take.tap("left-knee", 300, 50)
    player = Player(take.reader(), load_layout=own)

    assert [(c.us, c.control) for c in played(player)] == [
        (100_000, "south"),
        (150_000, "south"),
        (300_000, "east"),
        (350_000, "east"),
    ]
    assert player.notes == []


def test_a_given_layout_plays_throughout_and_says_so() -> None:
    take = knees(text=TWO_KNEES)
    take.writer.layout(200_000, "other.yaml", TWO_KNEES)
    take.writer.layout(210_000, "third.yaml", TWO_KNEES)
    take.tap("left-knee", 300, 50)
    player = Player(take.reader(), load_or_fail(SWAPPED), load_layout=own)

    assert [change.control for change in played(player)] == ["east", "east"]
    (note,) = player.notes
    assert note.startswith("take.jsonl:3: ")
    assert "`other.yaml`" in note


def test_marks_and_warnings_come_out() -> None:
    take = knees(text=TWO_KNEES)
    take.writer.mark(5_000, "that press did nothing")
    reader = take.reader(lambda data: data + b'{"us": 70')
    player = Player(reader, load_or_fail(TWO_KNEES))

    assert played(player) == []
    assert player.marks == [(5_000, "that press did nothing")]
    assert "cut off" in player.notes[0]


def test_a_recording_without_a_layout_of_its_own_needs_one() -> None:
    take = knees()
    take.press("left-knee", 0)
    take.writer.layout(0, "late.yaml", TWO_KNEES)

    with pytest.raises(RecordingError, match="does not begin with a layout"):
        Player(take.reader(), load_layout=own)


def test_a_mark_may_stand_before_the_layout() -> None:
    take = knees()
    take.writer.mark(0, "here we go")
    take.writer.layout(0, "own.yaml", TWO_KNEES)
    take.press("left-knee", 1)
    player = Player(take.reader(), load_layout=own)

    assert len(played(player)) == 1
    assert player.marks == [(0, "here we go")]


# -------------------------------------------------------------------- devices that are not found
@pytest.mark.parametrize(
    ("there", "wanted", "why"),
    [
        (
            'name: "Switch box"',
            'name: "Button box"',
            "its name is `Switch box` and not `Button box`",
        ),
        ("vendor: 0x1", "vendor: 0x2", "its vendor is 0x0001 and not 0x0002"),
        ('name: "Box", port: "a"', 'name: "Box", port: "b*"', "its port is `a` and not `b*`"),
        ('name: "Box"', 'name: "Box", shape: gamepad', "it is no gamepad"),
    ],
)
def test_the_error_tells_why_the_nearest_device_is_not_it(
    there: str, wanted: str, why: str
) -> None:
    take = Take(TWO_KNEES.replace('name: "Switch box"', there))
    layout = load_or_fail(TWO_KNEES.replace('name: "Switch box"', wanted))

    with pytest.raises(RecordingError) as caught:
        Player(take.reader(), layout)
    assert why in str(caught.value)
    assert caught.value.line == 1


def test_the_error_tells_which_codes_are_lacking() -> None:
    layout = load_or_fail(TWO_KNEES.replace("BTN_1", "BTN_9"))

    with pytest.raises(RecordingError, match="it has no BTN_9"):
        Player(knees().reader(), layout)


def test_one_device_that_is_not_there_is_only_a_note() -> None:
    player = Player(
        Take(TWO_KNEES.replace('"Switch box"', '"Switch box", serial: B2')).reader(),
        load_or_fail(HARBOUR),
    )

    assert any("`ball`" in note for note in player.notes)
    assert not any("`knees`" in note for note in player.notes)


def test_a_recording_of_no_devices_plays() -> None:
    stream = io.BytesIO()
    RecordingWriter(stream, []).end(5)
    reader = RecordingReader(io.BytesIO(stream.getvalue()), "none.jsonl")

    assert played(Player(reader, load_or_fail(TWO_KNEES))) == []


# -------------------------------------------------------------------- laws
def output_bytes(data: bytes) -> bytes:
    layout = load_or_fail(HARBOUR)
    stream = io.BytesIO()
    writer = RecordingWriter(stream, [pad_device(layout)], flush=False)
    for frame in Player(RecordingReader(io.BytesIO(data), "take.jsonl"), layout):
        writer.flat_frame(frame.us, 0, frame.events)
    return stream.getvalue()


ACTS = st.lists(
    st.tuples(
        st.integers(0, 400),
        st.sampled_from(
            ["left-knee", "right-knee", "helper-pad.south", "helper-pad.left-stick.up"]
        ),
        st.booleans(),
    ),
    max_size=20,
)


@settings(max_examples=50)
@given(ACTS)
def test_the_output_is_the_same_every_time_and_a_recording_of_the_pad(
    acts: list[tuple[int, str, bool]],
) -> None:
    take = Take(HARBOUR)
    at = 0
    for wait, name, is_press in acts:
        at += wait
        (take.press if is_press else take.release)(name, at)
    take.end(at + 5_000)
    first = output_bytes(take.data)

    assert output_bytes(take.data) == first
    read = RecordingReader(io.BytesIO(first), "pad.jsonl")
    assert read.devices == (pad_device(load_or_fail(HARBOUR)),)
    assert len(list(read)) == first.count(b"\n") - 1


ODD_RANGES = st.sampled_from([(0, 0), (5, 5), (9, -9), (0, 1), (-(1 << 31), (1 << 31) - 1)])
ODD_VALUES = st.sampled_from([0, 1, -1, 5, 1 << 30, -(1 << 31), (1 << 31) - 1])


@settings(max_examples=60)
@given(ODD_RANGES, st.lists(st.tuples(ODD_VALUES, ODD_VALUES), max_size=6))
def test_axes_of_any_range_and_value_play_and_stay_in_the_pads_range(
    numbers: tuple[int, int], values: list[tuple[int, int]]
) -> None:
    text = TWO_KNEES.replace("left-knee: {button: BTN_0}", "joy: {stick: [ABS_X, ABS_Y]}")
    text = text.replace("right-knee: {button: BTN_1}", "pedal: {lever: ABS_Z}")
    text = text.replace("left-knee: south", "joy: left-stick")
    text = text.replace("right-knee: left-stick.up", "pedal: right-trigger")
    device = Take(text).device("knees")
    axes = dict.fromkeys(device.source.axes, AxisRange(*numbers))
    odd = RecordedDevice(dataclasses.replace(device.source, axes=axes))
    stream = io.BytesIO()
    writer = RecordingWriter(stream, [odd])
    for number, (x, y) in enumerate(values):
        writer.frame(number * 1000, 0, [(3, 0, x), (3, 1, y), (3, 2, x)])
    reader = RecordingReader(io.BytesIO(stream.getvalue()), "odd.jsonl")

    for change in played(Player(reader, load_or_fail(text))):
        if isinstance(change.value, tuple):
            assert max(map(abs, change.value)) <= 32767
        else:
            assert 0 <= (change.value or 0) <= 255
