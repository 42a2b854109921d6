"""The tables of a button: whole, played as drawn, each cell visited, and shown on a page."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from remapd.engine import button_table
from remapd.engine.button_table import (
    CONTACT_TABLE,
    PRESS_TABLE,
    Act,
    Contact,
    ContactAct,
    ContactEvent,
    ContactRow,
    Event,
    ImpossibleTransitionError,
    Row,
    State,
)
from remapd.engine.buttons import Refusal
from remapd.engine.settings import ButtonSettings
from tests.generate_button_table import generate
from tests.support.one_button import OneButton, one_button

PAGE = Path(__file__).parents[3] / "docs" / "button-table.md"
STEP_US = 10_000


def all_on() -> OneButton:
    """Every stage of the press on, no debounce: the contact is then as it is taken."""
    return one_button(
        release_delay_us=20_000,
        acceptance_delay_us=30_000,
        repeat_guard_us=50_000,
        longest_us=40_000,
    )


# ---------------------------------------------------------------- whole


def test_each_pair_of_state_and_event_has_one_row_in_order() -> None:
    assert [(row.state, row.event) for row in PRESS_TABLE] == [
        (state, event) for state in State for event in Event
    ]
    assert [(row.state, row.event) for row in CONTACT_TABLE] == [
        (state, event) for state in Contact for event in ContactEvent
    ]


def test_each_row_says_why_and_an_impossible_one_does_nothing() -> None:
    rows: list[Row | ContactRow] = [*PRESS_TABLE, *CONTACT_TABLE]
    for row in rows:
        assert row.why
        assert row.next_state is not None or not row.acts


def test_a_press_is_told_at_most_one_thing_in_a_step() -> None:
    """So the listener is called once, last, and may do to the machine what it likes."""
    told = Act.PRESS | Act.RELEASE | Act.REFUSE_SHORT | Act.REFUSE_TOO_SOON
    for row in PRESS_TABLE:
        assert (row.acts & told).bit_count() <= 1


# ---------------------------------------------------------------- the pictures


def drawn_cases() -> list[tuple[str, ButtonSettings, str, str]]:
    cases = re.findall(
        r"^(\d+)\. +(.*?)^ +control +(\S+)\n +press +(\S+)$",
        button_table.__doc__ or "",
        re.DOTALL | re.MULTILINE,
    )
    return [
        (
            number,
            ButtonSettings(
                **{
                    "debounce_us": 0,
                    **{
                        name.replace("-", "_") + "_us": int(ms) * 1000
                        for name, ms in re.findall(r"([a-z-]+) (\d+)[,:]", text)
                    },
                }
            ),
            control,
            press,
        )
        for number, text, control, press in cases
    ]


def test_every_picture_is_found() -> None:
    numbers = re.findall(r"^(\d+)\. ", button_table.__doc__ or "", re.MULTILINE)
    assert [number for number, *_ in drawn_cases()] == numbers
    assert len(numbers) >= 14


@pytest.mark.parametrize("case", drawn_cases(), ids=lambda case: f"picture {case[0]}")
def test_pictures_show_what_happens(case: tuple[str, ButtonSettings, str, str]) -> None:
    _, settings, control, press = case
    button = OneButton(settings)
    shown = ""
    for index, sign in enumerate(control):
        button.advance(index * STEP_US)
        button.machine.change(sign == "#", index * STEP_US)
        shown += "#" if button.machine.pressed else "."

    assert shown == press


# ---------------------------------------------------------------- each cell


def waiting(button: OneButton) -> None:
    button.down(0)


def pressed(button: OneButton) -> None:
    button.down(0)
    button.advance(30_000)


def spent(button: OneButton) -> None:
    button.down(0)
    button.advance(70_000)


def refused(button: OneButton) -> None:
    button.hold(0, 40_000)  # accepted at 30 ms, over at 60 ms: the guard is over at 110 ms
    button.down(100_000)


#: For each possible cell: how to come to its state, and the event. Released within 20 ms.
WAYS: dict[
    tuple[State, Event], tuple[Callable[[OneButton], None] | None, list[tuple[str, int]], int]
] = {
    # (state, event): (way there, then these changes, and when the event happens)
    (State.UP, Event.DOWN): (None, [], 0),
    (State.UP, Event.DOWN_TOO_SOON): (pressed, [("up", 40_000), ("advance", 60_000)], 100_000),
    (State.WAITING_ACCEPTANCE, Event.UP): (waiting, [], 10_000),
    (State.WAITING_ACCEPTANCE, Event.ACCEPTANCE_DUE): (waiting, [], 30_000),
    (State.GAP_WAITING_ACCEPTANCE, Event.DOWN): (waiting, [("up", 10_000)], 20_000),
    (State.GAP_WAITING_ACCEPTANCE, Event.ACCEPTANCE_DUE): (waiting, [("up", 20_000)], 30_000),
    (State.GAP_WAITING_ACCEPTANCE, Event.RELEASE_DUE): (waiting, [("up", 5_000)], 25_000),
    (State.GAP_ACCEPTANCE_OVER, Event.DOWN): (
        waiting,
        [("up", 20_000), ("advance", 30_000)],
        35_000,
    ),
    (State.GAP_ACCEPTANCE_OVER, Event.RELEASE_DUE): (
        waiting,
        [("up", 20_000), ("advance", 30_000)],
        40_000,
    ),
    (State.PRESSED, Event.UP): (pressed, [], 40_000),
    (State.PRESSED, Event.LONGEST_DUE): (pressed, [], 70_000),
    (State.GAP_PRESSED, Event.DOWN): (pressed, [("up", 40_000)], 50_000),
    (State.GAP_PRESSED, Event.RELEASE_DUE): (pressed, [("up", 40_000)], 60_000),
    (State.GAP_PRESSED, Event.LONGEST_DUE): (pressed, [("up", 60_000)], 70_000),
    (State.SPENT, Event.UP): (spent, [], 80_000),
    (State.GAP_SPENT, Event.DOWN): (spent, [("up", 80_000)], 90_000),
    (State.GAP_SPENT, Event.RELEASE_DUE): (spent, [("up", 80_000)], 100_000),
    (State.IGNORED, Event.UP): (refused, [], 120_000),
    (State.GAP_IGNORED, Event.DOWN): (refused, [("up", 120_000)], 130_000),
    (State.GAP_IGNORED, Event.RELEASE_DUE): (refused, [("up", 120_000)], 140_000),
}

POSSIBLE = [row for row in PRESS_TABLE if row.next_state is not None]
IMPOSSIBLE = [row for row in PRESS_TABLE if row.next_state is None]


def name(row: Row | ContactRow) -> str:
    return f"{row.state.name}-{row.event.name}"


def test_there_is_a_way_to_each_possible_cell() -> None:
    assert list(WAYS) == [(row.state, row.event) for row in POSSIBLE]


@pytest.mark.parametrize("row", POSSIBLE, ids=name)
def test_each_possible_cell_does_what_its_row_says(row: Row) -> None:
    there, changes, at_us = WAYS[row.state, row.event]
    button = all_on()
    if there is not None:
        there(button)
    for what, us in changes:
        getattr(button, what)(us)
    assert button.machine.state is row.state
    told_before = len(button.told)
    refused_before = len(button.refused)

    if row.event in (Event.DOWN, Event.DOWN_TOO_SOON):
        button.down(at_us)
    elif row.event is Event.UP:
        button.up(at_us)
    else:
        button.advance(at_us)

    assert button.machine.state is row.next_state
    told = button.told[told_before:]
    assert told == (
        [(at_us, True)]
        if row.acts & Act.PRESS
        else [(at_us, False)]
        if row.acts & Act.RELEASE
        else []
    )
    assert [one.reason for one in button.refused[refused_before:]] == (
        [Refusal.ACCEPTANCE_DELAY]
        if row.acts & Act.REFUSE_SHORT
        else [Refusal.REPEAT_GUARD]
        if row.acts & Act.REFUSE_TOO_SOON
        else []
    )
    assert button.machine.pressed is (row.next_state in (State.PRESSED, State.GAP_PRESSED))
    assert button.timers.next_due_us == next_due_us(button.machine.state, row, at_us)


def next_due_us(state: State, row: Row, at_us: int) -> int | None:
    """What the first timer is set to after the steps of WAYS, worked out by hand."""
    acceptance_us = 30_000
    longest_us = {State.GAP_ACCEPTANCE_OVER: 75_000}.get(row.state, 70_000)
    return {
        State.UP: None,
        State.WAITING_ACCEPTANCE: at_us + 30_000 if row.state is State.UP else acceptance_us,
        State.GAP_WAITING_ACCEPTANCE: min(acceptance_us, at_us + 20_000),
        State.GAP_ACCEPTANCE_OVER: 40_000,
        State.PRESSED: longest_us,
        State.GAP_PRESSED: min(longest_us, at_us + 20_000),
        State.SPENT: None,
        State.GAP_SPENT: 80_000 if row.event is Event.LONGEST_DUE else at_us + 20_000,
        State.IGNORED: None,
        State.GAP_IGNORED: at_us + 20_000,
    }[state]


@pytest.mark.parametrize("row", IMPOSSIBLE, ids=name)
def test_each_impossible_cell_is_an_error_of_ours(row: Row) -> None:
    """There is no honest way there, so the step is called by name."""
    button = all_on()
    ways = [way for (state, _), way in WAYS.items() if state is row.state]
    there, changes, _ = ways[0]
    if there is not None:
        there(button)
    for what, us in changes:
        getattr(button, what)(us)
    assert button.machine.state is row.state

    with pytest.raises(ImpossibleTransitionError, match=rf"{row.state.name} met {row.event.name}"):
        button.machine._press_step(row.event, 200_000)


CONTACT_WAYS: dict[tuple[Contact, ContactEvent], tuple[list[int], int]] = {
    # (state, event): (changes before, the event's time); debounce is 40 ms
    (Contact.AS_TAKEN, ContactEvent.CHANGE): ([], 0),
    (Contact.AS_TAKEN, ContactEvent.EARLY_CHANGE): ([0], 10_000),
    (Contact.CHANGED_WAITING, ContactEvent.EARLY_CHANGE): ([0, 50_000, 60_000], 65_000),
    (Contact.CHANGED_WAITING, ContactEvent.DEBOUNCE_DUE): ([0, 10_000], 40_000),
    (Contact.AS_TAKEN_WAITING, ContactEvent.EARLY_CHANGE): ([0, 10_000, 20_000], 30_000),
    (Contact.AS_TAKEN_WAITING, ContactEvent.DEBOUNCE_DUE): ([0, 10_000, 20_000], 40_000),
}
POSSIBLE_CONTACTS = [row for row in CONTACT_TABLE if row.next_state is not None]
IMPOSSIBLE_CONTACTS = [row for row in CONTACT_TABLE if row.next_state is None]


def test_there_is_a_way_to_each_possible_cell_of_the_contact() -> None:
    assert list(CONTACT_WAYS) == [(row.state, row.event) for row in POSSIBLE_CONTACTS]


@pytest.mark.parametrize("row", POSSIBLE_CONTACTS, ids=name)
def test_each_possible_cell_of_the_contact_does_what_its_row_says(row: ContactRow) -> None:
    before, at_us = CONTACT_WAYS[row.state, row.event]
    button = one_button(debounce_us=40_000)
    for us in before:
        button.advance(us)
        button.machine.change(not button.machine.down, us)
    assert button.machine.contact is row.state
    told_before = len(button.told)
    armed_before = button.timers.next_due_us

    button.advance(at_us)
    if row.event is not ContactEvent.DEBOUNCE_DUE:
        button.machine.change(not button.machine.down, at_us)

    assert button.machine.contact is row.next_state
    taken = [(at_us, button.machine.down)] if row.acts & ContactAct.TAKE else []
    assert button.told[told_before:] == taken
    assert [one.reason for one in button.refused] == (
        [Refusal.DEBOUNCE] if row.acts & ContactAct.REFUSE else []
    )
    assert (armed_before is None and button.timers.next_due_us is not None) is bool(
        row.acts & ContactAct.SET_DEBOUNCE
    )


@pytest.mark.parametrize("row", IMPOSSIBLE_CONTACTS, ids=name)
def test_each_impossible_cell_of_the_contact_is_an_error_of_ours(row: ContactRow) -> None:
    before = {
        Contact.AS_TAKEN: [],
        Contact.CHANGED_WAITING: [0, 10_000],
        Contact.AS_TAKEN_WAITING: [0, 10_000, 20_000],
    }[row.state]
    button = one_button(debounce_us=40_000)
    for us in before:
        button.machine.change(not button.machine.down, us)

    with pytest.raises(ImpossibleTransitionError, match=rf"{row.state.name} met {row.event.name}"):
        button.machine._contact_step(row.event, 200_000)


# ---------------------------------------------------------------- the page


def test_the_page_of_the_table_is_fresh() -> None:
    """Mend with: python -m tests.generate_button_table > docs/button-table.md."""
    assert PAGE.read_text() == generate()
