"""A button, from contact to press: chatter, slips, touches, double strikes and spasms.

Two small tables, each written out whole; a state and an event that cannot meet have a row that
says so, and their meeting is an error of this program.

**The contact** (stage 1, `debounce`) turns what the device says into what is taken of it. A
change is taken at once and begins a time T in which changes are ignored. Only where the control
is found changed within T is there anything to do at T's end, so only then is a timer set: a clean
press sets none.

**The press** (stages 2 to 5) turns what is taken into presses. A press begins when the control
goes down and ends when it has been up for `release-delay`; shorter gaps within it are bridged. It
is accepted when it has lasted for `acceptance-delay`. For both of these "off" means "over at
once", so they need no rows of their own: the cells for each combination are derived from the one
table. `longest` that is off never comes. `repeat-guard` is asked once, when a press begins, and
counts from the end of the last press that was accepted.

A timer that is due at a time fires before a change at that time. So: up for exactly
`release-delay` is released, held for exactly `acceptance-delay` is accepted, a press exactly
`repeat-guard` after the last is accepted, a change at the very end of `debounce` is taken.

What it means in pictures, which a test plays: one sign is 10 ms, `#` is down or pressed.

1.  nothing on: the press is the contact.
        control  ..####....##...
        press    ..####....##...

2.  debounce 50: both edges chatter; one press comes out, without delay.
        control  ..#.#.######.#.......
        press    ..##########.........

3.  debounce 40: a tap that is shorter than T lasts for T.
        control  ..#.........
        press    ..####......

4.  debounce 40: the control is up at T's end, so that is taken, and begins a new T, in which the
    next touch is ignored; but it is still down at the end of that.
        control  ..#....#####....
        press    ..####....####..

5.  debounce 30: a change at exactly T's end is taken.
        control  ..###...##....
        press    ..###...###...

6.  release-delay 30: gaps shorter than T are bridged, and the press ends T after the last of it.
        control  ..###..##.##........
        press    ..#############.....

7.  acceptance-delay 30: a shorter touch does nothing; a press comes T late, and ends with the
    control.
        control  ..##....######...
        press    ...........###...

8.  acceptance-delay 30, release-delay 30: T ends within a gap; the press counts when the gap is
    bridged.
        control  ..##..###......
        press    ......######...

9.  acceptance-delay 30, release-delay 30: and where the gap is not bridged, nothing happens.
        control  ..##...........
        press    ...............

10. repeat-guard 40: a press that begins too soon does nothing, however long it is held, and
    begins no new T: the one after it is late enough.
        control  ..##..#####.##...
        press    ..##........##...

11. repeat-guard 40: exactly T later is late enough.
        control  ..##....##...
        press    ..##....##...

12. release-delay 20, repeat-guard 30: the guard counts from where the release comes out of its
    delay.
        control  ..##...##...##...
        press    ..####......####.

13. longest 40: a press ends by itself; the control must be let go before it can press again.
        control  ..########..##...
        press    ..####......##...

14. longest 40, repeat-guard 30: the guard counts from the letting go, not from the end of the
    press.
        control  ..########.##...##..
        press    ..####..........##..
"""

from __future__ import annotations

from enum import IntEnum, IntFlag
from typing import Final, NamedTuple

from remapd.engine.settings import ButtonSettings


class ImpossibleTransitionError(RuntimeError):
    """A state met an event that cannot happen in it: a bug of remapd, whatever its input."""


# ---------------------------------------------------------------- stage 1: the contact


class Contact(IntEnum):
    """How the control stands to what was last taken of it."""

    AS_TAKEN = 0  # as it was taken; no timer
    CHANGED_WAITING = 1  # changed within T; the timer waits for T's end
    AS_TAKEN_WAITING = 2  # changed and changed back within T; the timer is still set


class ContactEvent(IntEnum):
    """What can happen to a contact."""

    CHANGE = 0  # when T is over
    EARLY_CHANGE = 1  # within T
    DEBOUNCE_DUE = 2  # the timer: T is over


