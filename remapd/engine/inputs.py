"""The controls of a layout as inputs: raw event values in, conditioned presses and parts out.

One object a control lives as long as the layout; its conditioner is made anew at each plug-in,
since ranges belong to the node. Sticks, pointers and levers (*motion*) are sampled once a frame,
after all of its events, and *give* their part to their person's sticks or triggers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

from remapd.engine.actions import SendLever, SendStick, Whole
from remapd.engine.buttons import ButtonMachine
from remapd.engine.directions import Changes, Directions, Ends
from remapd.engine.layout import (
    ButtonControl,
    LeverControl,
    PointerControl,
    StickControl,
)
from remapd.engine.levers import LeverConditioner
from remapd.engine.pad import TRIGGER_FULL
from remapd.engine.pad_controls import DOWN, DPAD, DPAD_UP, LEFT, RIGHT, UP
from remapd.engine.people import Person
from remapd.engine.pointers import PointerConditioner
from remapd.engine.settings import LeverSettings, Rest, StickSettings
from remapd.engine.source import AxisRange, Source
from remapd.engine.sticks import ROUNDING, StickConditioner
from remapd.engine.timers import Timer, Timers

EV_KEY = 1
EV_REL = 2
EV_ABS = 3
#: No value that the kernel sends: nothing has come yet.
UNKNOWN = 1 << 40
#: A stick at rest counts as sampled again this often, as evdev is silent then.
TICK_US = 8_000
AUTOREPEAT = 2

KEY_RANGE = AxisRange(0, 1)
KEYS_RANGE = AxisRange(-1, 1)


def event_key(event_type: int, code: int) -> int:
    """Type and code as one number."""
    return event_type << 16 | code


class Handler:
    """Takes the values of one event code; whoever calls `event` puts the value into `last` too."""

    __slots__ = ("last",)

    def __init__(self) -> None:
        self.last = UNKNOWN

    def event(self, value: int, us: int) -> None:
        """A value has arrived."""
        raise NotImplementedError


class FanOut(Handler):
    """One code that several controls read."""

    __slots__ = ("_handlers",)

    def __init__(self, first: Handler, second: Handler) -> None:
        super().__init__()
        self._handlers = [first, second]

    def event(self, value: int, us: int) -> None:
        for handler in self._handlers:
            handler.event(value, us)


class InputListener(Protocol):
    """What the inputs need of the engine."""

    def motion_left_neutral(self, motion: Motion) -> None:
        """A stick, pointer or lever has left its dead zone."""

    def motion_is_neutral(self, motion: Motion, us: int) -> None:
        """It is back."""


class ButtonInput(Handler):
    """A button control."""

    __slots__ = ("control", "machine")

    def __init__(self, control: ButtonControl, machine: ButtonMachine) -> None:
        super().__init__()
        self.control = control
        self.machine = machine

    def event(self, value: int, us: int) -> None:
        if value != AUTOREPEAT:
            self.machine.change((value != 0) != self.control.inverted, us)

    def plug(self, held: bool, us: int) -> None:
        """The device is there; a button that is down acts only after a fresh press."""
        self.machine.start(held != self.control.inverted, us)


class RawAxis(Handler):
    """Takes one raw value of a motion control (0: x, 1: y)."""

    __slots__ = ("_motion", "_which")

    def __init__(self, motion: Motion, which: int) -> None:
        super().__init__()
        self._motion = motion
        self._which = which

    def event(self, value: int, us: int) -> None:
        motion = self._motion
        if self._which:
            motion.raw_y = value
        else:
            motion.raw_x = value
        if not motion.dirty:
            motion.dirty = True
            motion.samples.append(motion)


class RawCount(Handler):
    """Adds up the counts of a pointer in one frame."""

    __slots__ = ("_motion", "_which")

    def __init__(self, motion: Motion, which: int) -> None:
        super().__init__()
        self._motion = motion
        self._which = which

    def event(self, value: int, us: int) -> None:
        motion = self._motion
        if self._which:
            motion.raw_y += value
        else:
            motion.raw_x += value
        if not motion.dirty:
            motion.dirty = True
            motion.samples.append(motion)


class RawKey(Handler):
    """A key that stands for one end of an axis: d-pad keys as a stick, a trigger's button."""

    __slots__ = ("_down", "_motion", "_opposite", "_value", "_which")

    def __init__(self, motion: Motion, which: int, value: int) -> None:
        super().__init__()
        self._motion = motion
        self._which = which
        self._value = value
        self._down = False
        self._opposite: RawKey | None = None

    def face(self, opposite: RawKey) -> None:
        """The key of the other end of the same axis."""
        self._opposite = opposite
        opposite._opposite = self

    def set_down(self, down: bool) -> int:
        """Takes the key's state and gives the axis value that it makes."""
        self._down = down
        value = self._value if down else 0
        if self._opposite is not None and self._opposite._down:
            value += self._opposite._value
        return value

    def event(self, value: int, us: int) -> None:
        if value == AUTOREPEAT:
            return
        motion = self._motion
        axis = self.set_down(value != 0)
        if self._which:
            motion.raw_y = axis
        else:
            motion.raw_x = axis
        if not motion.dirty:
            motion.dirty = True
            motion.samples.append(motion)


