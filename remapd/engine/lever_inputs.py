"""Levers as inputs: one value, to a trigger of the pad or to the presses of its ends."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from remapd.engine.actions import SendLever, Whole
from remapd.engine.buttons import ButtonMachine
from remapd.engine.directions import Changes, Ends
from remapd.engine.handlers import EV_ABS, EV_KEY, Handler, event_key
from remapd.engine.layout import LeverControl
from remapd.engine.levers import LeverConditioner
from remapd.engine.motions import TICK_US, InputListener, Motion, RawAxis, RawKey, middle_of
from remapd.engine.pad import TRIGGER_FULL
from remapd.engine.people import Person
from remapd.engine.settings import LeverSettings, Rest, StickSettings
from remapd.engine.source import AxisRange, Source
from remapd.engine.sticks import ROUNDING
from remapd.engine.timers import Timers
from remapd.engine.values import value_at

if TYPE_CHECKING:  # a number as the processor has it; of use where this is compiled
    from mypy_extensions import i64

KEY_RANGE = AxisRange(0, 1)


class LeverInput(Motion):
    """One absolute axis, or a key in its place."""

    __slots__ = ("_axis", "_conditioner", "_ends", "_settings", "_trigger", "control")

    def __init__(
        self,
        key: int,
        control: LeverControl,
        person: Person,
        machines: Sequence[ButtonMachine],
        timers: Timers,
        samples: list[Motion],
        listener: InputListener,
    ) -> None:
        super().__init__(key, control.device, person, machines, timers, samples, listener)
        self._ends = Ends(control.settings.press_at, control.settings.release_at)
        self.control = control
        self._settings = control.settings
        self._axis: int | None = None
        self._trigger = -1  # of a binding to a trigger: its target number
        self._conditioner = LeverConditioner(control.settings, KEY_RANGE)

    def use_settings(self, settings: StickSettings | LeverSettings) -> None:
        if not isinstance(settings, LeverSettings):
            raise TypeError(f"a lever takes lever settings, not {settings}")
        self._settings = settings
        self._conditioner.settings = settings
        self._ends.press_at = settings.press_at
        self._ends.release_at = settings.release_at
        for machine in self.machines:
            machine.settings = settings.buttons

    def make_conditioner(self, source: Source) -> None:
        self._axis = next((axis for axis in self.control.axes if axis in source.axes), None)
        axis_range = KEY_RANGE if self._axis is None else source.axes[self._axis]
        self._conditioner = LeverConditioner(self._settings, axis_range)

    def make_handlers(self, source: Source, held: frozenset[int]) -> dict[int, Handler]:
        if self._axis is not None:
            return {event_key(EV_ABS, self._axis): RawAxis(self, 0)}
        key = self.control.key
        if key is None or key not in source.keys:
            return {}
        handler = RawKey(self, 0, 1)
        handler.set_down(key in held)
        return {event_key(EV_KEY, key): handler}

    def set_raw(self, source: Source, held: frozenset[int], axes: Mapping[int, int]) -> None:
        if self._axis is not None:
            self.raw_x = axes.get(self._axis, self._rest(source.axes[self._axis]))
        else:
            self.raw_x = int(self.control.key in held)

    def _rest(self, axis: AxisRange) -> int:
        rests_at = self._settings.rests_at
        if rests_at is Rest.LOW:
            return axis.minimum
        return axis.maximum if rests_at is Rest.HIGH else middle_of(axis)

    def sample_conditioner(self, us: int, tick: bool) -> int:
        wants = self._conditioner.tick(us) if tick else self._conditioner.sample(self.raw_x, us)
        return TICK_US if wants else 0

    def sample_straight(self, data: bytes, x_at: i64, y_at: i64, us: int) -> bool:
        self.raw_x = value_at(data, x_at)
        conditioner = self._conditioner
        if conditioner.steadied or self.tick_timer.order:
            return False
        conditioner.sample(self.raw_x, us)
        return conditioner.neutral is self.neutral and (
            not self.uses_directions or self._ends.stay(conditioner.plain_x)
        )

    def give_straight(self, us: int) -> bool:
        if not self.neutral:
            self.give(us)
        return True

    def is_neutral(self) -> bool:
        return self._conditioner.neutral

    def change_directions(self) -> Changes:
        return self._ends.update(self._conditioner.plain_x)

    def reset_directions(self) -> None:
        self._ends.held = 0

    def aim(self, whole: Whole | None) -> None:
        self._trigger = whole.trigger if isinstance(whole, SendLever) else -1

    def give(self, us: int) -> None:
        if self._trigger >= 0 and self.plugged:
            x = self._conditioner.x
            # rounded, halves up; int() is as floor() for what is not negative
            value = int(x * TRIGGER_FULL + 0.5 + ROUNDING) if x > 0.0 else 0
            self.person.set_lever(self._trigger, self.key, value, us)

    def take_back(self, whole: Whole | None, us: int) -> None:
        if isinstance(whole, SendLever):
            self.person.set_lever(whole.trigger, self.key, 0, us)
