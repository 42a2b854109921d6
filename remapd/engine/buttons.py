"""The machine that runs `button_table` for one button, on the engine's timers.

The pictures of what a button does, and why, stand at the head of `button_table`.
"""

from __future__ import annotations

from enum import Enum
from typing import Final, Protocol

from remapd.engine.button_table import (
    CONTACT_CELLS,
    CONTACT_EVENTS,
    EVENTS,
    IMPOSSIBLE,
    STATE_BITS,
    STATE_MASK,
    Act,
    Contact,
    ContactAct,
    ContactEvent,
    Event,
    ImpossibleTransitionError,
    State,
    cells_for,
)
from remapd.engine.settings import ButtonSettings
from remapd.engine.timers import Timer, Timers


class Refusal(Enum):
    """Why a press did nothing."""

    DEBOUNCE = "debounce"
    ACCEPTANCE_DELAY = "acceptance-delay"
    REPEAT_GUARD = "repeat-guard"


class ButtonListener(Protocol):
    """Whoever acts on the presses of a button; `us` is the time at which each happened."""

    def button_pressed(self, number: int, us: int) -> None:
        """A press is accepted."""

    def button_released(self, number: int, us: int) -> None:
        """The accepted press is over."""

    def button_refused(
        self, number: int, us: int, reason: Refusal, held_us: int, limit_us: int
    ) -> None:
        """A press did nothing.

        For ACCEPTANCE_DELAY, `held_us` is how long it was held, up to its last letting go, and
        `limit_us` the delay; told when the press is over. For REPEAT_GUARD, `held_us` is how long
        after the last accepted press it came, and `limit_us` the guard; told when it begins. For
        DEBOUNCE, `held_us` is how long the contact was closed, all of it within `limit_us` after a
        release; told when it opens again. Chatter gives many of these: for a trace, not a notice.
        """


# The numbers of the hot path, as plain integers; acts stand above the state in a cell.
_UP: Final = State.UP.value
_IGNORED: Final = State.IGNORED.value
_AS_TAKEN: Final = Contact.AS_TAKEN.value
_CHANGE: Final = ContactEvent.CHANGE.value
_EARLY_CHANGE: Final = ContactEvent.EARLY_CHANGE.value
_DEBOUNCE_DUE: Final = ContactEvent.DEBOUNCE_DUE.value
_TAKE: Final = ContactAct.TAKE.value << STATE_BITS
_REFUSE_EARLY: Final = ContactAct.REFUSE.value << STATE_BITS
_SET_DEBOUNCE: Final = ContactAct.SET_DEBOUNCE.value << STATE_BITS
_DOWN: Final = Event.DOWN.value
_DOWN_TOO_SOON: Final = Event.DOWN_TOO_SOON.value
_LET_GO: Final = Event.UP.value
_ACCEPTANCE_DUE: Final = Event.ACCEPTANCE_DUE.value
_RELEASE_DUE: Final = Event.RELEASE_DUE.value
_LONGEST_DUE: Final = Event.LONGEST_DUE.value
_SET_ACCEPTANCE: Final = Act.SET_ACCEPTANCE.value << STATE_BITS
_SET_RELEASE: Final = Act.SET_RELEASE.value << STATE_BITS
_SET_LONGEST: Final = Act.SET_LONGEST.value << STATE_BITS
_STOP_ACCEPTANCE: Final = Act.STOP_ACCEPTANCE.value << STATE_BITS
_STOP_RELEASE: Final = Act.STOP_RELEASE.value << STATE_BITS
_STOP_LONGEST: Final = Act.STOP_LONGEST.value << STATE_BITS
_SET_OR_STOP: Final = (
    _SET_ACCEPTANCE | _SET_RELEASE | _SET_LONGEST | _STOP_ACCEPTANCE | _STOP_RELEASE | _STOP_LONGEST
)
_BEGIN_GUARD: Final = Act.BEGIN_GUARD.value << STATE_BITS
_PRESS: Final = Act.PRESS.value << STATE_BITS
_RELEASE: Final = Act.RELEASE.value << STATE_BITS
_REFUSE_SHORT: Final = Act.REFUSE_SHORT.value << STATE_BITS
_REFUSE_TOO_SOON: Final = Act.REFUSE_TOO_SOON.value << STATE_BITS
_REFUSE: Final = _REFUSE_SHORT | _REFUSE_TOO_SOON

