"""What a control can do in a layer: the actions of the language, as built and immutable data.

Targets and sticks are the numbers of `pad_controls`; layers, tunings and buttons are indices into
the layout; durations are integer microseconds, and 0 means off where a duration is optional.
`label` is the action in the layout's own words (verbs and all), for notices and the trace.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """Base of all actions."""

    label: str = ""


@dataclass(frozen=True, slots=True)
class Press(Action):
    """A target, or several together in one frame; sorted, without repeats."""

    targets: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class HoldLayer(Action):
    """The layer is active while the control is pressed."""

    layer: int


@dataclass(frozen=True, slots=True)
class ToggleLayer(Action):
    """The layer is switched on or off by each press."""

    layer: int


@dataclass(frozen=True, slots=True)
class NextLayer(Action):
    """The layer is on for the next press (after XKB StickyKeys)."""

    layer: int
    give_up_us: int = 20_000_000


@dataclass(frozen=True, slots=True)
class Cycle(Action):
    """Each press puts the next layer on in place of the one before; 0, the base, is none."""

    layers: tuple[int, ...]
    back_after_us: int = 0


@dataclass(frozen=True, slots=True)
class Turbo(Action):
    """Presses the targets again and again: every `period_us`, for `on_us` each time."""

    targets: tuple[int, ...]
    period_us: int = 125_000
    on_us: int = 62_500
    toggle: bool = False
    at_most_us: int = 0


@dataclass(frozen=True, slots=True)
class Latch(Action):
    """Stays pressed until a press of any latch of the same targets by the same person."""

    targets: tuple[int, ...]
    at_most_us: int = 0


@dataclass(frozen=True, slots=True)
class Pulse(Action):
    """Pressed for exactly `length_us`."""

    targets: tuple[int, ...]
    length_us: int = 150_000


@dataclass(frozen=True, slots=True)
class ShortLong(Action):
    """One action for a short press, another for one that is held for `after_us`."""

    short: Action
    long: Action
    after_us: int = 800_000


@dataclass(frozen=True, slots=True)
class OnceTwice(Action):
    """One action for a single press, another for two presses within `within_us`."""

    once: Action
    twice: Action
    within_us: int = 500_000


@dataclass(frozen=True, slots=True)
class OnRelease(Action):
    """The action is tapped when the control is released."""

    action: Action


@dataclass(frozen=True, slots=True)
class Wait(Action):
    """A pause among steps, in the place of the pause that follows the step before it."""

    length_us: int


@dataclass(frozen=True, slots=True)
class Steps(Action):
    """Plays each step (an action, or a `Wait`) as a tap; `hold` stops it at the release."""

    steps: tuple[Action, ...]
    hold: bool = False


@dataclass(frozen=True, slots=True)
class Push(Action):
    """Moves a stick (0 left, 1 right) to the point (x, y), linearly over `ramp_us`."""

    stick: int
    x: float
    y: float
    ramp_us: int = 0
    toggle: bool = False


@dataclass(frozen=True, slots=True)
class Keep(Action):
    """Freezes the person's part of a stick until the next press of a keep of it."""

    stick: int
    at_most_us: int = 0


@dataclass(frozen=True, slots=True)
class Scan(Action):
    """Offers its items one after another; `pick` is the button that takes one, by hand."""

    items: tuple[Action, ...]
    every_us: int = 1_000_000
    first_us: int = 2_000_000
    rounds: int = 3
    pick: int | None = None


@dataclass(frozen=True, slots=True)
class Lead(Action):
    """While on, this person alone counts for these merging slots (all where it is empty)."""

    person: int
    slots: frozenset[int] = frozenset()
    toggle: bool = False


@dataclass(frozen=True, slots=True)
class UseTuning(Action):
    """A tuning's values are in force while on."""

    tuning: int
    toggle: bool = False


@dataclass(frozen=True, slots=True)
class TakeRest(Action):
    """The pad goes neutral and stays so until this control is held for `hold_us`."""

    hold_us: int = 2_000_000


@dataclass(frozen=True, slots=True)
class Say(Action):
    """A cue and a notice; nothing on the pad."""

    text: str


@dataclass(frozen=True, slots=True)
class ChangeLayout(Action):
    """Asks whoever runs the engine for another layout file (a path as written in the layout)."""

    path: str


@dataclass(frozen=True, slots=True)
class ReleaseEverything(Action):
    """Ends all that lasts by itself, of everyone, at once."""


@dataclass(frozen=True, slots=True)
class Nothing(Action):
    """Blocks the control in its layer."""


@dataclass(frozen=True, slots=True)
class SendStick(Action):
    """A whole stick or pointer to a stick of the pad (0 left, 1 right) or to the d-pad (2)."""

    stick: int
    gain: float = 1.0
    flip_x: bool = False
    flip_y: bool = False
    change_centred: bool = False


@dataclass(frozen=True, slots=True)
class SendLever(Action):
    """A whole lever to a trigger of the pad (its target number)."""

    trigger: int


#: What can stand for a whole stick or pointer, or for a whole lever, in a layer. A whole lever with
#: any other action is built as a binding of its direction away from rest.
Whole = SendStick | SendLever | Nothing


def parts_of(action: Action) -> Iterator[Action]:
    """The action and every action inside it."""
    yield action
    inner: tuple[Action, ...] = ()
    match action:
        case ShortLong():
            inner = (action.short, action.long)
        case OnceTwice():
            inner = (action.once, action.twice)
        case OnRelease():
            inner = (action.action,)
        case Steps():
            inner = action.steps
        case Scan():
            inner = action.items
        case _:
            pass
    for part in inner:
        yield from parts_of(part)
