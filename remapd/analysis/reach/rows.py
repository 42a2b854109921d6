"""What a layout reaches, one row for each pad control, for a table or a tool."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from remapd.analysis.reach.goals import by_degrees, direction_target, goal_name
from remapd.analysis.reach.proof import Proof, Reached, Who
from remapd.analysis.reach.steps import Act, Way
from remapd.analysis.reach.words import Words
from remapd.engine.pad_controls import (
    BUTTON_COUNT,
    DPAD,
    DPAD_UP,
    STICK_NAMES,
    TARGET_COUNT,
)


@dataclass(frozen=True, slots=True)
class Row:
    """A pad control, and how it is reached.

    Attributes:
        word: It in the layout's own words.
        control: Its own name.
        goals: The goals that the row stands for: one, or the four directions of a stick.
        reached: By whom and how; empty where nothing reaches all of it.
        by_degrees: For a stick or trigger: whether it can be moved by degrees.
    """

    word: str
    control: str
    goals: tuple[int, ...]
    reached: tuple[Reached, ...]
    by_degrees: bool | None = None

    @property
    def who(self) -> str:
        """`player`, `helper`, `either` of them, or only `together`."""
        who = [each.who for each in self.reached]
        if not who:
            return "nobody"
        return "either" if len(who) > 1 else who[0].value

    @property
    def best(self) -> Reached | None:
        """The one whose way is shown: the player before the helper."""
        return self.reached[0] if self.reached else None


def rows_of_needs(proof: Proof, words: Words) -> list[Row]:
    """A row for each thing that the game needs; four for a stick that is not reached as a whole."""
    rows: list[Row] = []
    for need in proof.needs:
        if need.stick is None:
            rows.append(_row(proof, words, need.goals[0], need.word))
        else:
            rows += _stick_rows(proof, words, need.stick, need.word)
    return rows


def rows_of_everything(proof: Proof, words: Words, *, reached_only: bool = False) -> list[Row]:
    """A row for each pad control in pad order, sticks as wholes where they can be moved so."""
    rows = [_row(proof, words, goal) for goal in range(DPAD_UP)]
    for stick in (DPAD, 0, 1):
        rows += _stick_rows(proof, words, stick, words.names.of(STICK_NAMES[stick]))
    return [row for row in rows if row.reached or not reached_only]


def rows_of_targets(proof: Proof, words: Words) -> list[Row]:
    """A row for each of the 17 buttons and the 8 directions of the sticks, in pad order."""
    return [_row(proof, words, goal) for goal in range(TARGET_COUNT)]


def _row(proof: Proof, words: Words, goal: int, word: str | None = None) -> Row:
    name = goal_name(goal)
    degrees = by_degrees(name) if goal < BUTTON_COUNT else None
    reached = proof.reached(goal)
    return Row(
        word or words.names.of(name),
        name,
        (goal,),
        tuple(reached),
        None if degrees is None else bool(proof.reached(degrees)),
    )


def _stick_rows(proof: Proof, words: Words, stick: int, word: str) -> list[Row]:
    goals = tuple(direction_target(stick, direction) for direction in range(4))
    whole = _whole(proof, stick, goals)
    degrees = None if stick == DPAD else bool(proof.reached(TARGET_COUNT + stick))
    if whole:
        return [Row(word, STICK_NAMES[stick], goals, tuple(whole), degrees)]
    if not any(proof.reached(goal) for goal in goals):
        return [Row(word, STICK_NAMES[stick], goals, (), degrees)]
    return [_row(proof, words, goal) for goal in goals]


def _whole(proof: Proof, stick: int, goals: tuple[int, ...]) -> list[Reached]:
    """Those who move the stick every way with one motion; their way has no direction of its own."""
    found: list[Reached] = []
    for who in Who:
        ways = [
            next((each for each in proof.reached(goal) if each.who is who), None) for goal in goals
        ]
        shown = [each.way for each in ways if each is not None]
        if len(shown) == len(goals) and len({_motion(way) for way in shown}) == 1:
            if _motion(shown[0]) is None:
                continue
            whole = shown[0]._replace(goal=TARGET_COUNT + stick)
            first = ways[0]
            if first is not None:
                is_single = first.single is not None
                found.append(
                    Reached(who, whole if is_single else None, None if is_single else whole)
                )
    return found


def _motion(way: Way) -> tuple[int, ...] | None:
    """What is moved whole at the end, and what was pressed before; None where nothing is moved."""
    last = way.steps[-1]
    if last.act is not Act.MOVE or way.both:
        return None
    return (last.control, *(button for step in way.steps[:-1] for button in step.buttons))


def ways_of(reached: Reached) -> Iterator[tuple[str, Way]]:
    """The ways of a person, each with `one at a time` or `two at once`."""
    if reached.single is not None:
        yield "one at a time", reached.single
    if reached.double is not None:
        yield "two at once", reached.double
