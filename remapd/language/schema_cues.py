"""The schema of `cues:`, and the cues that are there when nothing is written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from remapd.language.kinds import (
    Either,
    Field,
    Group,
    MapOf,
    Names,
    Quantity,
    Reference,
    Text,
    Word,
)
from remapd.language.scalars import Family

TONES: Final = {
    "low": "one low note",
    "high": "one high note",
    "rising": "two notes, the second higher",
    "falling": "two notes, the second lower",
    "twice": "the same note twice",
}
#: `{name}` stands for what the cue is about; a layer's or control's hyphens are spoken as spaces.
NAME_SIGN: Final = "{name}"

LASTING: Final = "lasting"
BREAK: Final = "break"


@dataclass(frozen=True)
class CueEvent:
    """When a cue is played, and the cue that is played unless the layout says otherwise."""

    about: str
    default: Mapping[str, Any] = field(default_factory=dict)


#: Everything but layers that can have a cue. Defaults are in the form of a built layout's cues.
EVENTS: Final[dict[str, CueEvent]] = {
    "layer-on": CueEvent(
        "a layer comes on that can stay on by itself and has no cue of its own", {"say": NAME_SIGN}
    ),
    "layer-off": CueEvent(
        "a layer goes off that can stay on by itself and has no cue of its own for that",
        {"tone": "falling"},
    ),
    LASTING: CueEvent(
        "a latch, a toggled turbo or push, or a keep has lasted for the time `after`; and every "
        "2 minutes from then on",
        {"after_us": 30_000_000, "say": f"{NAME_SIGN} is still on"},
    ),
    "scan-item": CueEvent("a scan offers its next item", {"say": NAME_SIGN}),
    "scan-end": CueEvent("a scan is over"),
    "said": CueEvent("an action says something", {"say": NAME_SIGN, "notify": NAME_SIGN}),
    "overruled": CueEvent(
        "a press or move of the helper's waits, because the player comes first",
        {"tone": "low", "notify": f"The player comes first: {NAME_SIGN} waits."},
    ),
    "refused": CueEvent("a press comes to nothing, such as one that was too short"),
    "latch-on": CueEvent("a latch comes on"),
    "latch-off": CueEvent("a latch goes off"),
    "turbo-on": CueEvent("a toggled turbo begins"),
    "turbo-off": CueEvent("a toggled turbo ends"),
    "push-on": CueEvent("a toggled push begins"),
    "push-off": CueEvent("a toggled push ends"),
    "keep-on": CueEvent("a stick is kept where it is"),
    "keep-off": CueEvent("a stick is kept no more"),
    "lead-on": CueEvent("one person leads"),
    "lead-off": CueEvent("nobody leads any more"),
    "tuning-on": CueEvent("a tuning is in force"),
    "tuning-off": CueEvent("a tuning is in force no more"),
    "rest-on": CueEvent("a rest begins"),
    "rest-off": CueEvent("a rest is over"),
    "released": CueEvent("everything that lasted by itself was ended"),
    "layout-applied": CueEvent("a layout is in force"),
    "layout-chosen": CueEvent(
        "a layout was chosen, by a control or with `remapd use`, and is in force",
        {"say": NAME_SIGN},
    ),
    "layout-refused": CueEvent(
        "a layout was refused; what was in force before stays",
        {"notify": f"{NAME_SIGN} was refused, what was in force before stays"},
    ),
    "device-taken": CueEvent("a device of the layout is here"),
    "device-lost": CueEvent("a device of the layout is gone", {"notify": f"{NAME_SIGN} is gone"}),
    "plug-moved": CueEvent(
        "a device that is known by its port is at another one: who is at hand is asked to press "
        "something on it",
        {
            "say": f"A plug has moved. Press something on {NAME_SIGN}",
            "notify": f"A plug has moved. Press something on {NAME_SIGN}, and it is taken.",
        },
    ),
    "paused": CueEvent("remapping is paused"),
    "resumed": CueEvent("remapping goes on"),
    "battery-low": CueEvent(
        "the battery of a device has 15 % or less, where the kernel knows of it",
        {
            "say": f"The battery of {NAME_SIGN} is low",
            "notify": f"The battery of {NAME_SIGN} is low",
        },
    ),
    BREAK: CueEvent(
        "there has been play for the time `after`, without five minutes of rest; only where this "
        "time is written",
        {"say": "Time for a break", "notify": "Time for a break"},
    ),
}

_PLAYED: Final = (
    Field("tone", Word(TONES), "a soft tone that is played"),
    Field(
        "say",
        Text(),
        f"words that are spoken; `{NAME_SIGN}` stands for what it is about",
    ),
    Field("notify", Text(), f"a notification on the desktop; `{NAME_SIGN}` as above"),
    Field("loudness", Quantity(Family.SHARE, "1%", "100%"), "how loud the tone is", "20%"),
    Field(
        "rumble",
        Reference(Names.DEVICE),
        "the device on which a short, soft rumble is felt; never one that is worn on the body, "
        "unless the player and those who treat them want it",
    ),
    Field("strength", Quantity(Family.SHARE, "1%", "100%"), "how strong the rumble is", "30%"),
)
_SILENCE: Final = Word({"nothing": "no cue, not even the one that is there by default"})
OFF: Final = Group("the cue for `off`", _PLAYED, minimum=1)
CUE: Final = Group(
    "a cue",
    (
        *_PLAYED,
        Field("off", Either(_SILENCE, OFF), "of a layer: the cue when it goes off"),
        Field(
            "after",
            Quantity(Family.STRETCH, "5s", "600min"),
            "of `lasting` and `break`: after how long",
        ),
    ),
    minimum=1,
)
CUES: Final = MapOf("cues", Names.CUED, Either(_SILENCE, CUE), minimum=0)
