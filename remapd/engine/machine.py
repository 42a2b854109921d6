"""The engine: frames of several devices in, frames of one pad out, told the time by its caller.

    engine = Engine(layout)
    engine.plug(us, source, held, axes)      a node is there, with its present state
    engine.feed(us, source_id, events)       one frame; timers due at or before `us` fire first
    engine.advance(us)                       timers due at or before `us` fire
    engine.drain()                           the pad's frames that these calls caused

Each call takes the time in integer microseconds of one monotonic clock, never falling.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from operator import attrgetter
from typing import Final

from remapd.engine.actions import Scan, SendLever, SendStick, TakeRest, parts_of
from remapd.engine.axis_frames import AxisFrames
from remapd.engine.buttons import ButtonMachine, Refusal
from remapd.engine.explain import describe_frame, length, slot_name
from remapd.engine.handlers import (
    EV_ABS,
    EV_KEY,
    EV_REL,
    ButtonInput,
    FanOut,
    Handler,
    event_key,
)
from remapd.engine.layout import (
    ButtonControl,
    Layout,
    PointerControl,
    StickControl,
)
from remapd.engine.lever_inputs import LeverInput
from remapd.engine.matching import match
from remapd.engine.merge import Merge
from remapd.engine.motions import Motion
from remapd.engine.notices import Notice, NoticeKind, TraceLine
from remapd.engine.output import OutputFrame
from remapd.engine.pad import Pad
from remapd.engine.pad_controls import DPAD, HELPER, PERSON_NAMES, SLOT_COUNT
from remapd.engine.performer import Performer
from remapd.engine.presses import Presses
from remapd.engine.running import Origin
from remapd.engine.settings import ButtonSettings, Settings, with_overrides
from remapd.engine.source import Source
from remapd.engine.source_state import SourceState
from remapd.engine.staying import Staying
from remapd.engine.stick_inputs import PointerInput, StickInput
from remapd.engine.timers import Timer, Timers
from remapd.engine.values import value_at

#: Motions are sampled in the order of the file.
_file_order = attrgetter("key")

#: The answer of `Engine.feed_axes` where more follows from a frame than that axes move.
LONG_WAY: Final = -1


class Engine:
    """A layout at work.

    Attributes:
        output: The pad's frames since the last `drain`.
        notices: What people should be told since the last `drain_notices`.
        trace: Decisions in plain sentences, while `explaining`.
        taken: Which device of the layout (index) each source is, by source id.
    """

    def __init__(self, layout: Layout, *, explain: bool = False) -> None:
        self.layout = layout
        self.output: list[OutputFrame] = []
        self.notices: list[Notice] = []
        self.trace: list[TraceLine] = []
        self.taken: dict[int, int] = {}
        self.paused = False
        self.explaining = explain
        #: Whether the pad's frames are described too; screens read those from the output.
        self.explaining_pad = explain
        self._timers = Timers()
        self._pad = Pad(self._timers, layout.shortest_press_us, layout.faces_as_specified)
        #: See `feed_axes`.
        self.positions = self._pad.positions
        self._sources: dict[int, SourceState] = {}
        #: Another one whenever a node comes, goes, or is read by others than before.
        self._plugged = object()
        self._to_sample: list[Motion] = []
        self._to_give: list[Motion] = []
        self._rest_button: int | None = None
        self._rest_us = 0
        self._rest_timer = Timer(self._rest_over)
        self._merge = Merge(layout.rules, self._timers, self._pad)
        self._build(layout, None, 0)

    # ------------------------------------------------------------------ building

    def _build(self, layout: Layout, staying: Staying | None, us: int) -> None:
        self.layout = layout
        if staying is not None:
            # The same merging goes on: for how long the player has been neutral still counts.
            for slot in range(SLOT_COUNT):
                self._merge.set_lead(slot, None, us)
            self._merge.reset(us)
            self._merge.use_rules(layout.rules, us)
        self._performer = Performer(
            layout,
            self._timers,
            self._merge,
            self.notices,
            rest=self._begin_rest,
            tunings_changed=self._tunings_changed,
            explain=self._explain,
        )
        self._presses = Presses(self._performer, self._explain)
        self._machines = [
            ButtonMachine(number, self._button_settings(number), self._timers, self)
            for number in range(len(layout.buttons))
        ]
        self._buttons: dict[int, ButtonInput] = {}
        self._motions: dict[int, Motion] = {}
        #: By button number: the stick, pointer or lever that it is a direction of.
        self._motion_of: dict[int, Motion] = {}
        if staying is not None:
            staying.restore(self._performer, us)
        self._table = self._performer.stack.table
        listened = _listened_controls(layout)
        samples = self._to_sample
        for index, control in enumerate(layout.controls):
            person = self._performer.people[layout.devices[control.device].person]
            if isinstance(control, ButtonControl):
                self._buttons[index] = ButtonInput(control, self._machines[control.button])
                continue
            machines = [self._machines[number] for number in control.buttons]
            motion: Motion
            if isinstance(control, StickControl):
                motion = StickInput(index, control, person, machines, self._timers, samples, self)
            elif isinstance(control, PointerControl):
                motion = PointerInput(index, control, person, machines, self._timers, samples, self)
            else:
                motion = LeverInput(index, control, person, machines, self._timers, samples, self)
            motion.uses_directions = index in listened
            motion.whole = self._table.wholes[index]
            self._motions[index] = motion
            for number in control.buttons:
                self._motion_of[number] = motion
        if self._performer.tunings:
            self._tunings_changed()

    def _button_settings(self, number: int) -> ButtonSettings:
        control = self.layout.controls[self.layout.buttons[number].control]
        if isinstance(control, ButtonControl):
            return control.settings
        return control.settings.buttons

    # ------------------------------------------------------------------ input

    def feed(self, us: int, source_id: int, events: Sequence[tuple[int, int, int]]) -> None:
        """One frame of a node: (type, code, value) of all its events up to its SYN_REPORT."""
        if self._timers.earliest_us <= us:
            self._fire_due(us)
        state = self._sources.get(source_id)
        if state is None or state.raw is None:
            return
        handler: Handler | None
        for event_type, code, value in events:
            if event_type == EV_ABS:
                handler = state.axes[code]
            elif event_type == EV_KEY:
                handler = state.keys[code]
            elif event_type == EV_REL:
                handler = state.counts[code]
            else:
                continue
            if handler is not None:
                handler.last = value
                handler.event(value, us)
            else:
                state.raw[event_type << 16 | code] = value
        self._resolve(us)

    def feed_axes(self, us: int, source_id: int, frames: AxisFrames, data: bytes) -> int:
        """As `feed`, of one of these frames, as its bytes; the short way of most of all input.

        Where nothing but points of sticks and levers follows from it, which is nearly always, the
        answer is the set of the pad's axes that move in its frame, bit by bit in the order of
        `pad.AXIS_CODES`; their values are in `positions`, and the frame is not in `output`. No
        deadline has changed then, and there are no notices. Else it is LONG_WAY, and all is as
        after `feed`.
        """
        way = frames.way
        if way is None or way.holds_for is not self._plugged or way.source_id != source_id:
            state = self._sources.get(source_id)
            if state is None or state.raw is None:
                self.advance(us)
                return LONG_WAY
            way = frames.way = state.way_of(frames, state.raw)
            way.holds_for = self._plugged
        timers = self._timers
        due = timers.earliest_us <= us
        if due:
            self._fire_due(us)
        earliest_us = timers.earliest_us
        if not way.open or self._rest_button is not None or self.explaining_pad:
            self.feed(us, source_id, frames.events(data))
            return LONG_WAY
        for lane in way.lanes:
            if not lane.motion.sample_straight(data, lane.x_at, lane.y_at, us):
                self.feed(us, source_id, frames.events(data))
                return LONG_WAY
        for key, at in way.unread:
            way.raw[key] = value_at(data, at)
        straight = True
        for lane in way.lanes:
            if not lane.motion.give_straight(us):
                straight = False
        if not straight:  # parts that are to be joined with others
            self._performer.resolve(us)
        pad = self._pad
        if due or pad.buttons_changed or self._merge.overruled or timers.earliest_us != earliest_us:
            self._resolve(us)
            return LONG_WAY
        return pad.move_axes()

    def advance(self, us: int) -> None:
        """The time is `us`: all timers due by then fire, each at its own due time."""
        self._fire_due(us)

    @property
    def next_deadline_us(self) -> int | None:
        """When `advance` has something to do, or None."""
        return self._timers.next_due_us

    @property
    def earliest_us(self) -> int:
        """Before this `advance` has nothing to do; at it perhaps. Cheaper than the exact time."""
        return self._timers.earliest_us

    def drain(self) -> list[OutputFrame]:
        """The pad's frames so far, which are thereby taken."""
        frames = self.output
        self.output = []
        return frames

    def drain_notices(self) -> list[Notice]:
        """The notices so far, which are thereby taken."""
        notices = list(self.notices)
        self.notices.clear()
        return notices

    @property
    def active_layers(self) -> Sequence[int]:
        """The layers that are on, by index: the base first, the newest last."""
        return self._performer.stack.active

    def pad_shown(self) -> list[int]:
        """All of the pad that is off rest now, flat [type, code, value, ...]."""
        return self._pad.shown()

    def drain_trace(self) -> list[TraceLine]:
        """The trace so far, which is thereby taken."""
        trace = self.trace
        self.trace = []
        return trace

    # ------------------------------------------------------------------ devices

    def plug(
        self,
        us: int,
        source: Source,
        held: Iterable[int] | None = None,
        axes: Mapping[int, int] | None = None,
    ) -> None:
        """A node is there; `held` are the key codes that are down, `axes` the axes' raw values.

        Without `held` the node is known but not read yet: it counts for `find` (`taken` says
        whether the layout wants it) and is to be plugged again with its state once it is read.
        """
        self._fire_due(us)
        self._plugged = object()
        known = self._sources.get(source.id)
        if known is not None and source.id in self.taken and known.raw is not None:
            self._detach(source.id, us)
        state = SourceState(source)
        self._sources[source.id] = state
        if held is not None:
            state.raw = {event_key(EV_KEY, code): 1 for code in held}
            for code, value in (axes or {}).items():
                state.raw[event_key(EV_ABS, code)] = value
        if not self.paused:
            self._match_again(us, newcomer=source.id)
        self._resolve(us)

    def unplug(self, us: int, source_id: int) -> None:
        """The node is gone: all that its controls hold or began ends, in one frame."""
        self._fire_due(us)
        if source_id not in self._sources:
            return
        self._plugged = object()
        if source_id in self.taken:
            self._detach(source_id, us)
            del self.taken[source_id]
        del self._sources[source_id]
        self._fill_vacant(us)
        self._resolve(us)

    def _match_again(self, us: int, newcomer: int) -> None:
        """Takes the newcomer where the layout wants it; the others stay, unless `nth` moves one."""
        sources = [state.source for state in self._sources.values()]
        now = match(self.layout, sources, self.taken)
        for source_id, device in list(self.taken.items()):
            if now.get(source_id) != device:
                self._detach(source_id, us)
                del self.taken[source_id]
        for source_id, device in now.items():
            if source_id == newcomer or source_id not in self.taken:
                self._attach(source_id, device, us)

    def _fill_vacant(self, us: int) -> None:
        """A device that is vacant now takes a spare node that it fits, if there is one."""
        sources = [state.source for state in self._sources.values()]
        vacant = set(range(len(self.layout.devices))) - set(self.taken.values())
        for source_id, device in match(self.layout, sources, self.taken).items():
            if source_id not in self.taken and device in vacant:
                self._attach(source_id, device, us)

    def _attach(self, source_id: int, device: int, us: int) -> None:
        self.taken[source_id] = device
        state = self._sources[source_id]
        if state.raw is None:
            return
        held = frozenset(
            key & 0xFFFF for key, value in state.raw.items() if key >> 16 == EV_KEY and value
        )
        axes = {key & 0xFFFF: value for key, value in state.raw.items() if key >> 16 == EV_ABS}
        handlers: dict[int, Handler] = {}
        for index in self.layout.devices[device].controls:
            control = self.layout.controls[index]
            if isinstance(control, ButtonControl):
                button = self._buttons[index]
                button.plug(control.code in held, us)
                _add(handlers, event_key(EV_KEY, control.code), button)
                continue
            motion = self._motions[index]
            for key, handler in motion.plug(state.source, held, axes, us).items():
                _add(handlers, key, handler)
            if self._rest_button is None:
                self._to_give.append(motion)
        state.take(handlers)
        self._tell(us, NoticeKind.DEVICE_TAKEN, self.layout.devices[device].name)

    def _detach(self, source_id: int, us: int) -> None:
        device = self.taken[source_id]
        state = self._sources[source_id]
        if state.raw is None:
            return
        numbers: list[int] = []
        for index in self.layout.devices[device].controls:
            control = self.layout.controls[index]
            if isinstance(control, ButtonControl):
                numbers.append(control.button)
            else:
                numbers.extend(control.buttons)
        self._presses.forget(numbers)
        # A keep of a stick that this device moves ends too: asked while it still moves it.
        self._performer.end_device(device, us)
        for index in self.layout.devices[device].controls:
            if index in self._buttons:
                self._buttons[index].machine.drop()
            else:
                self._motions[index].unplug(us)
        for number in numbers:
            self._performer.next_layers.consumer_released(number, us)
        if self._rest_button in numbers:
            self._timers.disarm(self._rest_timer)
        state.let_go()
        self._tell(us, NoticeKind.DEVICE_LOST, self.layout.devices[device].name)

    # ------------------------------------------------------------------ changes while running

    def swap_layout(self, us: int, layout: Layout) -> None:
        """Another layout, in one frame: all that the old one pressed is released.

        Toggled, cycled and locked layers, and toggled tunings and leads, that still exist (by name)
        stay on; sticks take their new targets; a button that is held acts only after a fresh press.
        """
        self._fire_due(us)
        self._plugged = object()
        old = self._performer
        resting = self._rest_button
        rest_name = None if resting is None else self.layout.buttons[resting].name
        names = {source_id: self.layout.devices[d] for source_id, d in self.taken.items()}
        old.end_held(us)
        old.end_lasting(us)
        for motion in self._motions.values():
            motion.unplug(us)
        self._to_sample.clear()
        self._to_give.clear()
        self._timers.clear()
        self._rest_button = None
        self._pad.shortest_press_us = layout.shortest_press_us
        self._pad.faces_as_specified = layout.faces_as_specified
        self._build(layout, Staying(old), us)
        self._performer.undelayed = True
        self._take_after_swap(us, names)
        if rest_name is not None:
            self._rest_on_after_swap(rest_name, us)
        self._resolve(us)

    def _take_after_swap(self, us: int, before: Mapping[int, object]) -> None:
        devices = self.layout.devices
        current: dict[int, int] = {}
        for source_id, old_device in before.items():
            for index, device in enumerate(devices):
                if device == old_device or (
                    device.name == getattr(old_device, "name", None)
                    and device.find == getattr(old_device, "find", None)
                ):
                    current[source_id] = index
        self.taken = {}
        sources = []
        for state in self._sources.values():
            state.let_go()
            sources.append(state.source)
        if not self.paused:
            for source_id, device_index in match(self.layout, sources, current).items():
                self._attach(source_id, device_index, us)
        for source_id, state in self._sources.items():
            if source_id not in self.taken:
                state.raw = None

    def _rest_on_after_swap(self, name: str, us: int) -> None:
        """A player who rests goes on resting, where the control still exists."""
        for number, button in enumerate(self.layout.buttons):
            if button.name == name:
                self._rest_button = number
                self._silence(us)
                return

    def release_everything(self, us: int) -> None:
        """Ends all that lasts by itself, as the action `release: everything` does."""
        self._fire_due(us)
        self._performer.release_everything(us)
        self._resolve(us)

    def pause(self, us: int) -> None:
        """The pad goes neutral and the devices are given back: the engine knows no node now."""
        self._fire_due(us)
        self._plugged = object()
        for source_id in list(self.taken):
            self._detach(source_id, us)
        self.taken = {}
        self._sources.clear()
        self._presses.forget()
        self._performer.end_held(us)
        self._performer.end_lasting(us)
        self._end_rest(us)
        self.paused = True
        self._resolve(us)

    def resume(self, us: int) -> None:
        """Nodes may be plugged again."""
        self._fire_due(us)
        self.paused = False

    # ------------------------------------------------------------------ rest

    def _begin_rest(self, origin: Origin, action: TakeRest, us: int) -> None:
        self._performer.end_held(us)
        self._performer.release_everything(us)
        self._presses.forget()
        self._rest_button = origin.button
        self._rest_us = action.hold_us
        self._silence(us)
        self._tell(us, NoticeKind.REST_ON, origin.name)

    def _silence(self, us: int) -> None:
        for motion in self._motions.values():
            motion.take_back(motion.whole, us)

    def _ends_rest(self, number: int) -> bool:
        """The control that began the rest; while its device is away, any control with a `rest`."""
        resting = self._rest_button
        if resting is None or number == resting:
            return True
        away = self._performer.origins[resting].device not in self.taken.values()
        return away and isinstance(self._performer.stack.table.actions[number], TakeRest)

    def _rest_over(self, us: int) -> None:
        self._end_rest(us)

    def _end_rest(self, us: int) -> None:
        if self._rest_button is None:
            return
        name = self.layout.buttons[self._rest_button].name
        self._rest_button = None
        self._timers.disarm(self._rest_timer)
        for machine in self._machines:
            machine.start(machine.down, us)
        for motion in self._motions.values():
            if motion.plugged:
                motion.carry()
                self._to_give.append(motion)
        self._tell(us, NoticeKind.REST_OFF, name)

    # ------------------------------------------------------------------ what the inputs tell

    def button_pressed(self, number: int, us: int) -> None:
        """A press is accepted (ButtonListener)."""
        motion = self._motion_of.get(number)
        if motion is not None:
            self._give_dpad(motion)
        if self._rest_button is not None:
            if self._ends_rest(number):
                self._timers.arm(self._rest_timer, us + self._rest_us)
            return
        self._presses.press(number, us)

    def button_released(self, number: int, us: int) -> None:
        """An accepted press is over (ButtonListener)."""
        motion = self._motion_of.get(number)
        if motion is not None:
            self._give_dpad(motion)
        if self._rest_button is not None:
            if self._ends_rest(number):
                self._timers.disarm(self._rest_timer)
            return
        self._presses.release(number, us)

    def button_refused(
        self, number: int, us: int, reason: Refusal, held_us: int, limit_us: int
    ) -> None:
        """A press did nothing (ButtonListener)."""
        name = self.layout.buttons[number].name
        if reason is not Refusal.DEBOUNCE:
            person = self._performer.origins[number].person
            self.notices.append(Notice(us, NoticeKind.REFUSED, name, person))
        if self.explaining:
            what = "came again after" if reason is Refusal.REPEAT_GUARD else "released after"
            self._explain(
                us, name, f"ignored: {what} {length(held_us)}, {reason.value} is {length(limit_us)}"
            )

    def motion_left_neutral(self, motion: Motion) -> None:
        """A whole stick or lever that leaves neutral uses up a `next` layer (InputListener)."""
        whole = self._performer.stack.table.wholes[motion.key]
        if self._rest_button is None and isinstance(whole, (SendStick, SendLever)):
            self._performer.next_layers.use(motion.person.number, _consumer(motion))

    def motion_is_neutral(self, motion: Motion, us: int) -> None:
        """It is neutral again (InputListener)."""
        self._performer.next_layers.consumer_released(_consumer(motion), us)

    def _give_dpad(self, motion: Motion) -> None:
        whole = motion.whole
        if isinstance(whole, SendStick) and whole.stick == DPAD and self._rest_button is None:
            self._to_give.append(motion)

    def _tunings_changed(self) -> None:
        """Works out every control's values anew: its own, then each tuning in force over them."""
        overrides = [self.layout.tunings[t].overrides for t in self._performer.tunings]
        for index, control in enumerate(self.layout.controls):
            changes = [o[index] for o in overrides if index in o]
            settings: Settings = control.settings
            for change in changes:
                settings = with_overrides(settings, change)
            if isinstance(settings, ButtonSettings):
                self._buttons[index].machine.settings = settings
            else:
                self._motions[index].use_settings(settings)

    # ------------------------------------------------------------------ one step of time

    def _fire_due(self, us: int) -> None:
        timers = self._timers
        while True:
            timer = timers.pop_due(us)
            if timer is None:
                return
            due_us = timer.due_us  # `fire` may arm the timer again
            timer.fire(due_us)
            self._resolve(due_us)

    def _resolve(self, us: int) -> None:
        """Samples what moved, follows layer changes, joins, merges, and makes at most one frame."""
        performer = self._performer
        samples = self._to_sample
        if samples:
            self._sample(samples, us)
        if performer.stack.table is not self._table:
            self._retarget(us)
        if self._to_give:
            gives = self._to_give
            self._to_give = []
            if self._rest_button is None:
                for motion in gives:
                    motion.give(us)
        performer.resolve(us)
        if performer.keeps_to_freeze:
            for keep in performer.keeps_to_freeze:
                keep.freeze()
            performer.keeps_to_freeze.clear()
        if self._merge.overruled:
            self._tell_overruled(us)
        frame = self._pad.frame(us, undelayed=performer.undelayed)
        performer.undelayed = False
        if frame is not None:
            self.output.append(frame)
            if self.explaining_pad:
                for text in describe_frame(frame, self._merge, self._pad.faces_as_specified):
                    self.trace.append(TraceLine(us, "pad", text))

    def _sample(self, samples: list[Motion], us: int) -> None:
        last_key = -1
        for motion in samples:
            if motion.key < last_key:
                samples.sort(key=_file_order)
                break
            last_key = motion.key
        # A press of one direction may begin what dirties another: never within this loop, as only
        # raw values and ticks do so.
        for motion in samples:
            motion.dirty = False
            motion.process(us)
            self._to_give.append(motion)
        samples.clear()

    def _retarget(self, us: int) -> None:
        """The stack of layers has changed: sticks and levers follow at once."""
        table = self._performer.stack.table
        self._table = table
        resting = self._rest_button is not None
        for index, motion in self._motions.items():
            whole = table.wholes[index]
            if whole is not motion.whole:
                if resting:
                    motion.whole = whole
                else:
                    motion.bind(whole, us)

    # ------------------------------------------------------------------ telling

    def _tell(self, us: int, kind: NoticeKind, text: str, person: int | None = None) -> None:
        self.notices.append(Notice(us, kind, text, person))

    def _tell_overruled(self, us: int) -> None:
        for slot, at_us in self._merge.overruled:
            self.notices.append(Notice(at_us, NoticeKind.OVERRULED, slot_name(slot), HELPER))
            if self.explaining:
                self._explain(us, slot_name(slot), f"the {PERSON_NAMES[HELPER]} was overruled")
        self._merge.overruled.clear()

    def _explain(self, us: int, subject: str, text: str) -> None:
        if self.explaining:
            self.trace.append(TraceLine(us, subject, text))


def _add(handlers: dict[int, Handler], key: int, handler: Handler) -> None:
    other = handlers.get(key)
    handlers[key] = handler if other is None else FanOut(other, handler)


def _consumer(motion: Motion) -> int:
    """What a whole control is called where buttons have their numbers: below 0."""
    return -1 - motion.key


def _listened_controls(layout: Layout) -> set[int]:
    """Controls whose directions something listens to; those of the others need no work."""
    buttons: set[int] = set()
    controls: set[int] = set()
    for layer in layout.layers:
        buttons.update(layer.bindings)
        actions = list(layer.bindings.values())
        for chord in layer.chords:
            buttons.update((chord.first, chord.second))
            actions.append(chord.action)
        for action in actions:
            for part in parts_of(action):
                if isinstance(part, Scan) and part.pick is not None:
                    buttons.add(part.pick)
        for index, whole in layer.wholes.items():
            if isinstance(whole, SendStick) and whole.stick == DPAD:
                controls.add(index)
    controls.update(layout.buttons[number].control for number in buttons)
    return controls
