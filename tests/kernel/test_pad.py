"""The virtual gamepad on a real kernel, read back through evdev: every control, and its life."""

from __future__ import annotations

import os
import select
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from evdev import AbsInfo, InputDevice, ecodes

from remapd.codes import AXES, EV_ABS, EV_KEY
from remapd.engine.source import AxisRange
from remapd.kernel.errors import PadLost, SourceBusy
from remapd.kernel.frames import Frame
from remapd.kernel.hotplug import describe_node, is_remapd_pad, list_nodes
from remapd.kernel.pad import PAD_AXES, PAD_KEYS, Pad, PadIdentity, diagnose_uinput
from remapd.kernel.pad_feedback import GainSet
from remapd.kernel.source import SourceDevice
from tests.support.source_devices import (
    WAIT_S,
    make_device,
    next_frames,
    open_source,
    path_of,
    readable,
)

REPORT = (0, 0, 0)


@pytest.fixture
def pad() -> Iterator[Pad]:
    made = Pad()
    yield made
    made.close()


@pytest.fixture
def reader(pad: Pad) -> Iterator[SourceDevice]:
    opened = open_source(pad.node)
    yield opened
    opened.close()


def test_it_declares_the_controls_and_nothing_else(pad: Pad) -> None:
    """Source: the table of the layout language, after Documentation/input/gamepad.rst."""
    device = InputDevice(pad.node)
    names = (
        *("BTN_SOUTH", "BTN_EAST", "BTN_NORTH", "BTN_WEST", "BTN_TL", "BTN_TR"),
        *("BTN_SELECT", "BTN_START", "BTN_MODE", "BTN_THUMBL", "BTN_THUMBR"),
    )
    stick, trigger, hat = (-32767, 32767), (0, 255), (-1, 1)
    ranges = {
        **dict.fromkeys(("ABS_X", "ABS_Y", "ABS_RX", "ABS_RY"), stick),
        **dict.fromkeys(("ABS_Z", "ABS_RZ"), trigger),
        **dict.fromkeys(("ABS_HAT0X", "ABS_HAT0Y"), hat),
    }
    capabilities: dict[int, Any] = {**device.capabilities()}
    assert set(capabilities) == {ecodes.EV_SYN, ecodes.EV_KEY, ecodes.EV_ABS}
    assert set(capabilities[ecodes.EV_KEY]) == {getattr(ecodes, name) for name in names}
    assert dict(capabilities[ecodes.EV_ABS]) == {
        getattr(ecodes, name): AbsInfo(0, low, high, 0, 0, 0)
        for name, (low, high) in ranges.items()
    }
    assert (device.name, device.phys) == ("remapd pad", "remapd/pad")
    assert (device.info.bustype, device.info.vendor, device.info.product) == (3, 0x1209, 0x5244)
    device.close()


def test_a_pad_that_rumbles_declares_what_pads_with_two_motors_do() -> None:
    """Source: drivers/input/ff-memless.c, which declares it for the drivers of such pads."""
    pad = Pad("the pad that rumbles", has_rumble=True)
    device = InputDevice(pad.node)
    capabilities: dict[int, Any] = {**device.capabilities()}
    assert set(capabilities) == {ecodes.EV_SYN, ecodes.EV_KEY, ecodes.EV_ABS, ecodes.EV_FF}
    names = ("FF_RUMBLE", "FF_PERIODIC", "FF_SQUARE", "FF_TRIANGLE", "FF_SINE", "FF_GAIN")
    assert set(capabilities[ecodes.EV_FF]) == {getattr(ecodes, name) for name in names}
    assert device.ff_effects_count == 16
    assert pad.take_feedback() == []
    device.write(ecodes.EV_FF, ecodes.FF_GAIN, 0x8000)
    assert readable(pad)
    assert pad.take_feedback() == [GainSet(0x8000)]
    device.close()
    pad.close()


CONTROLS = [(EV_KEY, key, 1) for key in PAD_KEYS] + [
    (EV_ABS, axis, end) for axis, ends in PAD_AXES.items() for end in ends if end
]


@pytest.mark.parametrize("event", CONTROLS, ids=lambda event: f"{event[1]:#x}:{event[2]}")
def test_every_control_is_read_as_it_is_written(
    pad: Pad, reader: SourceDevice, event: tuple[int, int, int]
) -> None:
    pad.write([*event, *REPORT])
    pad.write([*event[:2], 0, *REPORT])
    assert [events for _, events in next_frames(reader, 2)] == [[event], [(*event[:2], 0)]]


