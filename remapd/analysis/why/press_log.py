"""An engine that writes down what became of every press that it was given."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from remapd.engine import Engine, Layout
from remapd.engine.actions import Action, OnceTwice, SendLever, SendStick, ShortLong
from remapd.engine.buttons import Refusal
from remapd.engine.choosing import OnceTwiceWaiting


class Fate(Enum):
    """What a press came to."""

    IGNORED = "ignored"  #: by the control's own conditioning
    RESTING = "resting"  #: everything rests
    LISTED = "listed"  #: a list that offers its items took it
    CHORD = "chord"
    ACTION = "action"  #: the action that its layer gives it
    NO_ACTION = "no action"  #: no layer that was on gives it one


@dataclass(slots=True, eq=False)
class Press:
    """One press of a button, a direction or an end; times are microseconds.

    Attributes:
        layout: The layout that was in force.
        button: Its number in that layout.
        begun_us: When it began, as the stages before acceptance-delay leave it.
        accepted_us: When it counted; None: it never did.
        released_us: When it was over; None: it was not by the end of the recording.
        refusal: Why it was ignored, with how long it was held (or how soon it came) and the limit.
        action: What it was given.
        layer: Where that was found.
        offered: What the list offered that took it; empty where it only went on.
        is_second: Whether it was the second of two.
        waited: Whether it waited for a chord's partner.
        partner: The other member of the chord that it made.
    """

    layout: Layout
    button: int
    begun_us: int
    accepted_us: int | None = None
    released_us: int | None = None
    fate: Fate = Fate.ACTION
    refusal: Refusal | None = None
    held_us: int = 0
    limit_us: int = 0
    action: Action | None = None
    layer: int = 0
    layers: tuple[int, ...] = ()
    offered: str = ""
    is_second: bool = False
    waited: bool = False
    tapped: bool = False
    partner: int | None = None

    @property
    def name(self) -> str:
        """The button as the layout writes it."""
        return self.layout.buttons[self.button].name

    @property
    def control_name(self) -> str:
        """Its control."""
        return self.layout.controls[self.layout.buttons[self.button].control].name

    @property
    def person(self) -> int:
        """Whose it is."""
        control = self.layout.controls[self.layout.buttons[self.button].control]
        return self.layout.devices[control.device].person

    @property
    def us(self) -> int:
        """When it is told of: when it counted, or when it was ignored."""
        return self.begun_us if self.accepted_us is None else self.accepted_us

    @property
    def action_held_us(self) -> int | None:
        """How long the action was held; None while it still is."""
        if self.accepted_us is None or self.released_us is None:
            return None
        waited_us = self.layout.chord_window_us if self.waited and not self.tapped else 0
        return max(0, self.released_us - self.accepted_us - waited_us)

    @property
    def is_long(self) -> bool:
        """Whether a short-or-long action was pressed long."""
        if not isinstance(self.action, ShortLong) or self.tapped:
            return False
        held_us = self.action_held_us
        return held_us is None or held_us >= self.action.after_us


class PressLog(Engine):
    """An engine whose presses are written down in `presses`, in the order in which they were told.

    `overruled` are the times at which a helper's part did not count, with the pad control.
    """

    def __init__(self, layout: Layout) -> None:
        self.presses: list[Press] = []
        self._open: dict[int, Press] = {}
        super().__init__(layout)

    # ------------------------------------------------------------------ what the inputs tell

    def button_pressed(self, number: int, us: int) -> None:
        """A press is accepted (ButtonListener)."""
        accepted_after_us = self._machines[number].settings.acceptance_delay_us
        press = Press(self.layout, number, us - accepted_after_us, us)
        scan = next((s for s in self._performer.scans.values() if s.wants(number)), None)
        table = self._performer.stack.table
        action = table.actions[number]
        press.layers = tuple(self._performer.stack.active)
        if self._rest_button is not None:
            press.fate = Fate.RESTING
        elif scan is not None:
            press.fate = Fate.LISTED
            item = scan.takes(number)
            press.offered = "" if item is None else scan.announced
            press.action = item
        elif action is None:
            press.fate = Fate.NO_ACTION
            whole = table.wholes[self.layout.buttons[number].control]
            if isinstance(whole, SendStick | SendLever):
                # To its player this is no press: the whole stick moves.
                super().button_pressed(number, us)
                return
        else:
            press.action = action
            press.layer = table.layer_of[number]
            waiting = self._performer.nodes.get(id(action))
            press.is_second = isinstance(action, OnceTwice) and isinstance(
                waiting, OnceTwiceWaiting
            )
        self.presses.append(press)
        self._open[number] = press
        super().button_pressed(number, us)
        if press.fate in {Fate.ACTION, Fate.NO_ACTION}:
            self._look_for_chord(press)

    def _look_for_chord(self, press: Press) -> None:
        """Whether the press waits for a partner now, or has made a chord."""
        held = self._performer.held.get(press.button)
        if held is None:
            press.waited = press.button in self._presses._waiting
            return
        for number, running in self._performer.held.items():
            if running is held and number != press.button and number in self._open:
                partner = self._open[number]
                for one, other in ((press, partner), (partner, press)):
                    one.fate = Fate.CHORD
                    one.partner = other.button
                chord = self._chord_of(press.button, number)
                for each in (press, partner):
                    each.action = chord

    def _chord_of(self, one: int, other: int) -> Action | None:
        for chord in self._performer.stack.table.chords.get(one, ()):
            if other in (chord.first, chord.second):
                return chord.action
        return None

    def button_released(self, number: int, us: int) -> None:
        """An accepted press is over (ButtonListener)."""
        press = self._open.pop(number, None)
        if press is not None:
            press.released_us = us
            press.tapped = press.waited and number in self._presses._waiting
        super().button_released(number, us)

    def button_refused(
        self, number: int, us: int, reason: Refusal, held_us: int, limit_us: int
    ) -> None:
        """A press did nothing (ButtonListener)."""
        begun_us = us if reason is Refusal.REPEAT_GUARD else us - held_us
        if reason is Refusal.ACCEPTANCE_DELAY:
            begun_us -= self._machines[number].settings.release_delay_us
        self.presses.append(
            Press(
                self.layout,
                number,
                begun_us,
                fate=Fate.IGNORED,
                refusal=reason,
                held_us=held_us,
                limit_us=limit_us,
                released_us=us,
            )
        )
        super().button_refused(number, us, reason, held_us, limit_us)
