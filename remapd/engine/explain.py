"""The pad's frames in plain words, for the trace."""

from __future__ import annotations

from remapd.engine.merge import Merge
from remapd.engine.notices import NoticeKind
from remapd.engine.output import OutputFrame
from remapd.engine.pad_controls import (
    PERSON_NAMES,
    SLOT_HORIZONTAL,
    SLOT_LEFT_STICK,
    SLOT_VERTICAL,
    TARGET_NAMES,
)

_EV_KEY = 1

#: How what lasts is told in the trace: what stands before its name, and what became of it.
TOLD = {
    NoticeKind.LAYER_ON: ("layer", "is on"),
    NoticeKind.LAYER_OFF: ("layer", "is off"),
    NoticeKind.LATCH_ON: ("", "stays pressed"),
    NoticeKind.LATCH_OFF: ("", "is let go"),
    NoticeKind.TURBO_ON: ("", "runs"),
    NoticeKind.TURBO_OFF: ("", "stops"),
    NoticeKind.KEEP_ON: ("", "is on"),
    NoticeKind.KEEP_OFF: ("", "is off"),
    NoticeKind.PUSH_ON: ("", "stays"),
    NoticeKind.PUSH_OFF: ("", "ends"),
    NoticeKind.SCAN_ITEM: ("the scan offers", "now"),
    NoticeKind.SCAN_END: ("", "is over"),
    NoticeKind.LEAD_ON: ("lead of the", "is on"),
    NoticeKind.LEAD_OFF: ("lead of the", "is off"),
    NoticeKind.TUNING_ON: ("tuning", "is in force"),
    NoticeKind.TUNING_OFF: ("tuning", "is out of force"),
    NoticeKind.RELEASED: ("", "is released that lasted by itself"),
}

_KEYS = {
    0x130: 0,
    0x131: 1,
    0x133: 2,
    0x134: 3,
    0x136: 4,
    0x137: 5,
    0x13A: 8,
    0x13B: 9,
    0x13C: 10,
    0x13D: 11,
    0x13E: 12,
}
_AXES = {
    0x00: ("left-stick x", SLOT_LEFT_STICK),
    0x01: ("left-stick y", SLOT_LEFT_STICK),
    0x02: ("left-trigger", 6),
    0x03: ("right-stick x", SLOT_LEFT_STICK + 1),
    0x04: ("right-stick y", SLOT_LEFT_STICK + 1),
    0x05: ("right-trigger", 7),
    0x10: ("dpad x", SLOT_HORIZONTAL),
    0x11: ("dpad y", SLOT_VERTICAL),
}
_FACES = {2: 3, 3: 2}


def slot_name(slot: int) -> str:
    """A merging slot as people name it."""
    if slot < SLOT_VERTICAL:
        return TARGET_NAMES[slot]
    return {
        SLOT_VERTICAL: "dpad up and down",
        SLOT_HORIZONTAL: "dpad left and right",
        SLOT_LEFT_STICK: "left-stick",
    }.get(slot, "right-stick")


def length(us: int) -> str:
    """A length of time, in the layout's own unit."""
    return f"{us / 1000:g} ms"


def describe_frame(frame: OutputFrame, merge: Merge, faces_as_specified: bool) -> list[str]:
    """A line for each event of a frame but the SYN_REPORT, with whose part it is."""
    lines: list[str] = []
    events = frame.events
    for at in range(0, len(events) - 3, 3):
        event_type, code, value = events[at : at + 3]
        if event_type == _EV_KEY:
            target = _KEYS[code]
            if faces_as_specified:
                target = _FACES.get(target, target)
            text = f"{TARGET_NAMES[target]} {'pressed' if value else 'released'}"
            slot = target
        else:
            name, slot = _AXES[code]
            text = f"{name} {value}"
        giver = merge.person_of(slot)
        lines.append(text if giver is None else f"{text} ({PERSON_NAMES[giver]})")
    return lines