def test_a_written_frame_is_one_frame_for_readers(pad: Pad, reader: SourceDevice) -> None:
    events = [(EV_KEY, key, 1) for key in PAD_KEYS]
    events += [(EV_ABS, axis, high) for axis, (_, high) in PAD_AXES.items()][:4]
    pad.write([value for event in [*events, REPORT] for value in event])
    assert [written for _, written in next_frames(reader)] == [events]


def test_the_kernel_makes_two_frames_of_more_than_sixteen_changes(
    pad: Pad, reader: SourceDevice
) -> None:
    """What input_handle_event does where more changes come than a pad of this kind can be guessed
    to send at once: no change is lost, and it takes all hands on every control to get there."""
    events = [(EV_KEY, key, 1) for key in PAD_KEYS]
    events += [(EV_ABS, axis, high) for axis, (_, high) in PAD_AXES.items()]
    pad.write([value for event in [*events, REPORT] for value in event])
    frames = next_frames(reader, 2)
    assert [len(written) for _, written in frames] == [16, 3]
    assert [event for _, written in frames for event in written] == events


def test_a_frame_longer_than_any_made_before_is_written_too(pad: Pad, reader: SourceDevice) -> None:
    values = [value for count in range(50) for value in (EV_ABS, AXES["ABS_X"], count + 1)]
    pad.write([*values, *REPORT])
    events: list[tuple[int, int, int]] = []
    while len(events) < 50:
        events += [event for _, written in next_frames(reader) for event in written]
    assert events[-1] == (EV_ABS, AXES["ABS_X"], 50)


def test_its_node_is_there_at_once_and_gone_when_closed() -> None:
    pad = Pad(name="the helper's pad")
    assert Path(pad.node).exists()
    reader = open_source(pad.node)
    assert reader.source.name == "the helper's pad"
    node = pad.node
    pad.close()
    pad.close()
    assert readable(reader)
    assert reader.read_frames() is None
    reader.close()
    assert describe_node(node) is None
    with pytest.raises(PadLost, match="gone"):
        pad.write([*REPORT])


def test_an_identity_of_the_layouts_choice_and_two_pads_at_once() -> None:
    left = Pad(name="left", identity=PadIdentity(0xFEDC, 0x8001, 0x9000, bus=6))
    right = Pad(name="right")
    seen = {node.name: node for node in list_nodes()}
    assert (seen["left"].vendor, seen["left"].product) == (0xFEDC, 0x8001)
    assert (seen["left"].version, seen["left"].bus) == (0x9000, 6)
    assert seen["left"].path == left.node
    assert seen["right"].path == right.node
    assert is_remapd_pad(seen["left"])
    assert is_remapd_pad(seen["right"])
    source = open_source(left.node)
    assert is_remapd_pad(source.source)
    assert source.source.axes[AXES["ABS_Z"]] == AxisRange(0, 255)
    source.close()
    left.close()
    right.close()


OWNER = """
import sys
from remapd.kernel.pad import Pad
from remapd.kernel.source import SourceDevice
source = SourceDevice(sys.argv[1])
pad = Pad(name="to be killed")
pad.write([1, 0x130, 1, 0, 0, 0])
print(source.try_grab(), pad.node, flush=True)
sys.stdin.read()
"""


def test_killing_the_process_takes_the_pad_away_and_gives_sources_back() -> None:
    device = make_device()
    open_source(device).close()  # waits for the permission
    owner = subprocess.Popen(
        [sys.executable, "-c", OWNER, path_of(device)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert owner.stdout is not None
    grabbed, node = owner.stdout.readline().split()
    assert grabbed == "True"
    other = open_source(device)
    with pytest.raises(SourceBusy):
        other.try_grab()
    reader = open_source(node)
    assert reader.held() == {0x130}
    poll = select.poll()
    poll.register(reader, select.POLLIN)
    owner.send_signal(signal.SIGKILL)
    assert poll.poll(WAIT_S * 1000)
    # the kernel may or may not get to let go of the key before the node is gone
    frames: list[Frame] = []
    while (got := reader.read_frames()) is not None:
        frames += got
        assert poll.poll(WAIT_S * 1000)
    assert [events for _, events in frames] in ([], [[(EV_KEY, 0x130, 0)]])
    owner.communicate()
    reader.close()
    assert describe_node(node) is None
    assert other.try_grab()
    other.close()
    device.close()


def test_the_descriptor_is_not_inherited(pad: Pad) -> None:
    assert not os.get_inheritable(pad.fileno())


def test_where_pads_can_be_made_there_is_nothing_to_diagnose() -> None:
    assert diagnose_uinput() is None
