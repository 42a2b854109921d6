"""What a recording says, line by line, and the one error that reading one can end with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from remapd.engine.source import Source

FORMAT_KEY: Final = "remapd-recording"
FORMAT_VERSION: Final = 1

Event = tuple[int, int, int]  #: type, code and value, as in the kernel's `struct input_event`


class RecordingError(Exception):
    """A recording that cannot be read on.

    `file` is its name, `line` the number of the line from 1 (None where the file as a whole is
    meant), `what` says what is wrong and `remedy` how to mend it.
    """

    def __init__(self, file: str, line: int | None, what: str, remedy: str) -> None:
        place = file if line is None else f"{file}:{line}"
        super().__init__(f"{place}: {what}; {remedy}")
        self.file = file
        self.line = line
        self.what = what
        self.remedy = remedy


@dataclass(frozen=True, slots=True)
class RecordedDevice:
    """A device whole: its description, and its state at the time of the line that brings it.

    `held` are the keys that are down, `axes` the values of absolute axes (raw units).
    """

    source: Source
    held: frozenset[int] = frozenset()
    axes: Mapping[int, int] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(slots=True)
class FrameLine:
    """What a device sent up to a SYN_REPORT."""

    us: int
    device: int
    events: list[Event]


@dataclass(frozen=True, slots=True)
class PluggedLine:
    """A device is there again, or for the first time; `described`: the line describes it whole."""

    us: int
    device: RecordedDevice
    described: bool = False


@dataclass(frozen=True, slots=True)
class UnpluggedLine:
    """A device is gone."""

    us: int
    device: int


@dataclass(frozen=True, slots=True)
class LayoutLine:
    """A layout takes over; `text` is its own text, so that a replay means the same next year."""

    us: int
    path: str
    text: str


@dataclass(frozen=True, slots=True)
class PausedLine:
    """Remapping is paused, or goes on."""

    us: int
    paused: bool


@dataclass(frozen=True, slots=True)
class ReleaseLine:
    """`release everything` was asked for from outside the layout."""

    us: int


@dataclass(frozen=True, slots=True)
class MarkLine:
    """A remark that somebody made while it was recorded."""

    us: int
    text: str


@dataclass(frozen=True, slots=True)
class EndLine:
    """The recording was ended in an orderly way."""

    us: int


@dataclass(frozen=True, slots=True)
class OtherLine:
    """A line that says nothing which this version knows: time goes on to it, no more."""

    us: int


Line = (
    FrameLine
    | PluggedLine
    | UnpluggedLine
    | LayoutLine
    | PausedLine
    | ReleaseLine
    | MarkLine
    | EndLine
    | OtherLine
)
