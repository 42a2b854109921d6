"""Who takes the values of one event code: the last step of a raw event, the first of a meaning."""

from __future__ import annotations

from remapd.engine.buttons import ButtonMachine
from remapd.engine.layout import ButtonControl

EV_KEY = 1
EV_REL = 2
EV_ABS = 3
#: No value that the kernel sends: nothing has come yet.
UNKNOWN = 1 << 40
AUTOREPEAT = 2


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

    def known(self) -> int:
        """The last value that has come, or UNKNOWN."""
        return self.last


class FanOut(Handler):
    """One code that several controls read."""

    __slots__ = ("_handlers",)

    def __init__(self, first: Handler, second: Handler) -> None:
        super().__init__()
        self._handlers = [first, second]

    def event(self, value: int, us: int) -> None:
        for handler in self._handlers:
            handler.event(value, us)


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