class ContactAct(IntFlag):
    """What a contact does on the way to its next state."""

    NONE = 0
    TAKE = 1  # the state that the control is in now goes to the press; T begins
    SET_DEBOUNCE = 2  # the timer for T's end
    REFUSE = 4  # if it was a press: it came and went within T


class ContactRow(NamedTuple):
    """One cell of the contact's table; `next_state` None: impossible, and `why` says why."""

    state: Contact
    event: ContactEvent
    next_state: Contact | None
    acts: ContactAct
    why: str


_FIRES_FIRST: Final = "the timer at T's end fires before a change at that time"

CONTACT_TABLE: Final[tuple[ContactRow, ...]] = (
    ContactRow(
        Contact.AS_TAKEN,
        ContactEvent.CHANGE,
        Contact.AS_TAKEN,
        ContactAct.TAKE,
        "taken at once",
    ),
    ContactRow(
        Contact.AS_TAKEN,
        ContactEvent.EARLY_CHANGE,
        Contact.CHANGED_WAITING,
        ContactAct.SET_DEBOUNCE,
        "chatter, until T's end shows otherwise",
    ),
    ContactRow(
        Contact.AS_TAKEN,
        ContactEvent.DEBOUNCE_DUE,
        None,
        ContactAct.NONE,
        "no timer is set here",
    ),
    ContactRow(
        Contact.CHANGED_WAITING,
        ContactEvent.CHANGE,
        None,
        ContactAct.NONE,
        _FIRES_FIRST,
    ),
    ContactRow(
        Contact.CHANGED_WAITING,
        ContactEvent.EARLY_CHANGE,
        Contact.AS_TAKEN_WAITING,
        ContactAct.REFUSE,
        "it was chatter",
    ),
    ContactRow(
        Contact.CHANGED_WAITING,
        ContactEvent.DEBOUNCE_DUE,
        Contact.AS_TAKEN,
        ContactAct.TAKE,
        "it was a real change: taken now, and a new T begins",
    ),
    ContactRow(
        Contact.AS_TAKEN_WAITING,
        ContactEvent.CHANGE,
        None,
        ContactAct.NONE,
        _FIRES_FIRST,
    ),
    ContactRow(
        Contact.AS_TAKEN_WAITING,
        ContactEvent.EARLY_CHANGE,
        Contact.CHANGED_WAITING,
        ContactAct.NONE,
        "more chatter, until T's end shows otherwise",
    ),
    ContactRow(
        Contact.AS_TAKEN_WAITING,
        ContactEvent.DEBOUNCE_DUE,
        Contact.AS_TAKEN,
        ContactAct.NONE,
        "nothing has changed",
    ),
)


# ---------------------------------------------------------------- stages 2 to 5: the press


class State(IntEnum):
    """Where the press stands: how the control is, and what is waited for.

    A GAP is a release that `release-delay` still watches.
    """

    UP = 0  # up, and nothing is under way
    WAITING_ACCEPTANCE = 1  # down, not yet counted
    GAP_WAITING_ACCEPTANCE = 2  # up, acceptance-delay still runs
    GAP_ACCEPTANCE_OVER = 3  # up, acceptance-delay is over: counts if the gap is bridged
    PRESSED = 4  # down, accepted
    GAP_PRESSED = 5  # up, accepted, not yet released
    SPENT = 6  # down, was accepted, ended by `longest`
    GAP_SPENT = 7  # up, was accepted, ended by `longest`
    IGNORED = 8  # down, does nothing: refused by the guard, or held at the start
    GAP_IGNORED = 9  # up, the same


class Event(IntEnum):
    """What can happen to a press."""

    DOWN = 0
    DOWN_TOO_SOON = 1  # a press that would begin within repeat-guard
    UP = 2
    ACCEPTANCE_DUE = 3
    RELEASE_DUE = 4
    LONGEST_DUE = 5


