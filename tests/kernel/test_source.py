"""Sources on a real kernel: description, frames, time, grab, losses, unplugging."""

from __future__ import annotations

import os
import random
import select
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import uinput
from evdev import InputDevice, UInput

from remapd.codes import AXES, EV_ABS, EV_KEY, EV_REL, EV_REP, KEYS
from remapd.engine.source import AxisRange
from remapd.kernel.errors import SourceBusy, SourceGone, SourceUnreadable
from remapd.kernel.frames import Frame
from remapd.kernel.hotplug import list_nodes
from remapd.kernel.source import SourceDevice
from remapd.kernel.timer import monotonic_us
from tests.support.daemon import until
from tests.support.source_devices import (
    BALL,
    EAST,
    GAMEPAD,
    HAT_X,
    SOUTH,
    X,
    make_device,
    next_frames,
    open_source,
    path_of,
    readable,
    send,
)


@pytest.fixture
def device() -> Iterator[UInput]:
    with make_device() as made:
        yield made


@pytest.fixture
def source(device: UInput) -> Iterator[SourceDevice]:
    opened = open_source(device)
    yield opened
    opened.close()


def test_the_description_is_the_kernels() -> None:
    identity: dict[str, Any] = {
        "vendor": 0x9ABC,
        "product": 0xF00D,
        "version": 0x8001,
        "bustype": 0x06,
    }
    with make_device(name="Helm wheel é", phys="dock-1/input0", **identity) as device:
        opened = open_source(device)
        described = opened.source
        opened.close()
    assert path_of(device) == f"/dev/input/event{described.id}"
    assert (described.name, described.port, described.serial) == (
        "Helm wheel é",
        "dock-1/input0",
        "",
    )
    assert (described.vendor, described.product) == (0x9ABC, 0xF00D)
    assert (described.version, described.bus) == (0x8001, 0x06)
    assert described.keys == frozenset(GAMEPAD[EV_KEY])
    assert described.rels == frozenset()
    assert described.axes == {
        X: AxisRange(-100, 100),
        AXES["ABS_Y"]: AxisRange(0, 255, 0, 15, 4),
        HAT_X: AxisRange(-1, 1),
    }


def test_frames_come_whole_and_in_order(device: UInput, source: SourceDevice) -> None:
    send(device, (EV_KEY, SOUTH, 1), (EV_ABS, X, 40))
    send(device, (EV_ABS, X, -100))
    send(device, (EV_KEY, SOUTH, 0))
    assert [events for _, events in next_frames(source, 3)] == [
        [(EV_KEY, SOUTH, 1), (EV_ABS, X, 40)],
        [(EV_ABS, X, -100)],
        [(EV_KEY, SOUTH, 0)],
    ]
    assert source.read_frames() == []
    assert source.axes()[X] == -100


def test_a_ball_sends_counts() -> None:
    with make_device(BALL) as ball:
        source = open_source(ball)
        send(ball, (EV_REL, 0, -3), (EV_REL, 1, 200))
        assert next_frames(source)[0][1] == [(EV_REL, 0, -3), (EV_REL, 1, 200)]
        source.close()


def test_timestamps_are_monotonic_time(device: UInput, source: SourceDevice) -> None:
    before_us = monotonic_us()
    send(device, (EV_KEY, SOUTH, 1))
    ((stamp_us, _),) = next_frames(source)
    assert before_us <= stamp_us <= monotonic_us()


def test_what_is_held_at_opening_is_known_and_not_sent_again(device: UInput) -> None:
    send(device, (EV_KEY, EAST, 1), (EV_ABS, X, 7))
    source = open_source(device)
    assert source.held() == {EAST}
    assert source.axes() == {X: 7, AXES["ABS_Y"]: 3, HAT_X: 0}
    assert source.read_frames() == []
    send(device, (EV_KEY, EAST, 0))
    assert next_frames(source)[0][1] == [(EV_KEY, EAST, 0)]
    assert source.held() == frozenset()
    source.close()


def test_the_descriptor_is_not_inherited_and_waits_in_an_epoll(
    device: UInput, source: SourceDevice
) -> None:
    assert not os.get_inheritable(source.fileno())
    with select.epoll() as poll:
        poll.register(source, select.EPOLLIN)
        assert poll.poll(0) == []
        send(device, (EV_KEY, SOUTH, 1))
        assert poll.poll(10) == [(source.fileno(), select.EPOLLIN)]