class Motion:
    """A stick, pointer or lever: what the three have in common."""

    __slots__ = (
        "_whole",
        "carried",
        "centred",
        "device",
        "dirty",
        "key",
        "listener",
        "machines",
        "neutral",
        "person",
        "plugged",
        "raw_x",
        "raw_y",
        "samples",
        "tick_due",
        "tick_timer",
        "timers",
        "uses_directions",
    )

    def __init__(
        self,
        key: int,
        device: int,
        person: Person,
        machines: Sequence[ButtonMachine],
        timers: Timers,
        samples: list[Motion],
        listener: InputListener,
    ) -> None:
        #: The control's number, by which its parts are known.
        self.key = key
        self.device = device
        self.person = person
        self.machines = machines
        self.timers = timers
        #: Where it puts itself, once, when it has new raw values or a tick is due: what the engine
        #: samples at the end of the frame.
        self.samples = samples
        self.listener = listener
        self.raw_x = 0
        self.raw_y = 0
        self.dirty = False
        self.plugged = False
        self.neutral = True
        #: Directions (bits) that were held out when the control began to be read.
        self.carried = 0
        #: Bound with `change: centred` and not neutral since.
        self.centred = False
        self._whole: Whole | None = None
        #: Whether anything in the layout listens to its directions.
        self.uses_directions = True
        self.tick_due = False
        self.tick_timer = Timer(self._tick)

    @property
    def whole(self) -> Whole | None:
        """What it is bound to, whole."""
        return self._whole

    @whole.setter
    def whole(self, whole: Whole | None) -> None:
        self._whole = whole
        self.aim(whole)

    # -------------------------------------------------------------- for each kind

    def aim(self, whole: Whole | None) -> None:
        """Takes what `give` needs out of a new binding."""

    def use_settings(self, settings: StickSettings | LeverSettings) -> None:
        """Other values, from the next sample on; of the control's own kind."""
        raise NotImplementedError

    def make_handlers(self, source: Source, held: frozenset[int]) -> dict[int, Handler]:
        """The handlers of the event codes that it reads from this node."""
        raise NotImplementedError

    def make_conditioner(self, source: Source) -> None:
        """A new conditioner, with the node's ranges."""
        raise NotImplementedError

    def set_raw(self, source: Source, held: frozenset[int], axes: Mapping[int, int]) -> None:
        """The state of the node at plug-in."""
        raise NotImplementedError

    def sample_conditioner(self, us: int, tick: bool) -> int:
        """Conditions the raw values; how long until it wants a tick, or 0."""
        raise NotImplementedError

    def is_neutral(self) -> bool:
        """Whether the last sample is in the dead zone."""
        raise NotImplementedError

    def change_directions(self) -> Changes:
        """What the last sample presses and releases, releases first."""
        raise NotImplementedError

    def reset_directions(self) -> None:
        """No direction is pressed."""
        raise NotImplementedError

    def give(self, us: int) -> None:
        """Gives the present value to what the control is bound to."""
        raise NotImplementedError

    def take_back(self, whole: Whole | None, us: int) -> None:
        """Ends what was given to this binding."""
        raise NotImplementedError

    # -------------------------------------------------------------- common

    def _tick(self, us: int) -> None:
        self.tick_due = True
        if not self.dirty:
            self.dirty = True
            self.samples.append(self)

    def process(self, us: int) -> None:
        """Samples: neutral or not, and the directions, releases first."""
        tick = self.tick_due
        self.tick_due = False
        wait_us = self.sample_conditioner(us, tick)
        if wait_us:
            self.timers.arm(self.tick_timer, us + wait_us)
        elif self.tick_timer.order:
            self.timers.disarm(self.tick_timer)
        neutral = self.is_neutral()
        if neutral is not self.neutral:
            self.neutral = neutral
            if neutral:
                self.centred = False
                self.listener.motion_is_neutral(self, us)
            else:
                self.listener.motion_left_neutral(self)
        if self.uses_directions:
            for part, down in self.change_directions():
                if not down:
                    self.carried &= ~(1 << part)
                self.machines[part].change(down, us)

    def plug(
        self, source: Source, held: frozenset[int], axes: Mapping[int, int], us: int
    ) -> dict[int, Handler]:
        """The device is there: takes the present state; directions that are held stay silent."""
        self.make_conditioner(source)
        self.reset_directions()
        handlers = self.make_handlers(source, held)
        self.set_raw(source, held, axes)
        wait_us = self.sample_conditioner(us, False)
        if wait_us:
            self.timers.arm(self.tick_timer, us + wait_us)
        self.neutral = self.is_neutral()
        down = [False] * len(self.machines)
        for part, is_down in self.change_directions():
            down[part] = is_down
        for machine, is_down in zip(self.machines, down, strict=True):
            machine.start(is_down, us)
        self.carry()
        self.plugged = True
        return handlers

    def carry(self) -> None:
        """What is held out at plug-in, reload or the end of a rest counts for a `dpad` at once.

        To its player it is a stick; where it is made of keys, they act after a fresh press.
        """
        self.carried = 0
        if self.follows_at_once():
            self.carried = sum(1 << part for part, m in enumerate(self.machines) if m.down)

    def follows_at_once(self) -> bool:
        """Whether it is a stick to whoever holds it, and not a set of keys."""
        return True

    def unplug(self, us: int) -> None:
        """The device is gone."""
        if not self.plugged:
            return
        self.take_back(self.whole, us)
        self.plugged = False
        self.centred = False
        self.tick_due = False
        self.timers.disarm(self.tick_timer)
        for machine in self.machines:
            machine.drop()
        if not self.neutral:
            self.neutral = True
            self.listener.motion_is_neutral(self, us)

    def bind(self, whole: Whole | None, us: int) -> None:
        """A layer change binds it anew: the old goal is centred, the new one follows at once."""
        old = self.whole
        self.whole = whole
        if not self.plugged:
            return
        if (
            isinstance(old, SendStick)
            and isinstance(whole, SendStick)
            and old.stick == whole.stick
            and whole.stick != DPAD
        ):
            self.give(us)
            return
        if old is not None:
            self.take_back(old, us)
        self.centred = False
        if isinstance(whole, SendStick) and whole.change_centred and not self.neutral:
            self.centred = True
        self.give(us)