class Act(IntFlag):
    """What a press does on the way to its next state, in this order."""

    NONE = 0
    SET_ACCEPTANCE = 1  # the timer of acceptance-delay
    SET_RELEASE = 2  # the timer of release-delay
    SET_LONGEST = 4  # the timer of longest, if it is on
    STOP_ACCEPTANCE = 8
    STOP_RELEASE = 16
    STOP_LONGEST = 32
    BEGIN_GUARD = 64  # an accepted press is over: repeat-guard counts from here
    PRESS = 128
    RELEASE = 256
    REFUSE_SHORT = 512  # shorter than acceptance-delay
    REFUSE_TOO_SOON = 1024  # within repeat-guard


class Row(NamedTuple):
    """One cell of the press's table; `next_state` None: impossible, and `why` says why."""

    state: State
    event: Event
    next_state: State | None
    acts: Act
    why: str


_IS_DOWN: Final = "it is down already"
_IS_UP: Final = "it is up already"
_NO_TIMER: Final = "that timer is not set here"
_GUARD_AT_START: Final = "the guard is asked only when a press begins"

PRESS_TABLE: Final[tuple[Row, ...]] = (
    # UP: nothing is under way.
    Row(State.UP, Event.DOWN, State.WAITING_ACCEPTANCE, Act.SET_ACCEPTANCE, "a press begins"),
    Row(State.UP, Event.DOWN_TOO_SOON, State.IGNORED, Act.REFUSE_TOO_SOON, "a double strike"),
    Row(State.UP, Event.UP, None, Act.NONE, _IS_UP),
    Row(State.UP, Event.ACCEPTANCE_DUE, None, Act.NONE, _NO_TIMER),
    Row(State.UP, Event.RELEASE_DUE, None, Act.NONE, _NO_TIMER),
    Row(State.UP, Event.LONGEST_DUE, None, Act.NONE, _NO_TIMER),
    # WAITING_ACCEPTANCE: held, not yet for long enough.
    Row(State.WAITING_ACCEPTANCE, Event.DOWN, None, Act.NONE, _IS_DOWN),
    Row(State.WAITING_ACCEPTANCE, Event.DOWN_TOO_SOON, None, Act.NONE, _IS_DOWN),
    Row(
        State.WAITING_ACCEPTANCE,
        Event.UP,
        State.GAP_WAITING_ACCEPTANCE,
        Act.SET_RELEASE,
        "a slip, or the end of a brushed-past touch",
    ),
    Row(
        State.WAITING_ACCEPTANCE,
        Event.ACCEPTANCE_DUE,
        State.PRESSED,
        Act.PRESS | Act.SET_LONGEST,
        "held for long enough",
    ),
    Row(State.WAITING_ACCEPTANCE, Event.RELEASE_DUE, None, Act.NONE, _NO_TIMER),
    Row(State.WAITING_ACCEPTANCE, Event.LONGEST_DUE, None, Act.NONE, _NO_TIMER),
    # GAP_WAITING_ACCEPTANCE: up before it was held for long enough.
    Row(
        State.GAP_WAITING_ACCEPTANCE,
        Event.DOWN,
        State.WAITING_ACCEPTANCE,
        Act.STOP_RELEASE,
        "the gap is bridged; acceptance-delay has gone on",
    ),
    Row(State.GAP_WAITING_ACCEPTANCE, Event.DOWN_TOO_SOON, None, Act.NONE, _GUARD_AT_START),
    Row(State.GAP_WAITING_ACCEPTANCE, Event.UP, None, Act.NONE, _IS_UP),
    Row(
        State.GAP_WAITING_ACCEPTANCE,
        Event.ACCEPTANCE_DUE,
        State.GAP_ACCEPTANCE_OVER,
        Act.NONE,
        "counts only if the gap is bridged",
    ),
    Row(
        State.GAP_WAITING_ACCEPTANCE,
        Event.RELEASE_DUE,
        State.UP,
        Act.STOP_ACCEPTANCE | Act.REFUSE_SHORT,
        "a brushed-past touch",
    ),
    Row(State.GAP_WAITING_ACCEPTANCE, Event.LONGEST_DUE, None, Act.NONE, _NO_TIMER),
    # GAP_ACCEPTANCE_OVER: acceptance-delay ended within the gap.
    Row(
        State.GAP_ACCEPTANCE_OVER,
        Event.DOWN,
        State.PRESSED,
        Act.STOP_RELEASE | Act.PRESS | Act.SET_LONGEST,
        "the gap is bridged, so the press counts",
    ),
    Row(State.GAP_ACCEPTANCE_OVER, Event.DOWN_TOO_SOON, None, Act.NONE, _GUARD_AT_START),
    Row(State.GAP_ACCEPTANCE_OVER, Event.UP, None, Act.NONE, _IS_UP),
    Row(State.GAP_ACCEPTANCE_OVER, Event.ACCEPTANCE_DUE, None, Act.NONE, _NO_TIMER),
    Row(
        State.GAP_ACCEPTANCE_OVER,
        Event.RELEASE_DUE,
        State.UP,
        Act.REFUSE_SHORT,
        "it was let go before acceptance-delay was over",
    ),
    Row(State.GAP_ACCEPTANCE_OVER, Event.LONGEST_DUE, None, Act.NONE, _NO_TIMER),
    # PRESSED: accepted and held.
    Row(State.PRESSED, Event.DOWN, None, Act.NONE, _IS_DOWN),
    Row(State.PRESSED, Event.DOWN_TOO_SOON, None, Act.NONE, _IS_DOWN),
    Row(State.PRESSED, Event.UP, State.GAP_PRESSED, Act.SET_RELEASE, "let go, or a slip"),
    Row(State.PRESSED, Event.ACCEPTANCE_DUE, None, Act.NONE, _NO_TIMER),
    Row(State.PRESSED, Event.RELEASE_DUE, None, Act.NONE, _NO_TIMER),
    Row(State.PRESSED, Event.LONGEST_DUE, State.SPENT, Act.RELEASE, "a spasm ends by itself"),
    # GAP_PRESSED: accepted, and up for less than release-delay.
    Row(State.GAP_PRESSED, Event.DOWN, State.PRESSED, Act.STOP_RELEASE, "the gap is bridged"),
    Row(State.GAP_PRESSED, Event.DOWN_TOO_SOON, None, Act.NONE, _GUARD_AT_START),
    Row(State.GAP_PRESSED, Event.UP, None, Act.NONE, _IS_UP),
    Row(State.GAP_PRESSED, Event.ACCEPTANCE_DUE, None, Act.NONE, _NO_TIMER),
    Row(
        State.GAP_PRESSED,
        Event.RELEASE_DUE,
        State.UP,
        Act.STOP_LONGEST | Act.BEGIN_GUARD | Act.RELEASE,
        "the press is over",
    ),
    Row(
        State.GAP_PRESSED,
        Event.LONGEST_DUE,
        State.GAP_SPENT,
        Act.RELEASE,
        "ends by itself while it slips",
    ),
    # SPENT: ended by `longest`, still held.
    Row(State.SPENT, Event.DOWN, None, Act.NONE, _IS_DOWN),
    Row(State.SPENT, Event.DOWN_TOO_SOON, None, Act.NONE, _IS_DOWN),
    Row(State.SPENT, Event.UP, State.GAP_SPENT, Act.SET_RELEASE, "let go, or a slip"),
    Row(State.SPENT, Event.ACCEPTANCE_DUE, None, Act.NONE, _NO_TIMER),
    Row(State.SPENT, Event.RELEASE_DUE, None, Act.NONE, _NO_TIMER),
    Row(State.SPENT, Event.LONGEST_DUE, None, Act.NONE, _NO_TIMER),
    # GAP_SPENT: ended by `longest`, and up for less than release-delay.
    Row(State.GAP_SPENT, Event.DOWN, State.SPENT, Act.STOP_RELEASE, "still the same press"),
    Row(State.GAP_SPENT, Event.DOWN_TOO_SOON, None, Act.NONE, _GUARD_AT_START),
    Row(State.GAP_SPENT, Event.UP, None, Act.NONE, _IS_UP),
    Row(State.GAP_SPENT, Event.ACCEPTANCE_DUE, None, Act.NONE, _NO_TIMER),
    Row(
        State.GAP_SPENT,
        Event.RELEASE_DUE,
        State.UP,
        Act.BEGIN_GUARD,
        "let go at last: the guard counts from here",
    ),
    Row(State.GAP_SPENT, Event.LONGEST_DUE, None, Act.NONE, _NO_TIMER),
    # IGNORED: held, and does nothing.
    Row(State.IGNORED, Event.DOWN, None, Act.NONE, _IS_DOWN),
    Row(State.IGNORED, Event.DOWN_TOO_SOON, None, Act.NONE, _IS_DOWN),
    Row(State.IGNORED, Event.UP, State.GAP_IGNORED, Act.SET_RELEASE, "let go, or a slip"),
    Row(State.IGNORED, Event.ACCEPTANCE_DUE, None, Act.NONE, _NO_TIMER),
    Row(State.IGNORED, Event.RELEASE_DUE, None, Act.NONE, _NO_TIMER),
    Row(State.IGNORED, Event.LONGEST_DUE, None, Act.NONE, _NO_TIMER),
    # GAP_IGNORED: the same, and up for less than release-delay.
    Row(State.GAP_IGNORED, Event.DOWN, State.IGNORED, Act.STOP_RELEASE, "still the same press"),
    Row(State.GAP_IGNORED, Event.DOWN_TOO_SOON, None, Act.NONE, _GUARD_AT_START),
    Row(State.GAP_IGNORED, Event.UP, None, Act.NONE, _IS_UP),
    Row(State.GAP_IGNORED, Event.ACCEPTANCE_DUE, None, Act.NONE, _NO_TIMER),
    Row(
        State.GAP_IGNORED,
        Event.RELEASE_DUE,
        State.UP,
        Act.NONE,
        "over; it was not accepted, so it begins no guard",
    ),
    Row(State.GAP_IGNORED, Event.LONGEST_DUE, None, Act.NONE, _NO_TIMER),
)