# ------------------------------------------------------------------------------------- the grab


def test_a_grabbed_device_is_silent_for_others_and_given_back(
    device: UInput, source: SourceDevice
) -> None:
    other = InputDevice(path_of(device))
    assert source.try_grab()
    send(device, (EV_KEY, SOUTH, 1))
    send(device, (EV_KEY, SOUTH, 0))
    assert len(next_frames(source, 2)) == 2
    assert not readable(other, 0.0)
    source.ungrab()
    send(device, (EV_KEY, EAST, 1))
    assert readable(other)
    assert next_frames(source)[0][1] == [(EV_KEY, EAST, 1)]
    other.close()


@pytest.mark.parametrize(
    "press", [(EV_KEY, SOUTH, 1), (EV_ABS, HAT_X, -1)], ids=["a button", "a hat"]
)
def test_the_grab_waits_until_nothing_is_pressed(
    device: UInput, source: SourceDevice, press: tuple[int, int, int]
) -> None:
    """Else the press would stay with every other reader: this one sees its end."""
    other = InputDevice(path_of(device))
    send(device, press)
    assert not source.try_grab(), "it is in the queue, not read yet"
    next_frames(source)
    assert not source.try_grab(), "it is read and held"
    send(device, (press[0], press[1], 0))
    next_frames(source)
    assert source.try_grab()
    values = [event.value for event in other.read() if event.type == press[0]]
    assert values == [press[2], 0]
    other.close()


def test_a_moved_stick_does_not_hold_up_the_grab(device: UInput, source: SourceDevice) -> None:
    send(device, (EV_ABS, X, 30))
    next_frames(source)
    assert source.try_grab()


def test_what_is_held_at_opening_holds_up_the_grab(device: UInput) -> None:
    send(device, (EV_KEY, SOUTH, 1))
    source = open_source(device)
    assert not source.try_grab()
    source.close()


def test_a_device_that_another_program_has_taken_is_told_of(
    device: UInput, source: SourceDevice
) -> None:
    other = InputDevice(path_of(device))
    other.grab()
    with pytest.raises(SourceBusy, match="another program"):
        source.try_grab()
    assert not source.grabbed
    other.close()
    assert source.try_grab()


def test_closing_gives_the_device_back(device: UInput) -> None:
    source = open_source(device)
    assert source.try_grab()
    source.close()
    source.close()
    other = InputDevice(path_of(device))
    other.grab()
    other.close()


# ---------------------------------------------------------------------------------- lost events


def state_after(frames: list[Frame]) -> tuple[set[int], dict[int, int]]:
    """Checks on the way that nothing pressed is pressed and nothing released is released."""
    pressed: set[int] = set()
    axes: dict[int, int] = {}
    for _, events in frames:
        for event_type, code, value in events:
            if event_type == EV_ABS:
                axes[code] = value
            elif value:
                assert code not in pressed
                pressed.add(code)
            else:
                pressed.remove(code)
    return pressed, axes


def test_an_overflow_leaves_no_button_stuck(device: UInput, source: SourceDevice) -> None:
    send(device, (EV_KEY, SOUTH, 1))
    frames = next_frames(source)
    for count in range(20):
        send(device, (EV_ABS, X, count))
    send(device, (EV_KEY, SOUTH, 0), (EV_KEY, EAST, 1))
    for count in range(100):
        send(device, (EV_ABS, X, -1 - count % 2))
    lost_by_us = monotonic_us()
    send(device, (EV_ABS, X, 50))
    frames += next_frames(source)
    assert source.drops == 1
    assert state_after(frames) == ({EAST}, {X: 50})
    repaired_us = next(us for us, events in frames if (EV_KEY, SOUTH, 0) in events)
    assert frames[0][0] < repaired_us < lost_by_us
    assert [us for us, _ in frames] == sorted(us for us, _ in frames)
    # and it goes on as before
    send(device, (EV_KEY, EAST, 0))
    assert next_frames(source)[0][1] == [(EV_KEY, EAST, 0)]


