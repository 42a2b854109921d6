"""What sticks, pointers and levers have in common: raw values in, presses and parts out.

One object a control lives as long as the layout; its conditioner is made anew at each plug-in,
since ranges belong to the node. A motion is sampled once a frame, after all of its events, and
*gives* its part to its person's sticks or triggers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Protocol

from remapd.engine.actions import SendStick, Whole
from remapd.engine.buttons import ButtonMachine
from remapd.engine.directions import Changes
from remapd.engine.handlers import AUTOREPEAT, UNKNOWN, Handler
from remapd.engine.pad_controls import DPAD
from remapd.engine.people import Person
from remapd.engine.settings import LeverSettings, StickSettings
from remapd.engine.source import AxisRange, Source
from remapd.engine.timers import Timer, Timers

if TYPE_CHECKING:  # a number as the processor has it; of use where this is compiled
    from mypy_extensions import i64

#: A stick at rest counts as sampled again this often, as evdev is silent then.
TICK_US = 8_000


class InputListener(Protocol):
    """What the inputs need of the engine."""

    def motion_left_neutral(self, motion: Motion) -> None:
        """A stick, pointer or lever has left its dead zone."""

    def motion_is_neutral(self, motion: Motion, us: int) -> None:
        """It is back."""


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

    def sample_straight(self, data: bytes, x_at: i64, y_at: i64, us: int) -> bool:
        """Takes raw values and conditions them, where nothing but its point can follow from that.

        `x_at` and `y_at` say where in `data` its own are; -1: it has not moved that way. Where it
        says False nothing has happened yet, and `process` is to be called with the same values.
        """
        return False

    def give_straight(self, us: int) -> bool:
        """As `give` after `sample_straight`; False: the person's part must be joined anew."""
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
            # what is to come when it was to come before stays as it was set
            if not self.tick_timer.order or self.tick_timer.due_us != us + wait_us:
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


class RawAxis(Handler):
    """Takes one raw value of a motion control (0: x, 1: y).

    Whoever has put a value into the motion by another way puts any into `last`: what is known is
    the motion's own value.
    """

    __slots__ = ("motion", "which")

    def __init__(self, motion: Motion, which: int) -> None:
        super().__init__()
        self.motion = motion
        self.which = which

    def event(self, value: int, us: int) -> None:
        motion = self.motion
        if self.which:
            motion.raw_y = value
        else:
            motion.raw_x = value
        if not motion.dirty:
            motion.dirty = True
            motion.samples.append(motion)

    def known(self) -> int:
        if self.last == UNKNOWN:
            return UNKNOWN
        return self.motion.raw_y if self.which else self.motion.raw_x


class RawCount(Handler):
    """Adds up the counts of a pointer in one frame (0: x, 1: y)."""

    __slots__ = ("motion", "which")

    def __init__(self, motion: Motion, which: int) -> None:
        super().__init__()
        self.motion = motion
        self.which = which

    def event(self, value: int, us: int) -> None:
        motion = self.motion
        if self.which:
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


def middle_of(axis: AxisRange) -> int:
    """The raw value in the middle of an axis."""
    return (axis.minimum + axis.maximum) // 2
