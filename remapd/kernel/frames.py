"""Raw bytes of an event node to frames: pure, no descriptor, no clock.

The kernel sends `struct input_event` records: a time, a type, a code and a value. All up to a
SYN_REPORT belong together and bear one time. When a reader is too slow the kernel throws away what
it had and says SYN_DROPPED. From there on everything up to and including the next SYN_REPORT is
worthless (Documentation/input/event-codes.rst), and what was pressed or moved meanwhile must be
asked for: `FrameSplitter` marks the place with a frame that has no events, and `resync` puts the
difference there.

This runs for every event of every device, so it is written for speed: the records become the
engine's (type, code, value) triples inside `struct` itself, and no other object is made for them.
Frames in which axes alone move, nearly all there are, are not even that: the combination of axes is
known again by its bytes, and the engine reads the values out of the same bytes.
"""

from __future__ import annotations

import struct
import sys
from collections.abc import Iterator, Mapping
from typing import Final, TypeAlias

from remapd.codes import EV_ABS, EV_KEY, EV_REL, EV_SYN, SYN_DROPPED, SYN_REPORT
from remapd.engine.axis_frames import AxisFrames
from remapd.engine.values import IS_SOURCE, has_bytes, unsigned_at

Event: TypeAlias = tuple[int, int, int]
#: Time in microseconds of the monotonic clock, and the events: keys, relative and absolute axes.
Frame: TypeAlias = tuple[int, list[Event]]
#: Values by code: of the keys (0 or 1; a missing one is not pressed) and of the absolute axes.
State: TypeAlias = tuple[dict[int, int], dict[int, int]]

#: The time is two C longs: 24 bytes a record on 64-bit machines.
_TIME: Final = struct.Struct("@LL")
_TRIPLES: Final = struct.Struct(f"@{_TIME.size}xHHi")
EVENT_BYTES: Final = _TRIPLES.size

#: Whether records are as the short way reads them: 64-bit times, low bytes first. On other machines
#: every frame goes the long way.
_KNOWN_BYTES: Final = 24
_ARE_KNOWN: Final = EVENT_BYTES == _KNOWN_BYTES and sys.byteorder == "little"
# Where the low bytes of a record's type and code are; they tell enough, as no type is above 31 and
# no axis above 63.
_TYPE_AT: Final = 16
_CODE_AT: Final = 18
_VALUE_AT: Final = 20
_ABS_AND_REL: Final = bytes((EV_ABS, EV_REL))
_ONE_REPORT: Final = bytes((EV_SYN,))
#: So many kinds of plain frames are known at once; a gamepad has some ten.
_MOST_KINDS: Final = 256

_AUTOREPEAT: Final = 2
#: From here on axes belong to one of several fingers each: one value does not tell their state.
FIRST_MULTITOUCH_AXIS: Final = 0x2F


class PlainKind:
    """The plain frames with these axes, absolute or relative, in this order.

    Attributes:
        types, codes: What the records are: the low bytes of that.
        axes: What the engine knows the frames by.
    """

    __slots__ = ("axes", "codes", "last", "number", "types")

    def __init__(self, data: bytes) -> None:
        """Of the frame with these bytes."""
        self.types = data[_TYPE_AT::EVENT_BYTES]
        self.codes = data[_CODE_AT::EVENT_BYTES]
        axes = tuple(zip(self.types[:-1], self.codes[:-1], strict=True))
        self.axes = AxisFrames(axes, first=_VALUE_AT, step=EVENT_BYTES)
        #: The last one, while its axes are not in the splitter's state yet, and where it stands
        #: in the order of time among the others.
        self.last: bytes | None = None
        self.number = 0

    def is_that_of(self, data: bytes) -> bool:
        """Whether these bytes, a whole number of records, are such a frame."""
        return (
            len(data) == _KNOWN_BYTES * len(self.types)
            and has_bytes(data, _TYPE_AT, _KNOWN_BYTES, self.types)
            and has_bytes(data, _CODE_AT, _KNOWN_BYTES, self.codes)
        )

    def triples(self, data: bytes) -> list[Event]:
        """The events of one of these."""
        return list(_TRIPLES.iter_unpack(data))[:-1]


#: When it was, its kind, its bytes.
PlainFrame = tuple[int, PlainKind, bytes]


