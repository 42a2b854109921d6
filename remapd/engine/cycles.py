"""Layers that take turns: each press puts the next one on in place of the one before."""

from __future__ import annotations

from remapd.engine.actions import Cycle
from remapd.engine.stack import Stack
from remapd.engine.timers import Timer, Timers


class CycleState:
    """Where one list of layers stands. The base (0) stands for no layer; so does the start.

    All cycles of the same list share one state, so the list can be bound in several layers.
    """

    __slots__ = ("_stack", "_timers", "layers", "position", "timer")

    def __init__(self, layers: tuple[int, ...], stack: Stack, timers: Timers) -> None:
        self._stack = stack
        self._timers = timers
        self.layers = layers
        #: -1: before the first press of a list without the base.
        self.position = self.start
        self.timer = Timer(self._back)

    @property
    def start(self) -> int:
        """Where it stands while none of its layers is on: at the base, or before the first."""
        return self.layers.index(0) if 0 in self.layers else -1

    def step(self, back_after_us: int, us: int) -> None:
        """The next one's turn."""
        self.stay((self.position + 1) % len(self.layers), back_after_us, us)

    def stay(self, position: int, back_after_us: int, us: int) -> None:
        """Puts the layer at a position on, for as long as it stays."""
        self.go_to(position, us)
        if back_after_us and position:
            self._timers.arm(self.timer, us + back_after_us)
        else:
            self._timers.disarm(self.timer)

    def go_to(self, position: int, us: int) -> None:
        """Puts the layer at a position on in place of the one before; -1 puts none on."""
        before = self.layers[self.position] if self.position >= 0 else 0
        after = self.layers[position] if position >= 0 else 0
        self.position = position
        # The new one first: a layer that stays on is not seen to go.
        if after:
            self._stack.add(after, us)
        if before:
            self._stack.remove(before, us)

    def off(self, us: int) -> None:
        """None of its layers is on any more."""
        self._timers.disarm(self.timer)
        self.go_to(self.start, us)

    def _back(self, us: int) -> None:
        self.go_to(0, us)


class Cycles:
    """All of them, by their list of layers."""

    __slots__ = ("_stack", "_timers", "states")

    def __init__(self, stack: Stack, timers: Timers) -> None:
        self._stack = stack
        self._timers = timers
        self.states: dict[tuple[int, ...], CycleState] = {}

    def of(self, layers: tuple[int, ...]) -> CycleState:
        """The state of a list of layers."""
        state = self.states.get(layers)
        if state is None:
            state = self.states[layers] = CycleState(layers, self._stack, self._timers)
        return state

    def press(self, action: Cycle, us: int) -> None:
        """A press of any control with this cycle."""
        self.of(action.layers).step(action.back_after_us, us)

    def off(self, us: int) -> None:
        """Ends all of them."""
        for state in self.states.values():
            state.off(us)
