"""What is spoken when a layer comes on, as a card tells it: by the layout's cues or by default."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from remapd.analysis.layers_that_stay import layers_that_stay
from remapd.engine.layout import Layout
from remapd.language.schema_cues import EVENTS, NAME_SIGN
from remapd.show.cues.cue import spoken_name

_SOUNDS = ("tone", "say", "notify", "rumble")


def heard_of(layout: Layout) -> dict[int, str]:
    """The words, by layer; a layer that comes on without words is not in it."""
    heard: dict[int, str] = {}
    stays = layers_that_stay(layout)
    for number, layer in enumerate(layout.layers):
        cue = layout.cues.get(layer.name, {})
        if not _sounds(cue) and cue is not None and number in stays:
            cue = layout.cues.get("layer-on", {})
            if cue is not None and not _sounds(cue):
                cue = EVENTS["layer-on"].default
        said = cue.get("say") if isinstance(cue, Mapping) else None
        if isinstance(said, str):
            heard[number] = " ".join(said.replace(NAME_SIGN, spoken_name(layer.name)).split())
    return heard


def _sounds(cue: Mapping[str, Any] | None) -> bool:
    return cue is not None and any(name in cue for name in _SOUNDS)