@pytest.mark.parametrize("seed", range(20))
def test_whatever_is_lost_the_state_given_out_becomes_true(
    device: UInput, source: SourceDevice, seed: int
) -> None:
    chance = random.Random(seed)
    truth: dict[int, int] = {}
    frames: list[Frame] = []
    for _ in range(chance.randint(100, 400)):
        if chance.random() < 0.03:
            frames += source.read_frames() or []
        events = []
        for code in (SOUTH, EAST):
            if chance.random() < 0.3:
                truth[code] = 1 - truth.get(code, 0)
                events.append((EV_KEY, code, truth[code]))
        if chance.random() < 0.6:
            truth[X] = chance.randint(-100, 100)
            events.append((EV_ABS, X, truth[X]))
        send(device, *events)
    while readable(source, 0.0):
        frames += source.read_frames() or []
    pressed, axes = state_after(frames)
    assert pressed == {code for code in (SOUTH, EAST) if truth.get(code)}
    assert axes.get(X, 0) == truth.get(X, 0)
    assert source.held() == pressed
    assert [us for us, _ in frames] == sorted(us for us, _ in frames)


# ------------------------------------------------------------------------------------- unplugged


def test_unplugging_wakes_the_poll_and_reading_says_so(device: UInput) -> None:
    source = open_source(device)
    assert source.try_grab()
    send(device, (EV_KEY, SOUTH, 1))
    next_frames(source)
    device.close()
    assert readable(source)
    assert source.read_frames() is None
    assert source.read_frames() is None
    assert source.held() == {SOUTH}, "what the layout must now let go of"
    source.close()
    assert source.read_frames() is None


def test_closing_what_is_gone_ends_by_itself(device: UInput) -> None:
    source = open_source(device)
    assert source.try_grab()
    open_file = Path(f"/proc/self/fd/{source.fileno()}")
    device.close()
    source.close()
    assert source.fileno() == -1
    until(lambda: not open_file.exists())  # it is closed aside


def test_a_name_that_is_not_text_is_told_of() -> None:
    class Name:
        def encode(self) -> bytes:
            return b"Sw\xcftch"

    device = uinput.Device([(EV_KEY, SOUTH)], name=Name())
    (node,) = [node for node in list_nodes() if node.name == "Sw\ufffdtch"]
    with pytest.raises(SourceUnreadable, match="not text"):
        SourceDevice(node.path)
    device.destroy()


def test_grabbing_what_is_gone(device: UInput, source: SourceDevice) -> None:
    device.close()
    assert readable(source)
    assert source.read_frames() is None
    assert not source.try_grab(), "a gone device always has something to read"
    source.ungrab()


def test_unplugging_in_the_middle_of_a_loss(device: UInput, source: SourceDevice) -> None:
    for count in range(200):
        send(device, (EV_ABS, X, count % 2))
    device.close()
    assert readable(source)
    assert source.read_frames() is None


def test_what_is_not_there_and_what_is_no_device() -> None:
    with pytest.raises(SourceGone, match="plug the device in"):
        SourceDevice("/dev/input/event9999")
    with pytest.raises(SourceUnreadable, match="/dev/null"):
        SourceDevice("/dev/null")


def test_two_alike_differ_by_their_port() -> None:
    with make_device(phys="hub-1/input0") as left, make_device(phys="hub-2/input0") as right:
        sources = [open_source(left), open_source(right)]
        assert [source.source.port for source in sources] == ["hub-1/input0", "hub-2/input0"]
        assert sources[0].source.id != sources[1].source.id
        send(right, (EV_KEY, SOUTH, 1))
        assert next_frames(sources[1])[0][1] == [(EV_KEY, SOUTH, 1)]
        assert sources[0].read_frames() == []
        for source in sources:
            source.close()


def test_autorepeat_of_a_keyboard_is_left_out() -> None:
    space = KEYS["KEY_SPACE"]
    with make_device({EV_KEY: [space], EV_REP: []}) as keyboard:
        source = open_source(keyboard)
        source.try_grab()
        send(keyboard, (EV_KEY, space, 1))
        frames = next_frames(source)
        assert readable(source), "the kernel repeats a held key after 250 ms"
        assert source.read_frames() == []
        send(keyboard, (EV_KEY, space, 0))
        frames += next_frames(source)
        assert [events for _, events in frames] == [[(EV_KEY, space, 1)], [(EV_KEY, space, 0)]]
        source.close()
