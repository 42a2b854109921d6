"""What is sent: frames whose output can be told apart, so that none is confused and none is missed.

One axis of each frame is a *mark*: it counts up in small steps, a few thousand of them in a row,
and reaches the pad by a stick that is never steadied. Which value of which pad axis a mark comes
out as is worked out beforehand by the engine itself, whatever the layout does to it.
"""

from __future__ import annotations

import itertools
import struct
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from remapd.codes import AXES, EV_ABS, EV_KEY, EV_REL, KEYS
from remapd.engine import AxisRange, Engine, Layout, Source

Event = tuple[int, int, int]

_STICK_AXES: Final = tuple(AXES[name] for name in ("ABS_X", "ABS_Y", "ABS_RX", "ABS_RY"))
_TRIGGERS: Final = (AXES["ABS_Z"], AXES["ABS_RZ"])
_HAT: Final = (AXES["ABS_HAT0X"], AXES["ABS_HAT0Y"])
_X, _Y, _RX, _RY = _STICK_AXES
_Z, _RZ = _TRIGGERS

PAD_KEYS: Final = tuple(
    KEYS[name]
    for name in (
        *("BTN_SOUTH", "BTN_EAST", "BTN_NORTH", "BTN_WEST", "BTN_TL", "BTN_TR", "BTN_SELECT"),
        *("BTN_START", "BTN_MODE", "BTN_THUMBL", "BTN_THUMBR"),
    )
)
_SOUTH: Final = KEYS["BTN_SOUTH"]
_LEFT_SHOULDER: Final = KEYS["BTN_TL"]
_RIGHT_SHOULDER: Final = KEYS["BTN_TR"]
_BTN_LEFT: Final = KEYS["BTN_LEFT"]

_STICK_RANGE: Final = (-32767, 32767)
_TRIGGER_RANGE: Final = (0, 255)
_HAT_RANGE: Final = (-1, 1)

#: What each kind of node has: keys, relative axes, absolute axes with their ranges.
Node = tuple[tuple[int, ...], tuple[int, ...], Mapping[int, tuple[int, int]]]
PAD: Final[Node] = (
    PAD_KEYS,
    (),
    {
        **dict.fromkeys(_STICK_AXES, _STICK_RANGE),
        **dict.fromkeys(_TRIGGERS, _TRIGGER_RANGE),
        **dict.fromkeys(_HAT, _HAT_RANGE),
    },
)
TILLER: Final[Node] = (
    (KEYS["BTN_TRIGGER"],),
    (),
    {_X: _STICK_RANGE, _Y: _STICK_RANGE, _Z: _TRIGGER_RANGE, _RZ: _TRIGGER_RANGE},
)
BALL: Final[Node] = (
    (_BTN_LEFT, KEYS["BTN_RIGHT"]),
    (0, 1),
    {_RX: _STICK_RANGE, _RY: _STICK_RANGE},
)
#: Every event node of a subject, by the name that layouts.py gives it.
NODES: Final[Mapping[str, Node]] = {
    "pad": PAD,
    "helper": PAD,
    "one": TILLER,
    "two": TILLER,
    "three": TILLER,
    "four": TILLER,
    "ball": BALL,
}

#: A mark's raw value: far enough from the centre for any dead zone, near enough for any reach.
MARKS: Final = 3000
_FIRST_MARK: Final = 8000
_MARK_STEP: Final = 4
#: A button changes once in so many frames.
_BUTTON_PERIOD: Final = 50

_RECORD: Final = struct.Struct("@qqHHi")


@dataclass(frozen=True)
class Stream:
    """Frames of equal length to be sent at a steady rate, in turn by the nodes named."""

    key: str
    title: str
    nodes: tuple[str, ...]
    #: Of all nodes together, a second.
    rate: int
    seconds: float

    @property
    def count(self) -> int:
        """How many frames there are."""
        return int(self.rate * self.seconds)

    def frame(self, number: int) -> list[Event]:
        """The events of one frame, the mark among them, without its SYN_REPORT."""
        turn, mark = number % len(self.nodes), number // len(self.nodes)
        value = _FIRST_MARK + _MARK_STEP * (mark % MARKS) + turn  # no two nodes send the same
        swing = mark % 400
        payload = swing if swing < 200 else 400 - swing  # 0 to 200 and back
        pressed = mark // _BUTTON_PERIOD % 2
        node = self.nodes[turn]
        if NODES[node] is PAD:
            return [
                (EV_ABS, _X, 60 * payload - 6000),
                (EV_ABS, _Y, 5000 - 37 * payload),
                (EV_ABS, _RX, value),
                (EV_KEY, _SOUTH, pressed),
            ]
        if NODES[node] is BALL:
            count = 1 + mark % 3
            return [
                (EV_REL, 0, count if swing < 200 else -count),
                (EV_REL, 1, 4 - count),
                (EV_ABS, _RX, value),
                (EV_KEY, _BTN_LEFT, pressed),
            ]
        # Of two tillers on one pad stick, each has an axis of its own.
        return [
            (EV_ABS, _X if turn % 2 == 0 else _Y, value),
            (EV_ABS, _Z, payload),
            (EV_ABS, _RZ, 255 - payload),
            (EV_KEY, KEYS["BTN_TRIGGER"], pressed),
        ]

    def data(self) -> tuple[bytes, int]:
        """All frames as the kernel's `struct input_event` records, and the bytes of one frame."""
        frames = [
            b"".join(_RECORD.pack(0, 0, *event) for event in [*self.frame(n), (0, 0, 0)])
            for n in range(self.count)
        ]
        return b"".join(frames), len(frames[0])


