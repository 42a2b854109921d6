"""Layers that are on for the next press, as XKB StickyKeys latch a modifier.

Source of the behaviour: the X Keyboard Extension protocol specification, StickyKeys, with
LatchToLock. One state for each layer and person, whichever control it was pressed by:

    off --press--> waiting --another control's press--> in use --its release--> off
                      |  \\--give-up--> off
                      |\\--held while others are pressed: a plain hold, off at the release
                      \\--press--> locked --press--> off
"""

from __future__ import annotations

from remapd.engine.stack import Stack
from remapd.engine.timers import Timer, Timers


class NextLayer:
    """One layer's state for one person."""

    __slots__ = (
        "_stack",
        "_timers",
        "begun_by",
        "consumer",
        "device",
        "gave_up",
        "held",
        "layer",
        "locked",
        "on",
        "person",
        "timer",
        "used_while_held",
        "waiting",
    )

    def __init__(self, layer: int, person: int, stack: Stack, timers: Timers) -> None:
        self._stack = stack
        self._timers = timers
        self.layer = layer
        self.person = person
        self.timer = Timer(self._give_up)
        self.device = -1
        #: The button that began the wait.
        self.begun_by = -1
        self.held = 0
        self.on = False
        self.waiting = False
        self.locked = False
        self.used_while_held = False
        self.gave_up = False
        #: The press or whole stick that uses the layer now.
        self.consumer: int | None = None

    def press(self, device: int, button: int, give_up_us: int, us: int) -> None:
        """A control bound to this layer as `next` is pressed."""
        self.held += 1
        if self.locked:
            self.off(us)
            return
        if self.waiting and not self.gave_up:
            self.waiting = False
            self.locked = True
            self._timers.disarm(self.timer)
            return
        self.device = device
        self.begun_by = button
        self.waiting = True
        self.used_while_held = False
        self.gave_up = False
        self.consumer = None
        self._timers.arm(self.timer, us + give_up_us)
        if not self.on:
            self.on = True
            self._stack.add(self.layer, us)

    def release(self, us: int) -> None:
        """That control is let go."""
        self.held = max(0, self.held - 1)
        if self.on and not self.held and (self.used_while_held or self.gave_up):
            self.off(us)

    def use(self, consumer: int, found_in: int) -> None:
        """The person presses something else, or moves a whole stick.

        The button that began the wait uses it only by an action that this very layer gives it.
        """
        if not self.waiting or (consumer == self.begun_by and found_in != self.layer):
            return
        self._timers.disarm(self.timer)
        if self.held:
            self.used_while_held = True
        else:
            self.waiting = False
            self.consumer = consumer

    def consumer_released(self, consumer: int, us: int) -> None:
        """What used the layer is let go, or neutral again."""
        if self.on and self.consumer == consumer:
            self.off(us)

    def off(self, us: int) -> None:
        """Ends it in whatever state it is."""
        self._timers.disarm(self.timer)
        self.waiting = False
        self.locked = False
        self.used_while_held = False
        self.gave_up = False
        self.consumer = None
        if self.on:
            self.on = False
            self._stack.remove(self.layer, us)

    def _give_up(self, us: int) -> None:
        if self.held:
            self.gave_up = True
        else:
            self.off(us)


class NextLayers:
    """All of them."""

    __slots__ = ("_stack", "_states", "_timers")

    def __init__(self, stack: Stack, timers: Timers) -> None:
        self._stack = stack
        self._timers = timers
        self._states: dict[tuple[int, int], NextLayer] = {}

    def of(self, layer: int, person: int) -> NextLayer:
        """The state of a layer for a person."""
        state = self._states.get((layer, person))
        if state is None:
            state = NextLayer(layer, person, self._stack, self._timers)
            self._states[layer, person] = state
        return state

    def use(self, person: int, consumer: int, found_in: int = -1) -> None:
        """A press or a whole stick of this person uses up what waits.

        `found_in` is the layer in which the press found its action.
        """
        for state in self._states.values():
            if state.person == person:
                state.use(consumer, found_in)

    def consumer_released(self, consumer: int, us: int) -> None:
        """A press or a whole stick has ended."""
        for state in self._states.values():
            state.consumer_released(consumer, us)

    def end_waits_of(self, device: int, us: int) -> None:
        """The device is gone: a wait that it began ends."""
        for state in self._states.values():
            if state.waiting and state.device == device:
                state.off(us)

    def off(self, us: int) -> None:
        """Ends all of them."""
        for state in self._states.values():
            state.off(us)

    @property
    def locked(self) -> list[tuple[int, int]]:
        """Layer and person of those that stay on."""
        return [key for key, state in self._states.items() if state.locked]

    def lock(self, layer: int, person: int, us: int) -> None:
        """Puts one on to stay, as after two presses (a reload carries it over)."""
        state = self.of(layer, person)
        if not state.on:
            state.on = True
            self._stack.add(layer, us)
        state.locked = True
