"""What a layout means: a pure state machine that is told the time and never asks it.

Rules of this folder: it imports nothing of remapd outside itself; it reads no clock, does no I/O;
time is integer microseconds, told with each call; timers due at or before an event fire before it;
what was pressed is released by the action that got the press.

What is named here is imported when it is first asked for: who only reads layouts needs no engine.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from remapd.engine.on_demand import on_demand

if TYPE_CHECKING:
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

_HOMES: Final = {
    "AxisRange": "source",
    "Engine": "machine",
    "Layout": "layout",
    "Notice": "notices",
    "NoticeKind": "notices",
    "OutputFrame": "output",
    "Source": "source",
    "TraceLine": "notices",
}

__getattr__ = on_demand(__name__, _HOMES)