STREAMS: Final = (
    Stream("125", "125 Hz", ("pad",), 125, 2.4),
    Stream("1000", "1000 Hz", ("pad",), 1000, 1.6),
    Stream("4x1000", "4 × 1000 Hz", ("one", "two", "three", "four"), 4000, 1.0),
    Stream("8000", "8000 Hz pointer", ("ball",), 8000, 0.8),
)

#: Before each subject is measured: what brings it into the state that is measured. The left
#: shoulder turns the second layer on, the right one holds a turbo, the helper leans and presses.
PREPARATION: Final[Mapping[str, tuple[tuple[str, list[Event]], ...]]] = {
    "a": (),
    "b": (
        ("pad", [(EV_KEY, _LEFT_SHOULDER, 1)]),
        ("pad", [(EV_KEY, _LEFT_SHOULDER, 0)]),
        ("pad", [(EV_KEY, _RIGHT_SHOULDER, 1)]),
        ("helper", [(EV_ABS, _X, -6000), (EV_KEY, KEYS["BTN_WEST"], 1)]),
    ),
    "c": (
        ("pad", [(EV_KEY, _LEFT_SHOULDER, 1)]),
        ("pad", [(EV_KEY, _LEFT_SHOULDER, 0)]),
        ("pad", [(EV_KEY, _RIGHT_SHOULDER, 1)]),
    ),
}
#: Between the frames of the preparation: longer than any acceptance delay of the layouts.
PREPARATION_STEP_US: Final = 100_000


def source(name: str, prefix: str, number: int) -> Source:
    """A node as the engine sees it."""
    keys, rels, axes = NODES[name]
    return Source(
        id=number,
        name=f"{prefix} {name}",
        vendor=0x1209,
        product=0x0001,
        version=1,
        port="",
        serial="",
        bus=3,
        keys=frozenset(keys),
        rels=frozenset(rels),
        axes=MappingProxyType({axis: AxisRange(*low_high) for axis, low_high in axes.items()}),
    )


def prepared_engine(layout: Layout, key: str, prefix: str) -> tuple[Engine, int]:
    """An engine with every node plugged in and the subject's preparation played; the time then."""
    engine = Engine(layout)
    names = list(NODES)
    for number, name in enumerate(names):
        axes = {axis: (low + high) // 2 for axis, (low, high) in NODES[name][2].items()}
        axes |= dict.fromkeys(_TRIGGERS, 0) if _Z in axes else {}
        engine.plug(0, source(name, prefix, number), (), axes)
    us = 0
    for name, events in PREPARATION[key]:
        us += PREPARATION_STEP_US
        engine.feed(us, names.index(name), events)
    us += PREPARATION_STEP_US
    engine.advance(us)
    engine.drain()
    engine.drain_notices()
    return engine, us


def marks_seen(layout: Layout, key: str, prefix: str, stream: Stream) -> dict[tuple[int, int], int]:
    """By (pad axis, value): the number of the frame, of one round of marks, that it comes from.

    Raises ValueError where two marks come out alike: such a layout cannot be measured so.
    """
    engine, us = prepared_engine(layout, key, prefix)
    names = list(NODES)
    seen: dict[tuple[int, int], int] = {}
    round_of_marks = MARKS * len(stream.nodes)
    axes: dict[int, int] = {}  # by node of the stream: the pad axis that its mark comes out on
    changes: list[tuple[int, dict[int, int]]] = []
    for number in range(round_of_marks + len(stream.nodes)):
        us += 1_000_000 // stream.rate
        turn = number % len(stream.nodes)
        engine.feed(us, names.index(stream.nodes[turn]), stream.frame(number))
        moved: dict[int, int] = {}
        for frame in engine.drain():
            events = frame.events
            for at in range(0, len(events), 3):
                if events[at] == EV_ABS and events[at + 1] in _STICK_AXES:
                    moved[events[at + 1]] = events[at + 2]
        changes.append((number, moved))
    for turn in range(len(stream.nodes)):
        axes[turn] = _mark_axis([c for n, c in changes if n % len(stream.nodes) == turn])
    for number, moved in changes[:round_of_marks]:
        axis = axes[number % len(stream.nodes)]
        if axis not in moved or (axis, moved[axis]) in seen:
            raise ValueError(f"mark {number} cannot be told apart: {moved}")
        seen[axis, moved[axis]] = number
    return seen


def _mark_axis(changes: list[dict[int, int]]) -> int:
    """The pad axis that moves in every frame, by one way only but for the new round of marks."""
    for axis in _STICK_AXES:
        values = [moved[axis] for moved in changes if axis in moved]
        falls = sum(later <= earlier for earlier, later in itertools.pairwise(values))
        if len(values) == len(changes) and falls <= 1:
            return axis
    raise ValueError("no pad axis shows every mark")
