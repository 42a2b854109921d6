"""Actions that change how other controls count: lead and tuning, held or toggled."""

from __future__ import annotations

from typing import TYPE_CHECKING

from remapd.engine.actions import Lead, UseTuning
from remapd.engine.notices import NoticeKind
from remapd.engine.pad_controls import PERSON_NAMES
from remapd.engine.running import Origin, Running

if TYPE_CHECKING:
    from remapd.engine.performer import Performer


class LeadRunning(Running):
    """One person leads some pad controls as long as the control is held."""

    __slots__ = ("_lead", "_on")

    def __init__(self, performer: Performer, origin: Origin, action: Lead, us: int) -> None:
        super().__init__(performer, origin)
        self._lead = action
        self._on = True
        performer.add_lead(action, us)

    def release(self, us: int) -> None:
        if self._on:
            self._on = False
            self.performer.drop_lead(self._lead, us)

    def end(self, us: int) -> None:
        self.release(us)


class TuningRunning(Running):
    """A tuning in force as long as the control is held."""

    __slots__ = ("_on", "_tuning")

    def __init__(self, performer: Performer, origin: Origin, action: UseTuning, us: int) -> None:
        super().__init__(performer, origin)
        self._tuning = action.tuning
        self._on = True
        performer.add_tuning(self._tuning, us)

    def release(self, us: int) -> None:
        if self._on:
            self._on = False
            self.performer.drop_tuning(self._tuning, us)

    def end(self, us: int) -> None:
        self.release(us)


def toggle_lead(performer: Performer, origin: Origin, action: Lead, us: int) -> None:
    """Puts the lead on, or off if it was toggled on (by whichever control)."""
    key = (action.person, action.slots)
    toggled = performer.toggled_leads.pop(key, None)
    if toggled is None:
        performer.toggled_leads[key] = action
        performer.add_lead(action, us)
        performer.notice(us, NoticeKind.LEAD_ON, PERSON_NAMES[action.person], origin.person)
    else:
        performer.drop_lead(toggled, us)
        performer.notice(us, NoticeKind.LEAD_OFF, PERSON_NAMES[action.person], origin.person)


def toggle_tuning(performer: Performer, action: UseTuning, us: int) -> None:
    """Puts the tuning in force, or out of it if it was toggled on (by whichever control)."""
    if action.tuning in performer.toggled_tunings:
        performer.toggled_tunings.discard(action.tuning)
        performer.drop_tuning(action.tuning, us)
    else:
        performer.toggled_tunings.add(action.tuning)
        performer.add_tuning(action.tuning, us)
