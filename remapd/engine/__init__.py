"""What a layout means: a pure state machine that is told the time and never asks it.

Rules of this folder: it imports nothing of remapd outside itself; it reads no clock, does no I/O;
time is integer microseconds, told with each call; timers due at or before an event fire before it;
what was pressed is released by the action that got the press.
"""

from remapd.engine.layout import Layout
from remapd.engine.machine import Engine
from remapd.engine.notices import Notice, NoticeKind, TraceLine
from remapd.engine.output import OutputFrame
from remapd.engine.source import AxisRange, Source

__all__ = [
    "AxisRange",
    "Engine",
    "Layout",
    "Notice",
    "NoticeKind",
    "OutputFrame",
    "Source",
    "TraceLine",
]
