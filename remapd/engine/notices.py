"""What the engine tells people beside the pad: notices for cues and screens, and the trace."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class NoticeKind(Enum):
    """What a notice is about; the values are the words of the control socket."""

    LAYER_ON = "layer-on"
    LAYER_OFF = "layer-off"
    LATCH_ON = "latch-on"
    LATCH_OFF = "latch-off"
    TURBO_ON = "turbo-on"
    TURBO_OFF = "turbo-off"
    KEEP_ON = "keep-on"
    KEEP_OFF = "keep-off"
    PUSH_ON = "push-on"
    PUSH_OFF = "push-off"
    SCAN_ITEM = "scan-item"
    SCAN_END = "scan-end"
    LEAD_ON = "lead-on"
    LEAD_OFF = "lead-off"
    TUNING_ON = "tuning-on"
    TUNING_OFF = "tuning-off"
    REST_ON = "rest-on"
    REST_OFF = "rest-off"
    REFUSED = "refused"
    OVERRULED = "overruled"
    SAY = "say"
    LAYOUT = "layout"
    RELEASED = "released"
    DEVICE_TAKEN = "device-taken"
    DEVICE_LOST = "device-lost"


@dataclass(frozen=True, slots=True)
class Notice:
    """Something a person may want to hear or see.

    `text` is the name of what it is about (a layer, an action, a control) or the text to say;
    `person` is 0 for the player, 1 for the helper, None where it is nobody's in particular.
    """

    us: int
    kind: NoticeKind
    text: str
    person: int | None = None


@dataclass(frozen=True, slots=True)
class TraceLine:
    """One decision of the engine in a plain sentence: `subject` is the control, layer or `pad`."""

    us: int
    subject: str
    text: str
