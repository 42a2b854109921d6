"""How a control is conditioned before it counts: the numbers, with the language's defaults.

Durations are integer microseconds, 0 meaning off; shares are floats (1.0 is 100 %).
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from enum import Enum
from typing import Any, TypeVar


@dataclass(frozen=True, slots=True)
class ButtonSettings:
    """Stages 1 to 5 of a button, in their order."""

    debounce_us: int = 15_000
    release_delay_us: int = 0
    acceptance_delay_us: int = 0
    repeat_guard_us: int = 0
    longest_us: int = 0


#: The directions of sticks, pointers and levers have no debounce unless one is written.
PLAIN = ButtonSettings(debounce_us=0)


@dataclass(frozen=True, slots=True)
class Steady:
    """The 1-euro filter's settings (Casiez, Roussel and Vogel, CHI 2012), in Hz and full ranges."""

    cutoff_hz: float
    beta: float = 0.02


@dataclass(frozen=True, slots=True)
class StickSettings:
    """Conditioning of a stick or of a pointer used as one.

    `centre_*` is a share of half the axis range; `turn_degrees` is clockwise; `reach_*` is how far
    the player gets that way (share of full); `window_us`, `full_speed` (counts/s) are for pointers.
    """

    centre_x: float = 0.0
    centre_y: float = 0.0
    turn_degrees: float = 0.0
    reach_left: float = 1.0
    reach_right: float = 1.0
    reach_up: float = 1.0
    reach_down: float = 1.0
    flip_x: bool = False
    flip_y: bool = False
    steady: Steady | None = None
    dead_zone: float = 0.10
    curve: float = 1.0
    press_at: float = 0.50
    release_at: float = 0.40
    ways: int = 8
    full_speed: float = 800.0
    window_us: int = 60_000
    buttons: ButtonSettings = PLAIN


class Rest(Enum):
    """Where a lever stands when nobody touches it."""

    LOW = "low"
    HIGH = "high"
    MIDDLE = "middle"


@dataclass(frozen=True, slots=True)
class LeverSettings:
    """Conditioning of a lever; its value is -1 to 1 where it rests in the middle, else 0 to 1."""

    rests_at: Rest = Rest.LOW
    reach: float = 1.0
    steady: Steady | None = None
    dead_zone: float = 0.10
    curve: float = 1.0
    press_at: float = 0.50
    release_at: float = 0.40
    buttons: ButtonSettings = PLAIN


#: Values that a tuning puts in the place of others: pairs of a field's name and its value. A name
#: may be a field of the control's settings or of their `buttons`.
Overrides = tuple[tuple[str, Any], ...]

Settings = ButtonSettings | StickSettings | LeverSettings
S = TypeVar("S", bound=Settings)

_BUTTON_FIELDS = frozenset(field.name for field in dataclasses.fields(ButtonSettings))


def with_overrides(settings: S, overrides: Overrides) -> S:
    """The settings with a tuning's values in the place of theirs."""
    if isinstance(settings, ButtonSettings):
        return dataclasses.replace(settings, **dict(overrides))
    own: dict[str, Any] = {name: value for name, value in overrides if name not in _BUTTON_FIELDS}
    buttons = {name: value for name, value in overrides if name in _BUTTON_FIELDS}
    if buttons:
        own["buttons"] = dataclasses.replace(settings.buttons, **buttons)
    return dataclasses.replace(settings, **own)
