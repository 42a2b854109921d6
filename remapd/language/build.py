"""From checked values to the built layout: what names stand for is checked, and numbered."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from remapd.engine.layout import DEFAULT_RULES, Identity, Layer, Layout
from remapd.language import messages
from remapd.language.build_actions import ActionBuilder, LayerNames
from remapd.language.build_cues import build_cues
from remapd.language.build_devices import Places, build_devices
from remapd.language.build_layers import build_layer, layer_numbers
from remapd.language.build_merge import build_rules
from remapd.language.build_tunings import build_tuning
from remapd.language.evaluate import what_it_is
from remapd.language.frozen import frozen
from remapd.language.names import (
    NAME,
    RESERVED,
    ControlNames,
    PadNames,
    canonical,
    is_pad_control,
    pad_control_words,
)
from remapd.language.reporter import Reporter
from remapd.language.values import Entries, Entry, Fields, Value


@dataclass(frozen=True, slots=True)
class Built:
    """A layout, and where its parts stand."""

    layout: Layout
    places: Places


def build(
    fields: Fields, devices: Sequence[Entry], incomplete: bool, name: str, reporter: Reporter
) -> Built:
    """The layout. It may be used only where the reporter has no error.

    Args:
        fields: The file, checked against the schema.
        devices: Its devices, those of the included file first.
        incomplete: Whether devices are missing that could not be read, so that no control can be
            said to be unknown.
        name: The layout's title where the file gives none.
        reporter: Takes the faults.
    """
    inventory = build_devices(devices, reporter)
    inventory.names.incomplete |= incomplete
    places = inventory.places
    pad = _verbs(fields, places, reporter)
    names = _layer_names(fields, reporter)
    builder = ActionBuilder(inventory, pad, names, reporter)
    layers = _layers(fields, builder, places)
    tunings = tuple(
        build_tuning(entry.name, entry.value.data, inventory, reporter)
        for entry in _entries(fields, "tunings", "tuning", places, reporter)
        if entry.value is not None
    )
    merge = fields.value("merge")
    rules = DEFAULT_RULES if merge is None else build_rules(merge.data, builder, places)
    layout = Layout(
        title=fields.data("title", name),
        devices=tuple(inventory.devices),
        controls=tuple(inventory.controls),
        buttons=tuple(inventory.buttons),
        layers=layers,
        tunings=tunings,
        rules=rules,
        tap_us=fields.data("tap", 60_000),
        shortest_press_us=fields.data("shortest-press", 34_000),
        chord_window_us=fields.data("chord-window", 200_000),
        faces_as_specified=_pad_data(fields, "faces") is not None,
        identity=_identity(fields),
        notes=fields.data("notes", ""),
        verbs=frozen(pad.verbs),
        needs=_needs(fields, builder, places),
        cues=_cues(fields, list(names.layers), inventory.names, reporter),
        place=frozen(_free(fields, "place", reporter)),
    )
    return Built(layout, places)


def _entries(
    fields: Fields, name: str, kind: str, places: Places, reporter: Reporter
) -> list[Entry]:
    value = fields.value(name)
    if value is None:
        return []
    entries: Entries = value.data
    for entry in entries.items:
        places[kind, entry.name] = entry.key.span
        if entry.name in RESERVED:
            reporter.report(
                messages.RESERVED_NAME, entry.key.span, name=entry.name, what=f"a {kind}"
            )
    return entries.items


def _verbs(fields: Fields, places: Places, reporter: Reporter) -> PadNames:
    pad = PadNames()
    for entry in _entries(fields, "verbs", "verb", places, reporter):
        if is_pad_control(entry.name):
            word = entry.value.data if entry.value is not None else ""
            turned = NAME.fullmatch(word) is not None and not is_pad_control(word)
            reporter.report(
                messages.VERB_HIDES_PAD_CONTROL,
                entry.key.span,
                name=entry.name,
                remedies=[f"did you mean `{word}: {entry.name}`?"] if turned else [],
            )
            continue
        if entry.value is None:
            pad.broken.add(entry.name)
        elif is_pad_control(entry.value.data):
            pad.verbs[entry.name] = canonical(entry.value.data)
        else:
            pad.broken.add(entry.name)
            reporter.report(
                messages.UNKNOWN_PAD_CONTROL,
                entry.value.span,
                name=entry.value.data,
                near=(entry.value.data, pad_control_words()),
            )
    return pad


def _layer_names(fields: Fields, reporter: Reporter) -> LayerNames:
    layers = fields.value("layers")
    names = [entry.name for entry in layers.data.items] if layers is not None else []
    base = fields.value("base")
    if base is not None and names and base.data not in names:
        reporter.report(messages.UNKNOWN_LAYER, base.span, name=base.data, near=(base.data, names))
    is_read = layers is not None and all(entry.value is not None for entry in layers.data.items)
    if not fields.written("base") and len(names) > 1 and is_read:
        reporter.report(messages.BASE_MISSING, fields.keys["layers"].span, first=names[0])
    tunings = fields.value("tunings")
    tuning_names = [entry.name for entry in tunings.data.items] if tunings is not None else []
    return LayerNames(
        dict(layer_numbers(names, base.data if base is not None else None)),
        {name: number for number, name in enumerate(tuning_names)},
    )


def _layers(fields: Fields, builder: ActionBuilder, places: Places) -> tuple[Layer, ...]:
    built: dict[int, Layer] = {}
    for entry in _entries(fields, "layers", "layer", places, builder.reporter):
        if entry.value is not None:
            number = builder.layers.layers[entry.name]
            built[number] = build_layer(entry.name, entry.value.data, builder, places)
    return tuple(built[number] for number in sorted(built))


def _needs(fields: Fields, builder: ActionBuilder, places: Places) -> tuple[str, ...]:
    value = fields.value("needs")
    needs: list[Value] = value.data if value is not None else []
    for each in needs:
        places["need", each.data] = each.span
        if not builder.pad.knows(each.data):
            builder.unknown_pad_control(each, sticks=True)
    return tuple(each.data for each in needs)


def _pad_data(fields: Fields, name: str) -> object:
    pad = fields.value("pad")
    return None if pad is None else pad.data.data(name)


def _identity(fields: Fields) -> Identity | None:
    written = _pad_data(fields, "identity")
    if not isinstance(written, Fields):
        return None
    return Identity(
        written.data("vendor", 0), written.data("product", 0), written.data("version", 1)
    )


def _cues(
    fields: Fields, layers: Sequence[str], controls: ControlNames, reporter: Reporter
) -> Mapping[str, Any]:
    value = fields.value("cues")
    return frozen({}) if value is None else build_cues(value.data, layers, controls, reporter)


def _free(fields: Fields, name: str, reporter: Reporter) -> dict[str, object]:
    """A free-form part: only that it is a mapping is checked."""
    value = fields.value(name)
    if value is None:
        return {}
    if not isinstance(value.data, dict):
        reporter.report(
            messages.NOT_A_GROUP,
            value.span,
            what=f"`{name}`",
            found=what_it_is(value.node),
            remedies=["write it as `name: value`, moved in below its name"],
        )
        return {}
    return value.data
