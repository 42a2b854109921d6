"""One thing after another that hands do: the steps of a way to a pad control."""

from __future__ import annotations

from enum import Enum
from typing import NamedTuple

from remapd.analysis.reach.gestures import Gesture
from remapd.engine.actions import Whole


class Act(Enum):
    """What a step is."""

    PRESS = "press"  #: one control, or the two of a chord, in the way of a gesture
    HOLD = "hold"  #: the same, and it stays pressed while the next steps are done
    LET_GO = "let go"
    MOVE = "move"  #: a whole stick, pointer or lever
    PICK = "pick"  #: the item that a list offers
    PICK_AND_HOLD = "pick and hold"
    GO_ON = "go on"  #: by hand to the next item of a list
    WAIT = "wait"  #: until what is limited in time runs out
    END_REST = "end rest"


class Step(NamedTuple):
    """One step.

    Attributes:
        act: What is done.
        person: Who does it.
        buttons: What is pressed; two of a chord.
        gesture: How; None where there is no choice.
        control: The control that is moved whole; -1 where buttons are pressed.
        whole: What that control then does.
        scan: The list that is picked from; -1 where there is none.
        item: The number of the item that is picked.
        actions: How many acts of the body it takes.
        at_once: How many controls that person then has pressed at the same time.
        chord_us: How long its press waits for a chord's partner before it counts.
        wait_us: How long to wait before a press counts, from the end of the step before it.
    """

    act: Act
    person: int
    buttons: tuple[int, ...] = ()
    gesture: Gesture | None = None
    control: int = -1
    whole: Whole | None = None
    scan: int = -1
    item: int = -1
    actions: int = 1
    at_once: int = 1
    chord_us: int = 0
    wait_us: int = 0


class Way(NamedTuple):
    """The steps that lead to something, and what they ask of people.

    Attributes:
        steps: In their order.
        goal: What is reached by the last one, a number of `goals`; -1: a situation.
        people: Who takes part.
        actions: How many acts of the body they are, of everyone together.
        at_once: How many controls one person has to have pressed at the same time.
        both: Whether the last two steps are done at the same time, one by each person.
        us: How long they take at a quick hand's pace, microseconds.
    """

    steps: tuple[Step, ...]
    goal: int
    people: frozenset[int]
    actions: int
    at_once: int
    both: bool
    us: int