class FrameSplitter:
    """Cuts one device's stream of records into frames and knows the state that they add up to.

    `keys` and `axes` hold the last value given out for each code (0 or 1; raw). Fill them with the
    kernel's answer before the first `split`. A *plain* frame is one of moving axes and nothing else
    that is alone in what was read: nearly all are, and quick to read and to keep as their bytes.
    """

    __slots__ = (
        "_axes",
        "_before_loss",
        "_dropping",
        "_events",
        "_kind",
        "_kinds",
        "_midway",
        "_number",
        "drops",
        "keys",
    )

    def __init__(self) -> None:
        self._events: list[Event] = []
        self._dropping = False
        #: Whether the last bytes ended within a frame or within a loss.
        self._midway = False
        self._before_loss: State = ({}, {})
        self.keys: dict[int, int] = {}
        self._axes: dict[int, int] = {}
        #: By the low bytes of the codes in it. The axes of the last frame of each are not in
        #: `_axes` yet, as they are seldom asked for.
        self._kinds: dict[bytes, PlainKind] = {}
        #: That of the last plain frame; None when all axes are in `_axes`.
        self._kind: PlainKind | None = None
        self._number = 0
        #: How many times events were lost; when it has grown after a `split`, call `resync`.
        self.drops = 0

    @property
    def axes(self) -> dict[int, int]:
        """The last raw value given out for each absolute axis."""
        if self._kind is not None:
            self._take_over()
        return self._axes

    @axes.setter
    def axes(self, axes: dict[int, int]) -> None:
        self._take_over()
        self._axes = axes

    def plain(self, data: bytes) -> PlainKind | None:
        """The frame's kind where this is a plain one, else None.

        A plain frame is thereby given out. Anything else is left as it is: `split` it.
        """
        kind = self._kind
        if kind is not None and kind.is_that_of(data):  # and not midway, as the last was plain
            kind.last = data
            return kind
        return self._plain_of_another_kind(data)

    def plain_frames(self, data: bytes) -> tuple[list[PlainFrame], bytes]:
        """The plain frames with which `data` begins, given out, and the rest, to be split.

        Several that had to wait are nearly always of the last one's kind, and so as quick to read
        as they would have been alone.
        """
        frames: list[PlainFrame] = []
        while data:
            kind = self._kind
            size = len(data) if kind is None else _KNOWN_BYTES * len(kind.types)
            piece = data[:size]
            kind = self.plain(piece)
            if kind is None:
                break
            frames.append((frame_us(piece), kind, piece))
            data = data[size:]
        return frames, data

    def _plain_of_another_kind(self, data: bytes) -> PlainKind | None:
        codes = data[_CODE_AT::EVENT_BYTES]
        if (
            not _ARE_KNOWN
            or self._midway
            or data[_TYPE_AT::EVENT_BYTES].lstrip(_ABS_AND_REL) != _ONE_REPORT
            or codes[-1] != SYN_REPORT
            or len(codes) < 2
        ):
            return None
        kind = self._kinds.get(codes)
        if kind is None or not kind.is_that_of(data):
            self._take_over()
            if len(self._kinds) >= _MOST_KINDS:
                self._kinds.clear()
            kind = self._kinds[codes] = PlainKind(data)
        self._kind = kind
        self._number += 1
        kind.number = self._number
        kind.last = data
        return kind

    def split(self, data: bytes) -> list[Frame]:
        """The frames that `data` completes; what follows the last SYN_REPORT waits for more.

        `data` is a whole number of records, as a read gives them. Autorepeat, scan codes, lamps and
        sounds are left out, and so is a frame of nothing else. A frame without events marks where
        events were lost and bears the time of the end of the loss; `resync` fills it.
        """
        kind = self.plain(data)
        if kind is None:
            return self._split_records(data)
        return [(frame_us(data), kind.triples(data))]

    def _take_over(self) -> None:
        """The axes of the last plain frames go into `_axes`, in the order of time."""
        self._kind = None
        for kind in sorted(self._kinds.values(), key=_by_number):
            if kind.last is not None:
                for event_type, code, value in kind.triples(kind.last):
                    if event_type == EV_ABS:
                        self._axes[code] = value
                kind.last = None

    def _split_records(self, data: bytes) -> list[Frame]:
        frames: list[Frame] = []
        events = self._events
        keys = self.keys
        axes = self.axes
        position = -EVENT_BYTES
        records = _TRIPLES.iter_unpack(data)
        if self._dropping:
            position = self._skip_loss(records, data, position, frames)
        for event in records:
            position += EVENT_BYTES
            event_type, code, value = event
            if event_type == EV_ABS:
                axes[code] = value
                events.append(event)
            elif event_type == EV_REL:
                events.append(event)
            elif event_type == EV_KEY:
                if value != _AUTOREPEAT:
                    keys[code] = value
                    events.append(event)
            elif event_type == EV_SYN:
                if code == SYN_REPORT:
                    if events:
                        seconds, microseconds = _TIME.unpack_from(data, position)
                        frames.append((seconds * 1_000_000 + microseconds, events))
                        events = []
                elif code == SYN_DROPPED:
                    self._take_back(events)
                    events = []
                    position = self._skip_loss(records, data, position, frames)
        self._events = events
        self._midway = bool(events) or self._dropping
        return frames

    def resync(
        self, frames: list[Frame], held: frozenset[int], axes: Mapping[int, int]
    ) -> list[Frame]:
        """`frames` of the last `split` calls, with what was lost put back as a difference.

        `held` and `axes` are the device's state now, asked for after those calls. The state at the
        end of the (last) loss is worked out backwards: a key that has events after it was then the
        opposite of its first one, since the kernel sends changes only. What the question itself
        took from the queue (EVIOCGKEY removes waiting key events) is put at the end.
        """
        last_mark = max(index for index, (_, events) in enumerate(frames) if not events)
        later = [event for _, events in frames[last_mark + 1 :] for event in events]
        later += self._events
        first_values: dict[int, int] = {}
        for event_type, code, value in later:
            if event_type == EV_KEY:
                first_values.setdefault(code, value)
        keys_then = dict.fromkeys(held, 1)
        keys_then.update({code: 1 - value for code, value in first_values.items()})
        moved_later = {code for event_type, code, _ in later if event_type == EV_ABS}
        axes_then = {code: value for code, value in axes.items() if code not in moved_later}

        result = [frame for frame in frames[:last_mark] if frame[1]]
        lost = _difference(self._before_loss, (keys_then, axes_then))
        if lost:
            result.append((frames[last_mark][0], lost))
        result += frames[last_mark + 1 :]

        keys_given = keys_then | {code: value for kind, code, value in later if kind == EV_KEY}
        flushed = _difference((keys_given, {}), (dict.fromkeys(held, 1), {}))
        if flushed:
            result.append((frames[-1][0], flushed))
        self.keys = dict.fromkeys(held, 1)
        self.axes.update(axes_then)
        return result

    def _skip_loss(
        self, records: Iterator[Event], data: bytes, position: int, frames: list[Frame]
    ) -> int:
        """Throws away up to and including the next SYN_REPORT; the position of the last record."""
        self._dropping = True
        for event_type, code, _ in records:
            position += EVENT_BYTES
            if event_type == EV_SYN and code == SYN_REPORT:
                self._dropping = False
                self.drops += 1
                self._before_loss = (dict(self.keys), dict(self.axes))
                seconds, microseconds = _TIME.unpack_from(data, position)
                frames.append((seconds * 1_000_000 + microseconds, []))
                break
        return position

    def _take_back(self, events: list[Event]) -> None:
        """Forgets an unfinished frame that will never be given out."""
        for event_type, code, value in reversed(events):
            if event_type == EV_KEY:
                self.keys[code] = 1 - value
            elif event_type == EV_ABS:
                self.axes.pop(code, None)  # unknown: the resync gives it out in any case


def frame_us(data: bytes) -> int:
    """When the first record of these bytes was."""
    if IS_SOURCE or not _ARE_KNOWN:
        seconds, microseconds = _TIME.unpack_from(data)
        return int(seconds * 1_000_000 + microseconds)
    return (unsigned_at(data, 4) << 32 | unsigned_at(data, 0)) * 1_000_000 + unsigned_at(data, 8)


def _by_number(kind: PlainKind) -> int:
    return kind.number


def _difference(before: State, after: State) -> list[Event]:
    """Releases, then presses, then moved axes, each in the order of the codes."""
    pressed_before = {code for code, value in before[0].items() if value}
    pressed_after = {code for code, value in after[0].items() if value}
    events = [(EV_KEY, code, 0) for code in sorted(pressed_before - pressed_after)]
    events += [(EV_KEY, code, 1) for code in sorted(pressed_after - pressed_before)]
    events += [
        (EV_ABS, code, value)
        for code, value in sorted(after[1].items())
        if before[1].get(code) != value and code < FIRST_MULTITOUCH_AXIS
    ]
    return events
