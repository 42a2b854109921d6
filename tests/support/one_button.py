"""One button machine on virtual time, and what it told its listener."""

from __future__ import annotations

from dataclasses import dataclass

from remapd.engine.buttons import ButtonMachine, Refusal
from remapd.engine.settings import ButtonSettings
from remapd.engine.timers import Timers


@dataclass(frozen=True)
class Refused:
    """A press that did nothing, as it was told."""

    us: int
    reason: Refusal
    held_us: int
    limit_us: int


class OneButton:
    """Plays changes of a control; `told` has (us, pressed) for each press and release."""

    def __init__(self, settings: ButtonSettings) -> None:
        self.timers = Timers()
        self.told: list[tuple[int, bool]] = []
        self.refused: list[Refused] = []
        self.machine = ButtonMachine(7, settings, self.timers, self)

    def button_pressed(self, number: int, us: int) -> None:
        assert number == 7
        self.told.append((us, True))

    def button_released(self, number: int, us: int) -> None:
        assert number == 7
        self.told.append((us, False))

    def button_refused(
        self, number: int, us: int, reason: Refusal, held_us: int, limit_us: int
    ) -> None:
        assert number == 7
        self.refused.append(Refused(us, reason, held_us, limit_us))

    def advance(self, us: int) -> None:
        """Fires what is due by then, each at its own time."""
        while timer := self.timers.pop_due(us):
            timer.fire(timer.due_us)

    def down(self, us: int) -> None:
        self.advance(us)
        self.machine.change(True, us)

    def up(self, us: int) -> None:
        self.advance(us)
        self.machine.change(False, us)

    def hold(self, from_us: int, to_us: int) -> None:
        self.down(from_us)
        self.up(to_us)

    def play(self, changes_us: list[int], until_us: int) -> None:
        """The control changes at each of these times, down first."""
        for index, us in enumerate(changes_us):
            self.advance(us)
            self.machine.change(index % 2 == 0, us)
        self.advance(until_us)


def one_button(
    *,
    debounce_us: int = 0,
    release_delay_us: int = 0,
    acceptance_delay_us: int = 0,
    repeat_guard_us: int = 0,
    longest_us: int = 0,
) -> OneButton:
    """A button with these stages and no others."""
    return OneButton(
        ButtonSettings(
            debounce_us=debounce_us,
            release_delay_us=release_delay_us,
            acceptance_delay_us=acceptance_delay_us,
            repeat_guard_us=repeat_guard_us,
            longest_us=longest_us,
        )
    )
