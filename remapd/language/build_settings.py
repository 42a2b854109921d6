"""Settings of controls as written, to fields of the engine's settings."""

from __future__ import annotations

from typing import Any

from remapd.engine.settings import (
    ButtonSettings,
    LeverSettings,
    Overrides,
    Steady,
    StickSettings,
)
from remapd.language import messages
from remapd.language.reporter import Reporter
from remapd.language.values import Fields, Value

#: Cutoffs of the words for `steady`; beta is the same for all.
STEADY_CUTOFF_HZ = {"light": 3.0, "medium": 1.5, "strong": 0.8}
STEADY_BETA = 0.02

_DURATIONS = {
    "debounce": "debounce_us",
    "release-delay": "release_delay_us",
    "acceptance-delay": "acceptance_delay_us",
    "repeat-guard": "repeat_guard_us",
    "longest": "longest_us",
    "window": "window_us",
}
_PLAIN = {
    "turn": "turn_degrees",
    "dead-zone": "dead_zone",
    "curve": "curve",
    "press-at": "press_at",
    "release-at": "release_at",
    "ways": "ways",
    "full-speed": "full_speed",
}


def overrides_of(fields: Fields, *, lever: bool = False) -> Overrides:
    """The settings that are written, as pairs of the engine's field name and value."""
    pairs: list[tuple[str, Any]] = []
    for name, value in fields.values.items():
        if name in _DURATIONS:
            pairs.append((_DURATIONS[name], value.data))
        elif name in _PLAIN:
            pairs.append((_PLAIN[name], value.data))
        elif name == "steady":
            pairs.append(("steady", _steady(value)))
        elif name == "reach":
            pairs += _reach(value, lever=lever)
        elif name == "centre":
            pairs += zip(("centre_x", "centre_y"), (each.data for each in value.data), strict=True)
        elif name == "flip":
            axes = {each.data for each in value.data}
            pairs += [("flip_x", "x" in axes), ("flip_y", "y" in axes)]
    return tuple(pairs)


def _steady(value: Value) -> Steady:
    if isinstance(value.data, str):
        return Steady(STEADY_CUTOFF_HZ[value.data], STEADY_BETA)
    return Steady(value.data.data("cutoff", 1.0), value.data.data("beta", STEADY_BETA))


def _reach(value: Value, *, lever: bool) -> list[tuple[str, float]]:
    if isinstance(value.data, Fields):
        return [(f"reach_{way}", each.data) for way, each in value.data.values.items()]
    if lever:
        return [("reach", value.data)]
    return [(f"reach_{way}", value.data) for way in ("left", "right", "up", "down")]


def check_thresholds(
    settings: ButtonSettings | StickSettings | LeverSettings, fields: Fields, reporter: Reporter
) -> None:
    """A direction cannot release above the share at which it presses."""
    if isinstance(settings, ButtonSettings) or settings.release_at <= settings.press_at:
        return
    key = fields.keys.get("release-at") or fields.keys.get("press-at")
    if key is not None:
        reporter.report(
            messages.RELEASE_ABOVE_PRESS,
            key.span,
            release=f"{settings.release_at * 100:g}%",
            press=f"{settings.press_at * 100:g}%",
        )
