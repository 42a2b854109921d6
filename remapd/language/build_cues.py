"""`cues:` as plain data for those who play them; the engine does not read it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from remapd.language import messages
from remapd.language.frozen import frozen
from remapd.language.reporter import Reporter
from remapd.language.schema_cues import BREAK, EVENTS, LASTING
from remapd.language.values import Entries, Entry, Fields

_PLAYED = ("tone", "say", "notify")


def build_cues(entries: Entries, layers: Sequence[str], reporter: Reporter) -> Mapping[str, Any]:
    """By layer or event: what is played, or None for nothing. Broken ones are left out.

    A cue has any of `tone`, `say`, `notify`, `loudness` (0 to 1), `off` (a cue, or None) and
    `after_us`. One without the first three is the default's, with other figures.
    """
    cues: dict[str, Mapping[str, Any] | None] = {}
    for entry in entries.items:
        is_layer, is_event = entry.name in layers, entry.name in EVENTS
        if is_layer and is_event:
            reporter.report(messages.CUE_OF_TWO, entry.key.span, name=entry.name)
        elif not is_layer and not is_event:
            near = (entry.name, [*layers, *EVENTS])
            reporter.report(messages.UNKNOWN_CUE, entry.key.span, name=entry.name, near=near)
        elif entry.value is not None:
            fields = entry.value.data
            if not isinstance(fields, Fields):
                cues[entry.name] = None
            elif _fits(entry, fields, reporter, is_layer=is_layer):
                cues[entry.name] = _cue(fields)
    return frozen(cues)


def _fits(entry: Entry, fields: Fields, reporter: Reporter, *, is_layer: bool) -> bool:
    if fields.written("off") and not is_layer:
        reporter.report(
            messages.CUE_SETTING_UNFIT,
            fields.keys["off"].span,
            name="off",
            whose="a layer's cue",
            remedies=["an event that ends has a name of its own, such as `latch-off`"],
        )
        return False
    if fields.written("after") and entry.name not in {LASTING, BREAK}:
        reporter.report(
            messages.CUE_SETTING_UNFIT,
            fields.keys["after"].span,
            name="after",
            whose=f"`{LASTING}` and `{BREAK}`",
            remedies=["delete it"],
        )
        return False
    if entry.name == BREAK and not fields.written("after"):
        reporter.report(messages.BREAK_WITHOUT_TIME, entry.key.span)
        return False
    is_played = any(fields.written(name) for name in (*_PLAYED, "off"))
    if not is_played and not is_layer and not EVENTS[entry.name].default:
        reporter.report(messages.CUE_WITHOUT_SOUND, entry.key.span, name=entry.name)
        return False
    return True


def _cue(fields: Fields) -> Mapping[str, Any]:
    cue: dict[str, Any] = {
        name: fields.data(name) for name in (*_PLAYED, "loudness") if fields.value(name) is not None
    }
    off, after = fields.value("off"), fields.value("after")
    if off is not None:
        cue["off"] = _cue(off.data) if isinstance(off.data, Fields) else None
    if after is not None:
        cue["after_us"] = after.data
    return frozen(cue)
