"""Sticks and pointers as inputs: two components, to a stick of the pad, the d-pad or directions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from remapd.engine.actions import SendStick, Whole
from remapd.engine.buttons import ButtonMachine
from remapd.engine.directions import Changes, Directions
from remapd.engine.handlers import EV_ABS, EV_KEY, EV_REL, Handler, event_key
from remapd.engine.layout import PointerControl, StickControl
from remapd.engine.motions import (
    TICK_US,
    InputListener,
    Motion,
    RawAxis,
    RawCount,
    RawKey,
    middle_of,
)
from remapd.engine.pad_controls import DOWN, DPAD, DPAD_UP, LEFT, RIGHT, UP
from remapd.engine.people import Person
from remapd.engine.pointers import PointerConditioner
from remapd.engine.settings import LeverSettings, StickSettings
from remapd.engine.source import AxisRange, Source
from remapd.engine.sticks import StickConditioner
from remapd.engine.timers import Timers
from remapd.engine.values import value_at

if TYPE_CHECKING:  # a number as the processor has it; of use where this is compiled
    from mypy_extensions import i64

KEYS_RANGE = AxisRange(-1, 1)


class StickLike(Motion):
    """What a stick and a pointer have in common: two components, to a stick or to the d-pad."""

    __slots__ = ("_directions", "_flip_x", "_flip_y", "_gain", "_pressed", "_stick", "_straight")

    def __init__(
        self,
        key: int,
        device: int,
        person: Person,
        machines: Sequence[ButtonMachine],
        settings: StickSettings,
        timers: Timers,
        samples: list[Motion],
        listener: InputListener,
    ) -> None:
        super().__init__(key, device, person, machines, timers, samples, listener)
        self._directions = Directions(settings.press_at, settings.release_at, settings.ways)
        #: Targets of the d-pad that it presses as a whole.
        self._pressed: list[int] = []
        # Of a binding to a stick as a whole: the stick, or -1.
        self._stick = -1
        self._gain = 1.0
        self._flip_x = self._flip_y = False
        #: Whether samples come out as points of one stick of the pad, or as nothing at all.
        self._straight = False

    def is_steadied(self) -> bool:
        """Whether there is a filter: then the value depends on time."""
        raise NotImplementedError

    def value(self) -> tuple[float, float]:
        """The conditioned value, after the curve."""
        raise NotImplementedError

    def reset_directions(self) -> None:
        self._directions.held = 0

    def tune_directions(self, settings: StickSettings) -> None:
        """Other values for the directions, from the next sample on."""
        self._directions.press_at = settings.press_at
        self._directions.release_at = settings.release_at
        self._directions.ways = settings.ways
        for machine in self.machines:
            machine.settings = settings.buttons
        self._find_straight()

    def aim(self, whole: Whole | None) -> None:
        self._stick = -1
        if isinstance(whole, SendStick):
            self._stick = whole.stick
            self._gain = whole.gain
            self._flip_x = whole.flip_x
            self._flip_y = whole.flip_y
        self._find_straight()

    def _find_straight(self) -> None:
        self._straight = self._stick != DPAD and self._gain != 0.0 and not self.is_steadied()

    def give_straight(self, us: int) -> bool:
        stick = self._stick
        if self.neutral or stick < 0:
            return True  # as before: no part
        x, y = self._aimed()
        if self.person.move_alone(stick, self.key, x, y, us):
            return True
        self.person.set_part(stick, self.key, x, y)
        return False

    def give(self, us: int) -> None:
        stick = self._stick
        if stick < 0 or not self.plugged:
            return
        if stick == DPAD:
            whole = self.whole
            if isinstance(whole, SendStick):
                self._press([] if self.centred else self._wanted(whole), us)
            return
        if self.centred:
            self.person.drop_part(stick, self.key)
            return
        x, y = self._aimed()
        self.person.set_part(stick, self.key, x, y)

    def _aimed(self) -> tuple[float, float]:
        """The value as the binding sends it on."""
        x, y = self.value()
        x *= self._gain
        y *= self._gain
        return -x if self._flip_x else x, -y if self._flip_y else y

    def take_back(self, whole: Whole | None, us: int) -> None:
        if isinstance(whole, SendStick):
            if whole.stick == DPAD:
                self._press([], us)
            else:
                self.person.drop_part(whole.stick, self.key)

    def _wanted(self, whole: SendStick) -> list[int]:
        wanted: list[int] = []
        for part, machine in enumerate(self.machines):
            if machine.pressed or self.carried >> part & 1:
                direction = part
                if whole.flip_y and part in {UP, DOWN}:
                    direction = UP + DOWN - part
                elif whole.flip_x and part in {LEFT, RIGHT}:
                    direction = LEFT + RIGHT - part
                wanted.append(DPAD_UP + direction)
        return wanted

    def _press(self, wanted: list[int], us: int) -> None:
        for target in self._pressed:
            if target not in wanted:
                self.person.release(target, us)
        for target in wanted:
            if target not in self._pressed:
                self.person.press(target, us)
        self._pressed = wanted


class StickInput(StickLike):
    """Two absolute axes, or the four keys of a d-pad."""

    __slots__ = ("_axes", "_conditioner", "_settings", "control")

    def __init__(
        self,
        key: int,
        control: StickControl,
        person: Person,
        machines: Sequence[ButtonMachine],
        timers: Timers,
        samples: list[Motion],
        listener: InputListener,
    ) -> None:
        super().__init__(
            key, control.device, person, machines, control.settings, timers, samples, listener
        )
        self.control = control
        self._settings = control.settings
        self._axes: tuple[int, int] | None = None
        self._conditioner = StickConditioner(control.settings, KEYS_RANGE, KEYS_RANGE)

    def use_settings(self, settings: StickSettings | LeverSettings) -> None:
        if not isinstance(settings, StickSettings):
            raise TypeError(f"a stick takes stick settings, not {settings}")
        self._settings = settings
        self._conditioner.settings = settings
        self.tune_directions(settings)

    def is_steadied(self) -> bool:
        return self._conditioner.steadied

    def make_conditioner(self, source: Source) -> None:
        self._axes = None
        for x, y in self.control.axes:
            if x in source.axes and y in source.axes:
                self._axes = (x, y)
                break
        if self._axes is None:
            ranges = (KEYS_RANGE, KEYS_RANGE)
        else:
            ranges = (source.axes[self._axes[0]], source.axes[self._axes[1]])
        self._conditioner = StickConditioner(self._settings, ranges[0], ranges[1])

    def make_handlers(self, source: Source, held: frozenset[int]) -> dict[int, Handler]:
        if self._axes is not None:
            x, y = self._axes
            return {
                event_key(EV_ABS, x): RawAxis(self, 0),
                event_key(EV_ABS, y): RawAxis(self, 1),
            }
        keys = self.control.keys
        if keys is None:
            return {}
        up, down = RawKey(self, 1, -1), RawKey(self, 1, 1)
        left, right = RawKey(self, 0, -1), RawKey(self, 0, 1)
        up.face(down)
        left.face(right)
        handlers: dict[int, Handler] = {}
        for code, key in zip(keys, (up, down, left, right), strict=True):
            if code in source.keys:
                key.set_down(code in held)
                handlers[event_key(EV_KEY, code)] = key
        return handlers

    def follows_at_once(self) -> bool:
        return self._axes is not None

    def set_raw(self, source: Source, held: frozenset[int], axes: Mapping[int, int]) -> None:
        if self._axes is not None:
            x, y = self._axes
            self.raw_x = axes.get(x, middle_of(source.axes[x]))
            self.raw_y = axes.get(y, middle_of(source.axes[y]))
            return
        keys = self.control.keys
        self.raw_x = self.raw_y = 0
        if keys is not None:
            # A held d-pad key of a d-pad that is made of keys: its direction counts as held.
            self.raw_x = (keys[RIGHT] in held) - (keys[LEFT] in held)
            self.raw_y = (keys[DOWN] in held) - (keys[UP] in held)

    def sample_conditioner(self, us: int, tick: bool) -> int:
        if tick:
            wants = self._conditioner.tick(us)
        else:
            wants = self._conditioner.sample(self.raw_x, self.raw_y, us)
        return TICK_US if wants else 0

    def sample_straight(self, data: bytes, x_at: i64, y_at: i64, us: int) -> bool:
        if x_at >= 0:
            self.raw_x = value_at(data, x_at)
        if y_at >= 0:
            self.raw_y = value_at(data, y_at)
        if not self._straight or self.centred or self.tick_timer.order:
            return False
        conditioner = self._conditioner
        conditioner.sample_unsteadied(self.raw_x, self.raw_y)
        return conditioner.neutral is self.neutral and (
            not self.uses_directions
            or self._directions.stay(conditioner.plain_x, conditioner.plain_y)
        )

    def is_neutral(self) -> bool:
        return self._conditioner.neutral

    def change_directions(self) -> Changes:
        return self._directions.update(self._conditioner.plain_x, self._conditioner.plain_y)

    def value(self) -> tuple[float, float]:
        return self._conditioner.x, self._conditioner.y


class PointerInput(StickLike):
    """Two relative axes."""

    __slots__ = ("_conditioner", "_considered_x", "_considered_y", "_settings", "control")

    def __init__(
        self,
        key: int,
        control: PointerControl,
        person: Person,
        machines: Sequence[ButtonMachine],
        timers: Timers,
        samples: list[Motion],
        listener: InputListener,
    ) -> None:
        super().__init__(
            key, control.device, person, machines, control.settings, timers, samples, listener
        )
        self.control = control
        self._settings = control.settings
        self._conditioner = PointerConditioner(control.settings)
        #: Counts of a frame that goes the short way.
        self._considered_x = self._considered_y = 0

    def use_settings(self, settings: StickSettings | LeverSettings) -> None:
        if not isinstance(settings, StickSettings):
            raise TypeError(f"a stick takes stick settings, not {settings}")
        self._settings = settings
        self._conditioner.settings = settings
        self.tune_directions(settings)

    def is_steadied(self) -> bool:
        return self._conditioner.steadied

    def make_conditioner(self, source: Source) -> None:
        self._conditioner = PointerConditioner(self._settings)

    def make_handlers(self, source: Source, held: frozenset[int]) -> dict[int, Handler]:
        return {
            event_key(EV_REL, self.control.x): RawCount(self, 0),
            event_key(EV_REL, self.control.y): RawCount(self, 1),
        }

    def set_raw(self, source: Source, held: frozenset[int], axes: Mapping[int, int]) -> None:
        self.raw_x = self.raw_y = 0

    def sample_conditioner(self, us: int, tick: bool) -> int:
        conditioner = self._conditioner
        if self.raw_x or self.raw_y:
            unsteady = conditioner.count(self.raw_x, self.raw_y, us)
            self.raw_x = self.raw_y = 0
        else:
            unsteady = conditioner.expire(us)
        # The next look: when the oldest count leaves, or when the filter wants another sample.
        due_us = conditioner.next_due_us
        wait_us = 0 if due_us is None else due_us - us
        if unsteady and (not wait_us or wait_us > TICK_US):
            return TICK_US
        return wait_us

    def sample_straight(self, data: bytes, x_at: i64, y_at: i64, us: int) -> bool:
        x = value_at(data, x_at) if x_at >= 0 else 0
        y = value_at(data, y_at) if y_at >= 0 else 0
        conditioner = self._conditioner
        if (
            not self._straight
            or self.centred
            or not self.tick_timer.order  # there are no counts yet
            or not conditioner.consider(x, y, us, self.tick_timer.due_us)
            or conditioner.neutral is not self.neutral
            or not (
                not self.uses_directions
                or self._directions.stay(conditioner.plain_x, conditioner.plain_y)
            )
        ):
            return False
        self._considered_x = x
        self._considered_y = y
        return True

    def give_straight(self, us: int) -> bool:
        # not before: another control of the same frame may have sent it the long way. The oldest
        # count is the same, so the tick comes when it was to come.
        self._conditioner.keep(self._considered_x, self._considered_y, us)
        return super().give_straight(us)

    def is_neutral(self) -> bool:
        return self._conditioner.neutral

    def change_directions(self) -> Changes:
        return self._directions.update(self._conditioner.plain_x, self._conditioner.plain_y)

    def value(self) -> tuple[float, float]:
        return self._conditioner.x, self._conditioner.y
