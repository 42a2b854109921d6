"""Trials: what goes into a layout, in its own names, and what has to come out. Data only.

The language reads them from `NAME.trials.yaml`, with every name checked against the layout; the
recordings' side runs them. Times are integer microseconds from the start of the trial.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final

#: How far a value may be off where nothing is said: values are written in whole percents.
DEFAULT_GIVE: Final = 0.005
#: How far a time may be off where nothing is said: times are written in whole milliseconds.
DEFAULT_WITHIN_US: Final = 500


class InputKind(Enum):
    """What a hand does, or what happens to a device."""

    PRESS = "press"  #: a button, or a direction pushed fully (`roll.up`)
    RELEASE = "release"
    MOVE = "move"  #: a stick, lever or pointer deflected so far, before conditioning
    TURN = "turn"  #: a pointer turned at so much of its full speed, with counts at 125 Hz
    COUNT = "count"  #: a pointer sends these counts
    UNPLUG = "unplug"
    PLUG = "plug"


@dataclass(frozen=True, slots=True)
class Input:
    """One thing that is done.

    `name` is a control, a direction, or (for unplug and plug) a device. `to` is the deflection in
    shares (a lever has its own in x alone), or whole counts for `count`. `for_us` ends a press,
    move or turn by itself; without it, it lasts until it is told otherwise.
    """

    at_us: int
    kind: InputKind
    name: str
    to: tuple[float, float] = (0.0, 0.0)
    for_us: int | None = None
    line: int = 0


@dataclass(frozen=True, slots=True)
class Expectation:
    """One change of the pad.

    `control` is a pad button, trigger or stick by its own name, `written` as the trial names it.
    `to` is a stick's place or a trigger's value (x alone) in shares, None for a press or release.
    With `settles`, the way there is not looked at: at `at_us` the control has to have got there.
    """

    at_us: int
    kind: InputKind  #: PRESS, RELEASE or MOVE
    control: str
    written: str = ""
    to: tuple[float, float] | None = None
    within_us: int = DEFAULT_WITHIN_US
    give: float = DEFAULT_GIVE
    settles: bool = False
    line: int = 0


@dataclass(frozen=True, slots=True)
class Trial:
    """One trial. `only` limits which pad controls are looked at (empty: all)."""

    name: str
    inputs: tuple[Input, ...]
    expect: tuple[Expectation, ...]
    only: frozenset[str] = frozenset()
    never: tuple[str, ...] = ()  #: pad buttons, triggers, sticks or stick directions
    ends_held: bool = False
    line: int = 0
