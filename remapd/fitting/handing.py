"""Which of the free controls gets what: left to the left, and what is far away to the last."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Final

from remapd.fitting.body import Slot
from remapd.fitting.wants import Want

_SIDES: Final = {
    "left": "left",
    "right": "right",
    "up": "up",
    "forward": "up",
    "raise": "up",
    "down": "down",
    "back": "down",
    "lower": "down",
}


def side(slot: Slot) -> str:
    """The way that a control is for by nature: its own, or the one in the words for it; or none."""
    if slot.way in _SIDES:
        return slot.way
    words = re.findall(r"[a-z]+", f"{slot.control.movement} {slot.control.name}".lower())
    return next((_SIDES[word] for word in words if word in _SIDES), "")


def handed(free: list[Slot], group: Sequence[Want]) -> Iterator[tuple[Slot, Want]]:
    """Takes a slot out of `free` for each thing of a group that fits; ways to their own sides."""
    if len(group) == 1 and not group[0].way:
        slot = free[-1] if group[0].verb.deliberate else free[0]
        free.remove(slot)
        yield slot, group[0]
        return
    chosen: dict[str, Slot] = {}
    for want in group:
        own = next((slot for slot in free if slot.way == want.way or side(slot) == want.way), None)
        if own is not None:
            chosen[want.way] = own
            free.remove(own)
    for want in group:
        slot = chosen.get(want.way) or free.pop(0)
        yield slot, want


def keys_last(slots: Sequence[Slot], *, ways_needed: bool) -> list[Slot]:
    """The slots in the order in which they are handed out, the best for a key last.

    Where ways are needed, what belongs to no side is the better key.
    """
    if not ways_needed:
        return list(slots)
    return sorted(slots, key=lambda slot: side(slot) not in {"left", "right"})