_LONG_AGO_US: Final = -(1 << 62)


class ButtonMachine:
    """Stages 1 to 5 of one button.

    `down` is the control as last told; `pressed` says that a press is accepted and not yet over.
    The listener is called last in each step, so it may set `settings`, or call `start` or `drop`.
    """

    __slots__ = (
        "_acceptance_timer",
        "_begun",
        "_begun_cells",
        "_begun_us",
        "_cells",
        "_contact",
        "_debounce_order",
        "_debounce_timer",
        "_early_us",
        "_guard_from_us",
        "_listener",
        "_longest_timer",
        "_quiet_from_us",
        "_release_timer",
        "_settings",
        "_state",
        "_timers",
        "_up_us",
        "down",
        "number",
        "pressed",
    )

    def __init__(
        self, number: int, settings: ButtonSettings, timers: Timers, listener: ButtonListener
    ) -> None:
        self.number = number
        self.down = False
        self.pressed = False
        self._timers = timers
        self._listener = listener
        self._settings = settings
        self._cells: list[int] = cells_for(settings)
        # What the press under way began with, and so keeps.
        self._begun = settings
        self._begun_cells: list[int] = self._cells
        self._begun_us = 0
        self._state: int = _UP
        self._up_us = 0
        self._guard_from_us = _LONG_AGO_US
        self._contact: int = _AS_TAKEN
        self._quiet_from_us = _LONG_AGO_US
        self._early_us = 0
        self._debounce_order = 0
        self._debounce_timer = Timer(self._debounce_due)
        self._acceptance_timer = Timer(self._acceptance_due)
        self._release_timer = Timer(self._release_due)
        self._longest_timer = Timer(self._longest_due)

    @property
    def settings(self) -> ButtonSettings:
        """What counts for the next press; one that is under way keeps what it began with."""
        return self._settings

    @settings.setter
    def settings(self, settings: ButtonSettings) -> None:
        self._settings = settings
        self._cells = cells_for(settings)

    @property
    def state(self) -> State:
        """Where the press stands."""
        return State(self._state)

    @property
    def contact(self) -> Contact:
        """How the control stands to what was last taken of it."""
        return Contact(self._contact)

    def change(self, down: bool, us: int) -> None:
        """The control is down, or up, from `us` on; to be told again what it is does nothing.

        Timers that are due by `us` must have fired.
        """
        if down == self.down:
            return
        self.down = down
        if us < self._quiet_from_us:
            self._contact_step(_EARLY_CHANGE, us)
        else:
            self._contact_step(_CHANGE, us)

    def start(self, down: bool, us: int) -> None:
        """Plug-in, reload, the end of a rest: a control that is down acts only after a fresh press.

        Timers are off and what was under way is forgotten, the guard too; the listener is told
        nothing.
        """
        self._stop_timers()
        self.down = down
        self.pressed = False
        self._begun = self._settings
        self._begun_cells = self._cells
        self._begun_us = us
        self._state = _IGNORED if down else _UP
        self._guard_from_us = _LONG_AGO_US
        self._contact = _AS_TAKEN
        self._quiet_from_us = _LONG_AGO_US

    def drop(self) -> None:
        """The device is gone: as a start with the control up."""
        self.start(False, 0)

    def _stop_timers(self) -> None:
        timers = self._timers
        timers.disarm(self._debounce_timer)
        timers.disarm(self._acceptance_timer)
        timers.disarm(self._release_timer)
        timers.disarm(self._longest_timer)

    # ------------------------------------------------------------ the contact

    def _debounce_due(self, us: int) -> None:
        self._contact_step(_DEBOUNCE_DUE, us)

    def _contact_step(self, event: int, us: int) -> None:
        cell = CONTACT_CELLS[self._contact * CONTACT_EVENTS + event]
        if cell == IMPOSSIBLE:
            raise ImpossibleTransitionError(
                f"button {self.number}, {us} us: {self.contact.name} met {ContactEvent(event).name}"
            )
        self._contact = cell & STATE_MASK
        if cell & _TAKE:
            self._take(us)
        elif event == _EARLY_CHANGE:
            self._note_early_change(cell, us)

    def _take(self, us: int) -> None:
        press_event = _LET_GO
        begun = self._begun
        if self.down:
            press_event = _DOWN
            if self._state == _UP:
                begun = self._begun = self._settings
                self._begun_cells = self._cells
                self._begun_us = us
                guard_us = begun.repeat_guard_us
                if guard_us and us - self._guard_from_us < guard_us:
                    press_event = _DOWN_TOO_SOON
        else:
            self._up_us = us
        if begun.debounce_us:
            # T begins now, and so has its place among the timers, though it may never need one.
            self._quiet_from_us = us + begun.debounce_us
            self._debounce_order = self._timers.reserve()
        self._press_step(press_event, us)

    def _note_early_change(self, cell: int, us: int) -> None:
        if cell & _SET_DEBOUNCE:
            self._timers.arm_reserved(
                self._debounce_timer, self._quiet_from_us, self._debounce_order
            )
        if self.down:
            self._early_us = us
        elif cell & _REFUSE_EARLY:
            self._listener.button_refused(
                self.number, us, Refusal.DEBOUNCE, us - self._early_us, self._begun.debounce_us
            )

    # ------------------------------------------------------------ the press

    def _acceptance_due(self, us: int) -> None:
        self._press_step(_ACCEPTANCE_DUE, us)

    def _release_due(self, us: int) -> None:
        self._press_step(_RELEASE_DUE, us)

    def _longest_due(self, us: int) -> None:
        self._press_step(_LONGEST_DUE, us)

    def _press_step(self, event: int, us: int) -> None:
        cell = self._begun_cells[self._state * EVENTS + event]
        if cell == IMPOSSIBLE:
            raise ImpossibleTransitionError(
                f"button {self.number}, {us} us: {self.state.name} met {Event(event).name}"
            )
        self._state = cell & STATE_MASK
        if cell & _SET_OR_STOP:
            self._set_timers(cell, us)
        if cell & _BEGIN_GUARD:
            self._guard_from_us = us
        if cell & _PRESS:
            self.pressed = True
            self._listener.button_pressed(self.number, us)
        elif cell & _RELEASE:
            self.pressed = False
            self._listener.button_released(self.number, us)
        elif cell & _REFUSE:
            self._refuse(cell, us)

    def _set_timers(self, cell: int, us: int) -> None:
        timers = self._timers
        begun = self._begun
        if cell & _SET_ACCEPTANCE:
            timers.arm(self._acceptance_timer, us + begun.acceptance_delay_us)
        elif cell & _STOP_ACCEPTANCE:
            timers.disarm(self._acceptance_timer)
        if cell & _SET_RELEASE:
            timers.arm(self._release_timer, us + begun.release_delay_us)
        elif cell & _STOP_RELEASE:
            timers.disarm(self._release_timer)
        if cell & _SET_LONGEST:
            if begun.longest_us:
                timers.arm(self._longest_timer, us + begun.longest_us)
        elif cell & _STOP_LONGEST:
            timers.disarm(self._longest_timer)

    def _refuse(self, cell: int, us: int) -> None:
        begun = self._begun
        if cell & _REFUSE_SHORT:
            reason, held_us, limit_us = (
                Refusal.ACCEPTANCE_DELAY,
                self._up_us - self._begun_us,
                begun.acceptance_delay_us,
            )
        else:
            reason, held_us, limit_us = (
                Refusal.REPEAT_GUARD,
                us - self._guard_from_us,
                begun.repeat_guard_us,
            )
        self._listener.button_refused(self.number, us, reason, held_us, limit_us)
