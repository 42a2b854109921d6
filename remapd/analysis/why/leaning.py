"""How far sticks, pointers and levers were moved, from rest to rest, and what came of it.

What is looked at is the value that their directions are told from: after reach, steadying and the
dead zone; and, for what stays inside the dead zone, the value before it.
"""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass, field

from remapd.analysis.why.press_log import PressLog
from remapd.engine.actions import SendLever, SendStick
from remapd.engine.layout import Layout, LeverControl
from remapd.engine.lever_inputs import LeverInput
from remapd.engine.levers import LeverConditioner
from remapd.engine.motions import Motion
from remapd.engine.stick_inputs import StickInput
from remapd.engine.sticks import StickConditioner

#: A lean begins and ends where less than this share of the way is out.
_REST = 0.02


@dataclass(slots=True, eq=False)
class Lean:
    """One movement out of rest and back; shares of the way, times in microseconds.

    Attributes:
        peaks: How far it went each way (up, down, left, right; or low, high), as directions see it.
        reach: How far it went at all, before the dead zone.
        left_rest: Whether it came out of the dead zone.
        pressed: Whether one of its directions was pressed.
        bound: The buttons of its directions that some active layer gave an action.
        whole: Whether a stick or trigger of the pad followed it.
    """

    layout: Layout
    control: int
    begun_us: int
    peaks: list[float]
    ended_us: int | None = None
    reach: float = 0.0
    left_rest: bool = False
    pressed: bool = False
    bound: set[int] = field(default_factory=set)
    whole: bool = False

    @property
    def name(self) -> str:
        """The control's name."""
        return self.layout.controls[self.control].name


class LeanLog(PressLog):
    """Writes down `leans` besides presses, and the farthest that each control went (`farthest`)."""

    def __init__(self, layout: Layout) -> None:
        self.leans: list[Lean] = []
        self.farthest: dict[str, float] = {}
        self._leaning: dict[int, Lean] = {}
        self._plain: dict[int, StickConditioner | LeverConditioner] = {}
        super().__init__(layout)

    def _sample(self, samples: list[Motion], us: int) -> None:
        moved = list(samples)
        super()._sample(samples, us)
        for motion in moved:
            self._watch(motion, us)

    def button_pressed(self, number: int, us: int) -> None:
        """A press is accepted (ButtonListener)."""
        lean = self._leaning.get(self.layout.buttons[number].control)
        if lean is not None:
            lean.pressed = True
        super().button_pressed(number, us)

    def swap_layout(self, us: int, layout: Layout) -> None:
        """Another layout: what leans is over, and controls have other numbers."""
        self._leaning.clear()
        self._plain.clear()
        super().swap_layout(us, layout)

    def _watch(self, motion: Motion, us: int) -> None:
        control = self.layout.controls[motion.key]
        reach = self._reach(motion, us)
        conditioner = motion._conditioner  # type: ignore[attr-defined] # each kind has its own
        x, y = conditioner.plain_x, getattr(conditioner, "plain_y", 0.0)
        lean = self._leaning.get(motion.key)
        out = max(reach, abs(x), abs(y))
        if lean is None:
            if out <= _REST:
                return
            count = 2 if isinstance(control, LeverControl) else 4
            lean = Lean(self.layout, motion.key, us, [0.0] * count)
            self._leaning[motion.key] = lean
            self.leans.append(lean)
        ways = (-x, x) if len(lean.peaks) == 2 else (-y, y, -x, x)
        lean.peaks = [max(before, now) for before, now in zip(lean.peaks, ways, strict=True)]
        lean.reach = max(lean.reach, reach)
        lean.left_rest |= not motion.neutral
        table = self._performer.stack.table
        buttons = getattr(control, "buttons", ())
        lean.bound.update(number for number in buttons if table.actions[number] is not None)
        lean.whole |= isinstance(table.wholes[motion.key], SendStick | SendLever)
        self.farthest[control.name] = max(self.farthest.get(control.name, 0.0), lean.reach)
        if any(number in self._open for number in buttons):
            lean.pressed = True
        if out <= _REST:
            lean.ended_us = us
            del self._leaning[motion.key]

    def _reach(self, motion: Motion, us: int) -> float:
        """How far it is out before the dead zone, with no filter; 0 for a pointer."""
        if not isinstance(motion, StickInput | LeverInput):
            return 0.0
        plain = self._plain.get(motion.key)
        if plain is None:
            plain = self._plain[motion.key] = _unfiltered(motion)
        if isinstance(plain, StickConditioner):
            plain.sample(motion.raw_x, motion.raw_y, us)
            return math.hypot(plain.plain_x, plain.plain_y)
        plain.sample(motion.raw_x, us)
        return abs(plain.plain_x)


def _unfiltered(motion: StickInput | LeverInput) -> StickConditioner | LeverConditioner:
    conditioner = motion._conditioner
    if isinstance(conditioner, StickConditioner):
        bare = dataclasses.replace(conditioner.settings, dead_zone=0.0, steady=None)
        return StickConditioner(bare, conditioner._x_range, conditioner._y_range)
    bare_lever = dataclasses.replace(conditioner.settings, dead_zone=0.0, steady=None)
    return LeverConditioner(bare_lever, conditioner._range)
