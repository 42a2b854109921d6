"""`cues:` as plain data for those who play them; the engine does not read it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from remapd.language import messages
from remapd.language.frozen import frozen
from remapd.language.names import ControlNames
from remapd.language.reporter import Reporter
from remapd.language.schema_cues import BREAK, EVENTS, LASTING
from remapd.language.values import Entries, Entry, Fields

_PLAYED = ("tone", "say", "notify", "rumble")
_FIGURES = ("loudness", "strength")


def build_cues(
    entries: Entries, layers: Sequence[str], controls: ControlNames, reporter: Reporter
) -> Mapping[str, Any]:
    """By layer or event: what is played, or None for nothing. Broken ones are left out.

    A cue has any of `tone`, `say`, `notify`, `rumble` (the name of a device), `loudness` and
    `strength` (0 to 1), `off` (a cue, or None) and `after_us`. One without the first four is the
    default's, with other figures. Of `controls` only the devices are asked for.
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
            elif _fits(entry, fields, reporter, is_layer=is_layer) and _is_felt_somewhere(
                fields, controls, reporter
            ):
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


def _is_felt_somewhere(fields: Fields, controls: ControlNames, reporter: Reporter) -> bool:
    """Whether the devices that a cue and its `off` name are there."""
    off = fields.data("off")
    if isinstance(off, Fields) and not _is_felt_somewhere(off, controls, reporter):
        return False
    if fields.written("strength") and not fields.written("rumble"):
        reporter.report(
            messages.CUE_SETTING_UNFIT,
            fields.keys["strength"].span,
            name="strength",
            whose="a cue that is felt",
            remedies=["name the device beside it: `rumble: DEVICE`", "or delete it"],
        )
        return False
    device = fields.value("rumble")
    if device is None or device.data in controls.devices or controls.incomplete:
        return True
    near = (device.data, controls.devices)
    reporter.report(messages.UNKNOWN_DEVICE, device.span, name=device.data, near=near)
    return False


def _cue(fields: Fields) -> Mapping[str, Any]:
    cue: dict[str, Any] = {
        name: fields.data(name) for name in (*_PLAYED, *_FIGURES) if fields.value(name) is not None
    }
    off, after = fields.value("off"), fields.value("after")
    if off is not None:
        cue["off"] = _cue(off.data) if isinstance(off.data, Fields) else None
    if after is not None:
        cue["after_us"] = after.data
    return frozen(cue)