class StickLike(Motion):
    """What a stick and a pointer have in common: two components, to a stick or to the d-pad."""

    __slots__ = ("_directions", "_flip_x", "_flip_y", "_gain", "_pressed", "_stick")

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

    def aim(self, whole: Whole | None) -> None:
        self._stick = -1
        if isinstance(whole, SendStick):
            self._stick = whole.stick
            self._gain = whole.gain
            self._flip_x = whole.flip_x
            self._flip_y = whole.flip_y

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
        x, y = self.value()
        x *= self._gain
        y *= self._gain
        if self._flip_x:
            x = -x
        if self._flip_y:
            y = -y
        self.person.set_part(stick, self.key, x, y)

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
            self.raw_x = axes.get(x, _middle(source.axes[x]))
            self.raw_y = axes.get(y, _middle(source.axes[y]))
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

    def is_neutral(self) -> bool:
        return self._conditioner.neutral

    def change_directions(self) -> Changes:
        return self._directions.update(self._conditioner.plain_x, self._conditioner.plain_y)

    def value(self) -> tuple[float, float]:
        return self._conditioner.x, self._conditioner.y


class PointerInput(StickLike):
    """Two relative axes."""

    __slots__ = ("_conditioner", "_settings", "control")

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

    def use_settings(self, settings: StickSettings | LeverSettings) -> None:
        if not isinstance(settings, StickSettings):
            raise TypeError(f"a stick takes stick settings, not {settings}")
        self._settings = settings
        self._conditioner.settings = settings
        self.tune_directions(settings)

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

    def is_neutral(self) -> bool:
        return self._conditioner.neutral

    def change_directions(self) -> Changes:
        return self._directions.update(self._conditioner.plain_x, self._conditioner.plain_y)

    def value(self) -> tuple[float, float]:
        return self._conditioner.x, self._conditioner.y


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
        return axis.maximum if rests_at is Rest.HIGH else _middle(axis)

    def sample_conditioner(self, us: int, tick: bool) -> int:
        wants = self._conditioner.tick(us) if tick else self._conditioner.sample(self.raw_x, us)
        return TICK_US if wants else 0

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


def _middle(axis: AxisRange) -> int:
    return (axis.minimum + axis.maximum) // 2