# ---------------------------------------------------------------- the tables as numbers
# A cell is one integer: the acts above the next state, which takes the low four bits.

STATE_BITS: Final = 4
STATE_MASK: Final = 15
IMPOSSIBLE: Final = -1
EVENTS: Final = len(Event)
CONTACT_EVENTS: Final = len(ContactEvent)


def _cells_of(rows: tuple[ContactRow, ...] | tuple[Row, ...], events: int) -> list[int]:
    cells = [IMPOSSIBLE] * len(rows)
    for state, event, next_state, acts, _ in rows:
        if next_state is not None:
            cells[int(state) * events + int(event)] = int(next_state) | int(acts) << STATE_BITS
    return cells


def _with_stage_off(cells: list[int], set_timer: Act, due: Event) -> list[int]:
    """The cells for a stage that is off: what its timer did is done where the timer was set."""
    shortened = list(cells)
    for index, cell in enumerate(cells):
        acts = cell >> STATE_BITS
        if cell != IMPOSSIBLE and acts & set_timer:
            at_once = cells[(cell & STATE_MASK) * EVENTS + due]
            acts = acts & ~set_timer | at_once >> STATE_BITS
            shortened[index] = at_once & STATE_MASK | acts << STATE_BITS
    return shortened


CONTACT_CELLS: Final = _cells_of(CONTACT_TABLE, CONTACT_EVENTS)
_BOTH_ON: Final = _cells_of(PRESS_TABLE, EVENTS)
_ACCEPTANCE_OFF: Final = _with_stage_off(_BOTH_ON, Act.SET_ACCEPTANCE, Event.ACCEPTANCE_DUE)
_RELEASE_OFF: Final = _with_stage_off(_BOTH_ON, Act.SET_RELEASE, Event.RELEASE_DUE)
_BOTH_OFF: Final = _with_stage_off(_ACCEPTANCE_OFF, Act.SET_RELEASE, Event.RELEASE_DUE)


def cells_for(settings: ButtonSettings) -> list[int]:
    """The press's table for these settings, as the machine reads it: one integer for each cell."""
    if settings.acceptance_delay_us:
        return _BOTH_ON if settings.release_delay_us else _RELEASE_OFF
    return _ACCEPTANCE_OFF if settings.release_delay_us else _BOTH_OFF
