"""What a hand can physically do with a control, and how fast: the conditioning, read as limits.

A layout can ask for what no hand can give: a second press that comes back too late to count as
one, a long press on a control whose presses end by themselves, both ends of a lever at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Final

from remapd.engine.layout import (
    ButtonControl,
    Layout,
    LeverControl,
    PointerControl,
    StickControl,
)
from remapd.engine.pad_controls import LEFT
from remapd.engine.settings import ButtonSettings, Rest

#: Between two acts of one hand at the least. Simple visual reaction took 231 ms, the mean of 1469
#: people of 18 to 65 years (Woods and others, 2015). Most players here take far longer, so what is
#: out of reach at this pace is out of reach.
PACE_US: Final = 250_000
#: The shortest touch of a switch that anyone makes on purpose (common practice, no source).
TOUCH_US: Final = 50_000
#: From press to press at the least: a tapping finger's 55 to 60 in ten seconds, the average of
#: computerised finger tapping tests, which is near the most that a healthy hand can do.
TAPPING_US: Final = 170_000

_DIAGONAL: Final = sqrt(0.5)


@dataclass(frozen=True, slots=True)
class Handling:
    """The limits that stages 1 to 5 of a button set; microseconds.

    Attributes:
        accepted_after_us: From the hand's press until it counts.
        down_us: How long the hand stays down at the least from where the press counts.
        shortest_us: The shortest press that can be made, as it counts.
        repeat_us: From one press to the next at the least, as they count.
        longest_us: A press ends by itself after this; 0: it does not.
        ready_us: From one act to the next press that counts, at a quick hand's pace.
    """

    accepted_after_us: int
    down_us: int
    shortest_us: int
    repeat_us: int
    longest_us: int
    ready_us: int

    def can_hold(self, us: int) -> bool:
        """Whether a press can last so long."""
        return not self.longest_us or us < self.longest_us

    def can_end_before(self, us: int) -> bool:
        """Whether a press can be over before that time."""
        return self.shortest_us < us or 0 < self.longest_us < us

    def can_repeat_within(self, us: int) -> bool:
        """Whether a second press can count within that time of the first."""
        return self.repeat_us < us


def handling(settings: ButtonSettings) -> Handling:
    """The limits that a button's settings set."""
    # The press's own debounce hides a release, and the release's own the next press.
    down_us = max(0, max(settings.debounce_us, TOUCH_US) - settings.acceptance_delay_us)
    again_us = max(settings.debounce_us, settings.release_delay_us + settings.repeat_guard_us)
    return Handling(
        accepted_after_us=settings.acceptance_delay_us,
        down_us=down_us,
        shortest_us=down_us + settings.release_delay_us,
        repeat_us=max(TAPPING_US, down_us + again_us + settings.acceptance_delay_us),
        longest_us=settings.longest_us,
        ready_us=max(PACE_US, again_us) + settings.acceptance_delay_us,
    )


def handling_of(layout: Layout, button: int) -> Handling:
    """The limits of one button of a layout, direction or end."""
    control = layout.controls[layout.buttons[button].control]
    if isinstance(control, ButtonControl):
        return handling(control.settings)
    return handling(control.settings.buttons)


def can_press(layout: Layout, button: int) -> bool:
    """Whether it can be pressed at all: a lever has no end where it rests."""
    part = layout.buttons[button].part
    control = layout.controls[layout.buttons[button].control]
    if not isinstance(control, LeverControl) or control.settings.rests_at is Rest.MIDDLE:
        return True
    return part == (0 if control.settings.rests_at is Rest.HIGH else 1)


def can_press_together(layout: Layout, one: int, other: int) -> bool:
    """Whether two buttons can be down at the same time: of one stick only a diagonal's two."""
    first, second = layout.buttons[one], layout.buttons[other]
    if first.control != second.control:
        return True
    control = layout.controls[first.control]
    if not isinstance(control, StickControl | PointerControl):
        return False
    if first.part is None or second.part is None:
        return False
    crossing = (first.part < LEFT) != (second.part < LEFT)
    settings = control.settings
    return crossing and settings.ways == 8 and settings.press_at <= _DIAGONAL
