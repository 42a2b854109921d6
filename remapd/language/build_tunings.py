"""`tunings:` to other values for some controls."""

from __future__ import annotations

from remapd.engine.layout import (
    ButtonControl,
    Control,
    LeverControl,
    PointerControl,
    StickControl,
    Tuning,
)
from remapd.engine.settings import Overrides, with_overrides
from remapd.language import messages
from remapd.language.build_devices import Inventory
from remapd.language.build_settings import check_thresholds, overrides_of
from remapd.language.frozen import frozen
from remapd.language.reporter import Reporter
from remapd.language.schema import BUTTON, LEVER, POINTER, STICK
from remapd.language.schema_settings import (
    BUTTON_SETTINGS,
    LEVER_FIELDS,
    POINTER_FIELDS,
    STICK_FIELDS,
)
from remapd.language.values import Entries, Fields

_FITTING = {
    ButtonControl: (BUTTON, BUTTON_SETTINGS),
    StickControl: (STICK, STICK_FIELDS),
    PointerControl: (POINTER, POINTER_FIELDS),
    LeverControl: (LEVER, LEVER_FIELDS),
}


def build_tuning(name: str, entries: Entries, inventory: Inventory, reporter: Reporter) -> Tuning:
    """One tuning. Broken lines are reported and left out."""
    overrides: dict[int, Overrides] = {}
    seen: set[int] = set()
    for entry in entries.items:
        known = inventory.names.short
        if name in known and entry.name not in known:
            meant = f"`tired: {{{name}: {{{entry.name}: …}}}}`"
            reporter.report(
                messages.UNKNOWN_CONTROL,
                entry.key.span,
                name=entry.name,
                remedies=[f"a tuning has a name of its own, such as {meant}"],
            )
            continue
        spot = inventory.names.find(entry.name, entry.key.span, reporter)
        if spot is None or entry.value is None:
            continue
        control = inventory.controls[spot.control]
        if spot.part is not None:
            reporter.report(messages.TUNING_OF_PART, entry.key.span, control=control.name)
            continue
        if spot.control in seen:
            reporter.report(messages.TUNED_TWICE, entry.key.span, name=entry.name)
            continue
        seen.add(spot.control)
        pairs = _overrides(control, entry.value.data, reporter)
        if pairs is not None:
            overrides[spot.control] = pairs
    return Tuning(name, frozen(overrides))


def _overrides(control: Control, fields: Fields, reporter: Reporter) -> Overrides | None:
    group, fitting = _FITTING[type(control)]
    names = [each.name for each in fitting]
    whole = True
    for name, key in fields.keys.items():
        if name not in names:
            reporter.report(
                messages.SETTING_OF_ANOTHER_KIND,
                key.span,
                name=name,
                kind=group.called.removeprefix("a "),
                remedies=[f"its settings are {', '.join(f'`{each}`' for each in names)}"],
            )
            whole = False
    is_lever = isinstance(control, LeverControl)
    reach = fields.value("reach")
    if is_lever and reach is not None and isinstance(reach.data, Fields):
        reporter.report(
            messages.NOT_ONE_VALUE,
            reach.span,
            what="`reach` of a lever",
            found="a group of settings",
            remedies=["write one share: `reach: 70%`"],
        )
        return None
    if not whole:
        return None
    pairs = overrides_of(fields, lever=is_lever)
    check_thresholds(with_overrides(control.settings, pairs), fields, reporter)
    return pairs
