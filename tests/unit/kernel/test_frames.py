"""Frames out of raw records, with events lost in every place where the kernel may lose them."""

from __future__ import annotations

import os
import struct
from dataclasses import dataclass, field

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from remapd.codes import (
    EV_ABS,
    EV_KEY,
    EV_MSC,
    EV_REL,
    EV_SYN,
    KEYS,
    SYN_DROPPED,
    SYN_REPORT,
)
from remapd.kernel.frames import EVENT_BYTES, Event, Frame, FrameSplitter, frame_us
from tests.conftest import FORM

SOUTH = KEYS["BTN_SOUTH"]
EAST = KEYS["BTN_EAST"]
REPORT = (EV_SYN, SYN_REPORT, 0)
DROPPED = (EV_SYN, SYN_DROPPED, 0)


def record(us: int, event: Event) -> bytes:
    """One `struct input_event`, as linux/input.h lays it out."""
    return struct.pack("@llHHi", us // 1_000_000, us % 1_000_000, *event)


def records(us: int, *events: Event) -> bytes:
    return b"".join(record(us, event) for event in events)


@given(us=st.integers(0, 1 << 59))
def test_the_time_is_that_of_the_first_record(us: int) -> None:
    assert frame_us(records(us, (EV_ABS, 0, 1), REPORT)) == us


def test_one_frame() -> None:
    data = records(5_000_007, (EV_ABS, 0, -300), (EV_KEY, SOUTH, 1), REPORT)
    assert FrameSplitter().split(data) == [(5_000_007, [(EV_ABS, 0, -300), (EV_KEY, SOUTH, 1)])]


def test_several_frames_in_one_read() -> None:
    data = records(1, (EV_REL, 0, 4), REPORT) + records(2, (EV_REL, 0, -4), REPORT)
    assert FrameSplitter().split(data) == [(1, [(EV_REL, 0, 4)]), (2, [(EV_REL, 0, -4)])]


def test_a_report_of_value_one_ends_a_frame_too() -> None:
    """The kernel makes such ones itself when a device sends too much at once (drivers/input)."""
    data = records(1, (EV_KEY, SOUTH, 1), (EV_SYN, SYN_REPORT, 1))
    assert FrameSplitter().split(data) == [(1, [(EV_KEY, SOUTH, 1)])]


def test_autorepeat_scan_codes_and_empty_frames_are_left_out() -> None:
    data = records(1, (EV_MSC, 4, 30), (EV_KEY, 30, 1), REPORT)
    data += records(2, (EV_KEY, 30, 2), REPORT) + records(3, (EV_MSC, 4, 30), REPORT, REPORT)
    assert FrameSplitter().split(data) == [(1, [(EV_KEY, 30, 1)])]


def test_the_rest_of_a_lost_frame_is_thrown_away() -> None:
    """Source: Documentation/input/event-codes.rst, SYN_DROPPED."""
    splitter = FrameSplitter()
    frames = splitter.split(
        records(1, (EV_KEY, SOUTH, 1), REPORT)
        + records(2, (EV_KEY, EAST, 1), DROPPED, (EV_KEY, EAST, 0))
    )
    assert frames == [(1, [(EV_KEY, SOUTH, 1)])]
    assert splitter.drops == 0
    frames = splitter.split(records(3, (EV_ABS, 0, 9), REPORT, (EV_ABS, 0, 10), REPORT))
    assert frames == [(3, []), (3, [(EV_ABS, 0, 10)])]
    assert splitter.drops == 1


def test_resync_releases_what_was_let_go_in_the_loss() -> None:
    splitter = FrameSplitter()
    splitter.split(records(1, (EV_KEY, SOUTH, 1), (EV_ABS, 1, 5), REPORT))
    frames = splitter.split(records(9, DROPPED, REPORT))
    assert splitter.resync(frames, frozenset({EAST}), {0: 3, 1: 5}) == [
        (9, [(EV_KEY, SOUTH, 0), (EV_KEY, EAST, 1), (EV_ABS, 0, 3)])
    ]


def test_resync_puts_the_difference_before_the_frames_that_follow_the_loss() -> None:
    """SOUTH was let go in the loss and pressed again after it: both must be seen."""
    splitter = FrameSplitter()
    splitter.split(records(1, (EV_KEY, SOUTH, 1), REPORT))
    frames = splitter.split(records(5, DROPPED, REPORT) + records(8, (EV_KEY, SOUTH, 1), REPORT))
    assert splitter.resync(frames, frozenset({SOUTH}), {}) == [
        (5, [(EV_KEY, SOUTH, 0)]),
        (8, [(EV_KEY, SOUTH, 1)]),
    ]


def test_resync_without_a_difference_makes_no_frame() -> None:
    splitter = FrameSplitter()
    splitter.axes = {0: 4}
    frames = splitter.split(records(5, DROPPED, REPORT))
    assert splitter.resync(frames, frozenset(), {0: 4}) == []


def test_what_the_question_took_from_the_queue_comes_at_the_end() -> None:
    """EVIOCGKEY removes waiting key events: the release that came between read and question."""
    splitter = FrameSplitter()
    frames = splitter.split(records(5, DROPPED, REPORT) + records(8, (EV_KEY, SOUTH, 1), REPORT))
    assert splitter.resync(frames, frozenset(), {}) == [
        (8, [(EV_KEY, SOUTH, 1)]),
        (8, [(EV_KEY, SOUTH, 0)]),
    ]


def test_an_axis_that_moves_after_the_loss_does_not_jump_ahead() -> None:
    """The 9 is still in the queue: EVIOCGABS takes nothing out of it."""
    splitter = FrameSplitter()
    frames = splitter.split(records(5, DROPPED, REPORT) + records(8, (EV_ABS, 0, 7), REPORT))
    assert splitter.resync(frames, frozenset(), {0: 9}) == [(8, [(EV_ABS, 0, 7)])]


def test_a_frame_that_has_begun_after_the_loss_is_not_given_out_twice() -> None:
    splitter = FrameSplitter()
    frames = splitter.split(records(5, DROPPED, REPORT) + records(8, (EV_KEY, SOUTH, 1)))
    frames = splitter.resync(frames, frozenset({SOUTH}), {})
    assert frames + splitter.split(records(8, REPORT)) == [(8, [(EV_KEY, SOUTH, 1)])]


def test_fingers_are_not_resynced() -> None:
    splitter = FrameSplitter()
    frames = splitter.split(records(5, DROPPED, REPORT))
    assert splitter.resync(frames, frozenset(), {0x35: 700}) == []


@dataclass
class ModelOfTheKernel:
    """A device and one reader's ring, as drivers/input/evdev.c keeps it (from reading it)."""

    ring_size: int
    keys: dict[int, int] = field(default_factory=dict)
    axes: dict[int, int] = field(default_factory=dict)
    ring: list[tuple[int, Event]] = field(default_factory=list)
    readable: int = 0

    def send(self, us: int, changes: list[Event]) -> None:
        passed = []
        for event_type, code, value in changes:
            state = self.keys if event_type == EV_KEY else self.axes
            if state.get(code, 0) != value:
                state[code] = value
                passed.append((event_type, code, value))
        if passed:
            for event in [*passed, REPORT]:
                self._put(us, event)
            self.readable = len(self.ring)

    def _put(self, us: int, event: Event) -> None:
        self.ring.append((us, event))
        if len(self.ring) == self.ring_size:  # all but the newest is dropped
            self.ring = [(us, DROPPED), (us, event)]
            self.readable = 0

    def read(self, most: int) -> bytes:
        count = min(most, self.readable)
        taken, self.ring = self.ring[:count], self.ring[count:]
        self.readable -= count
        return b"".join(record(us, event) for us, event in taken)

    def held(self) -> frozenset[int]:
        """EVIOCGKEY: it takes the waiting key events out of the ring."""
        self.ring = [entry for entry in self.ring if entry[1][0] != EV_KEY]
        self.readable = len(self.ring)
        return frozenset(code for code, value in self.keys.items() if value)


KEY_EVENTS = st.tuples(st.just(EV_KEY), st.sampled_from([SOUTH, EAST]), st.integers(0, 1))
AXIS_EVENTS = st.tuples(st.just(EV_ABS), st.integers(0, 1), st.integers(-2, 2))
SENT = st.lists(KEY_EVENTS | AXIS_EVENTS, min_size=1, max_size=4)
#: Mostly the device sends a frame; now and then the reader reads so many records.
STEPS = st.lists(st.one_of(SENT, SENT, SENT, st.integers(1, 8)), min_size=20, max_size=60)


@settings(max_examples=400)
@given(steps=STEPS, between=st.lists(st.lists(KEY_EVENTS, max_size=2), max_size=3))
def test_whatever_is_lost_the_state_given_out_becomes_true(
    steps: list[list[Event] | int], between: list[list[Event]]
) -> None:
    """Also: times never fall, nothing pressed is pressed, nothing released is released.

    `between` is what the device sends between the last read and the question of a resync.
    """
    kernel = ModelOfTheKernel(ring_size=8)
    splitter = FrameSplitter()
    given_out: list[Frame] = []

    def read(most: int, us: int) -> None:
        drops = splitter.drops
        frames = splitter.split(kernel.read(most))
        if splitter.drops != drops:
            frames += splitter.split(kernel.read(100))
            if between:
                kernel.send(us, between.pop())
            frames = splitter.resync(frames, kernel.held(), dict(kernel.axes))
        given_out.extend(frames)

    us = 0
    for step in steps:
        us += 1
        if isinstance(step, int):
            read(step, us)
        else:
            kernel.send(us, step)
    while kernel.readable:
        read(100, us)

    pressed: set[int] = set()
    axes: dict[int, int] = {}
    for _, events in given_out:
        assert events
        for event_type, code, value in events:
            if event_type == EV_ABS:
                axes[code] = value
            elif value:
                assert code not in pressed
                pressed.add(code)
            else:
                assert code in pressed
                pressed.remove(code)
    assert pressed == {code for code, value in kernel.keys.items() if value}
    assert {a: v for a, v in axes.items() if v} == {a: v for a, v in kernel.axes.items() if v}
    assert [us for us, _ in given_out] == sorted(us for us, _ in given_out)


@given(
    frames=st.lists(st.lists(KEY_EVENTS | AXIS_EVENTS, max_size=4), max_size=10),
    cuts=st.lists(st.integers(1, 7)),
)
def test_frames_are_the_same_however_the_bytes_are_cut(
    frames: list[list[Event]], cuts: list[int]
) -> None:
    data = b"".join(
        records(us, *frame, DROPPED if us % 4 == 3 else REPORT, REPORT)
        for us, frame in enumerate(frames)
    )
    in_one = FrameSplitter().split(data)
    splitter = FrameSplitter()
    in_parts: list[Frame] = []
    while data:
        size = EVENT_BYTES * (cuts.pop() if cuts else 1)
        in_parts += splitter.split(data[:size])
        data = data[size:]
    assert in_parts == in_one


@given(
    frames=st.lists(
        st.lists(
            st.tuples(st.sampled_from([EV_ABS, EV_REL]), st.integers(0, 5), st.integers(-9, 9)),
            max_size=4,
        ),
        max_size=60,
    )
)
def test_axes_that_are_taken_over_late_are_those_of_the_last_frames(
    frames: list[list[Event]],
) -> None:
    splitter = FrameSplitter()
    axes: dict[int, int] = {}
    for us, events in enumerate(frames):
        data = records(us, *events, REPORT)
        kind = splitter.plain(data)
        assert (kind is not None) == bool(events)
        if kind is None:
            assert splitter.split(data) == []
        else:
            assert (frame_us(data), kind.triples(data)) == (us, events)
            assert kind.axes.events(data) == events
        axes.update({code: value for kind, code, value in events if kind == EV_ABS})
        if us % 7 == 0:
            assert splitter.axes == axes
    assert splitter.axes == axes


@given(
    frames=st.lists(
        st.lists(KEY_EVENTS | st.tuples(st.just(EV_ABS), st.integers(0, 2), st.integers(-9, 9))),
        max_size=30,
    ),
    cuts=st.lists(st.integers(1, 20)),
)
def test_plain_frames_that_waited_are_those_that_split_gives(
    frames: list[list[Event]], cuts: list[int]
) -> None:
    data = b"".join(
        records(us, *frame, DROPPED if us % 9 == 8 else REPORT, REPORT)
        for us, frame in enumerate(frames)
    )
    wanted = FrameSplitter()
    in_one = wanted.split(data)
    splitter = FrameSplitter()
    given_out: list[Frame] = []
    while data:
        size = EVENT_BYTES * (cuts.pop() if cuts else 20)
        plain, rest = splitter.plain_frames(data[:size])
        given_out += [(us, kind.triples(piece)) for us, kind, piece in plain]
        given_out += splitter.split(rest)
        data = data[size:]
    assert given_out == in_one
    assert (splitter.axes, splitter.keys) == (wanted.axes, wanted.keys)
    assert splitter.drops == wanted.drops


@pytest.mark.skipif(FORM in os.environ, reason="what is compiled cannot be told otherwise")
def test_records_of_another_form_go_the_long_way(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("remapd.kernel.frames._ARE_KNOWN", False)
    splitter = FrameSplitter()
    data = records(7, (EV_ABS, 0, -5), (EV_REL, 1, 3), REPORT)

    assert splitter.plain(data) is None
    assert splitter.split(data) == [(7, [(EV_ABS, 0, -5), (EV_REL, 1, 3)])]
    assert (frame_us(data), splitter.axes) == (7, {0: -5})


def test_what_is_not_one_frame_of_axes_is_not_plain() -> None:
    splitter = FrameSplitter()
    axis = (EV_ABS, 0, 1)
    for data in (
        records(1, axis, (EV_KEY, SOUTH, 1), REPORT),
        records(1, axis, REPORT, axis, REPORT),
        records(1, axis, (EV_SYN, 3, 0), axis),
        records(1, axis, REPORT),
    ):
        assert splitter.plain(data) is None
        splitter.split(data)
    assert splitter.drops == 1
