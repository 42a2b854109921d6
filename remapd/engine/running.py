"""An action that has been pressed: what ends with its release, and what lasts by itself.

Each press makes an object of its own, so the action that got a press gets its release whatever
layers changed between. `release` is the control let go; `end` is an end from outside at once (a
device gone, a reload, a rest), after which nothing more may come of it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from remapd.engine.actions import (
    Action,
    HoldLayer,
    NextLayer,
    OnRelease,
    Press,
)
from remapd.engine.timers import Timer

if TYPE_CHECKING:
    from remapd.engine.performer import Performer


class Origin:
    """Who and what pressed: a person, the device and the button (numbers)."""

    __slots__ = ("button", "device", "name", "person")

    def __init__(self, person: int, device: int, button: int, name: str) -> None:
        self.person = person
        self.device = device
        self.button = button
        self.name = name


class Running:
    """An action under way. The base does nothing: `nothing`, and actions with no release."""

    __slots__ = ("origin", "performer")

    def __init__(self, performer: Performer, origin: Origin) -> None:
        self.performer = performer
        self.origin = origin

    def release(self, us: int) -> None:
        """The control is let go."""

    def end(self, us: int) -> None:
        """Ends at once; safe to call twice."""

    def pressed_targets(self) -> tuple[int, ...]:
        """The pad controls that it presses now."""
        return ()

    def panic(self, us: int) -> None:
        """`release: everything`, for what is registered as lasting."""
        self.end(us)


class PressRunning(Running):
    """Targets pressed as long as the control is."""

    __slots__ = ("_on", "_targets")

    def __init__(self, performer: Performer, origin: Origin, action: Press, us: int) -> None:
        super().__init__(performer, origin)
        self._targets = action.targets
        self._on = True
        performer.press(origin.person, self._targets, us)

    def pressed_targets(self) -> tuple[int, ...]:
        return self._targets if self._on else ()

    def release(self, us: int) -> None:
        if self._on:
            self._on = False
            self.performer.release(self.origin.person, self._targets, us)

    def end(self, us: int) -> None:
        self.release(us)


class HoldLayerRunning(Running):
    """A layer that is active while held."""

    __slots__ = ("_layer", "_on")

    def __init__(self, performer: Performer, origin: Origin, action: HoldLayer, us: int) -> None:
        super().__init__(performer, origin)
        self._layer = action.layer
        self._on = True
        performer.stack.add(self._layer, us)

    def release(self, us: int) -> None:
        if self._on:
            self._on = False
            self.performer.stack.remove(self._layer, us)

    def end(self, us: int) -> None:
        self.release(us)


class NextLayerRunning(Running):
    """The press of a `next` layer's control; the layer's own state is in `next_layers`."""

    __slots__ = ("_layer", "_on")

    def __init__(self, performer: Performer, origin: Origin, action: NextLayer, us: int) -> None:
        super().__init__(performer, origin)
        self._layer = action.layer
        self._on = True
        state = performer.next_layers.of(action.layer, origin.person)
        state.press(origin.device, origin.button, action.give_up_us, us)

    def release(self, us: int) -> None:
        if self._on:
            self._on = False
            self.performer.next_layers.of(self._layer, self.origin.person).release(us)

    def end(self, us: int) -> None:
        self.release(us)


class OnReleaseRunning(Running):
    """Taps its action when the control is let go; an end from outside taps nothing."""

    __slots__ = ("_action", "_on")

    def __init__(self, performer: Performer, origin: Origin, action: OnRelease) -> None:
        super().__init__(performer, origin)
        self._action = action.action
        self._on = True

    def release(self, us: int) -> None:
        if self._on:
            self._on = False
            self.performer.explain(us, self.origin.name, f"let go: {self._action.label}")
            self.performer.tap(self._action, self.origin, us)

    def end(self, us: int) -> None:
        self._on = False


class TapRunning(Running):
    """A press that the engine makes up: the action pressed for the layout's `tap`."""

    __slots__ = ("_inner", "_timer")

    def __init__(self, performer: Performer, origin: Origin, action: Action, us: int) -> None:
        super().__init__(performer, origin)
        performer.add_lasting(self)
        self._timer = Timer(self._over)
        performer.timers.arm(self._timer, us + performer.layout.tap_us)
        # An action that releases everything ends this tap before it is given back.
        self._inner = Running(performer, origin)
        self._inner = performer.perform(action, origin, us)

    def _over(self, us: int) -> None:
        self.performer.drop_lasting(self)
        self._inner.release(us)

    def pressed_targets(self) -> tuple[int, ...]:
        return self._inner.pressed_targets()

    def end(self, us: int) -> None:
        self.performer.timers.disarm(self._timer)
        self.performer.drop_lasting(self)
        self._inner.end(us)
