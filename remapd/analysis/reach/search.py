"""Search over the situations of a layout: the shortest way to every pad control and layer.

Ways are compared by the acts of the body that they take, then by their time (Dijkstra's algorithm).
The search is exhaustive unless it meets its limit, and says which.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from heapq import heappop, heappush
from typing import Final

from remapd.analysis.reach.model import Model
from remapd.analysis.reach.moves import Move, Moves
from remapd.analysis.reach.situation import Situation, timeless
from remapd.analysis.reach.steps import Act, Step, Way
from remapd.engine.pad_controls import HELPER, PLAYER

#: Who reaches something that counts only while two people press it.
BOTH: Final = 2
#: Moves looked at, after which the search stops once it has found all that can be hoped for.
ENOUGH_MOVES: Final = 6_000
#: And after which it stops at any rate: a second or two.
MOST_MOVES: Final = 20_000

Cost = tuple[int, int]


@dataclass(slots=True)
class Node:
    """A situation that can be got into."""

    situation: Situation
    cost: Cost
    parent: int = -1
    step: Step | None = None
    at_once: int = 0
    successors: list[int] = field(default_factory=list)
    #: Goals that one more step gives the pad, by anyone.
    offers: set[int] = field(default_factory=set)
    expanded: bool = False


@dataclass(frozen=True, slots=True)
class _Found:
    cost: Cost
    node: int
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class _Part:
    """One person's half of something that counts only while both give it."""

    move: Move
    lasts: bool
    cost: Cost


class Search:
    """What some people reach, of whom each can do so many things at once.

    Attributes:
        complete: Whether every situation was looked at.
        nodes: The situations found, the first is the start; `entered` leads to them by layer.
        seen_bindings: Layer and button of every action that a control had in some situation.
        seen_wholes: Control and identity of every whole binding that counted in some situation.
        seen_chords: Identities of the chords that could be pressed.
    """

    def __init__(
        self,
        model: Model,
        people: frozenset[int],
        at_once: int,
        *,
        hoped_for: frozenset[int] = frozenset(),
        most_moves: int = MOST_MOVES,
        enough_moves: int = ENOUGH_MOVES,
    ) -> None:
        """`hoped_for`: goals which, once found, need no further search in a large layout."""
        self._model = model
        self._moves = Moves(model, people, at_once)
        self.people = people
        self.at_once = at_once
        self.complete = True
        self.nodes: list[Node] = []
        self.entered: dict[int, int] = {}
        self.seen_bindings: set[tuple[int, int]] = set()
        self.seen_wholes: set[tuple[int, int]] = set()
        self.seen_chords: set[int] = set()
        self._found: dict[tuple[int, int], _Found] = {}
        self._numbers: dict[Situation, int] = {}
        self._tables_seen: set[tuple[int, ...]] = set()
        self._run(hoped_for, most_moves, enough_moves)

    # ------------------------------------------------------------------ results

    def reached_by(self, goal: int) -> list[int]:
        """Who reaches a goal: PLAYER, HELPER, or BOTH for the two together."""
        return [person for person in (PLAYER, HELPER, BOTH) if (goal, person) in self._found]

    def way(self, goal: int, person: int) -> Way | None:
        """The shortest way of a person to a goal."""
        found = self._found.get((goal, person))
        if found is None:
            return None
        return self._way(found.node, found.steps, goal, found.cost, both=person == BOTH)

    def way_to_node(self, number: int) -> Way:
        """The way into a situation."""
        return self._way(number, (), -1, self.nodes[number].cost, both=False)

    def _way(
        self, number: int, last: tuple[Step, ...], goal: int, cost: Cost, *, both: bool
    ) -> Way:
        steps: list[Step] = []
        node = self.nodes[number]
        while node.step is not None:
            steps.append(node.step)
            node = self.nodes[node.parent]
        steps.reverse()
        whole = (*steps, *last)
        return Way(
            whole,
            goal,
            frozenset(step.person for step in whole if step.act is not Act.WAIT),
            cost[0],
            max((step.at_once for step in whole), default=0),
            both,
            cost[1],
        )

    def find(self, situation: Situation) -> int | None:
        """The number of a situation, where it can be got into."""
        return self._numbers.get(timeless(situation))

    def cannot_reach(self, wanted: Iterable[int]) -> set[int]:
        """Situations (numbers) from which no way leads to any of the wanted ones.

        What a search did not look into counts as if everything could be reached from there.
        """
        before: list[list[int]] = [[] for _ in self.nodes]
        for number, node in enumerate(self.nodes):
            for successor in node.successors:
                before[successor].append(number)
        fine = set(wanted) | {n for n, node in enumerate(self.nodes) if not node.expanded}
        open_nodes = list(fine)
        while open_nodes:
            for number in before[open_nodes.pop()]:
                if number not in fine:
                    fine.add(number)
                    open_nodes.append(number)
        return set(range(len(self.nodes))) - fine

    # ------------------------------------------------------------------ searching

    def _run(self, hoped_for: frozenset[int], most_moves: int, enough_moves: int) -> None:
        start = Situation()
        self.nodes.append(Node(start, (0, 0)))
        self._numbers[start] = 0
        queue: list[tuple[Cost, int]] = [((0, 0), 0)]
        moves = 0
        while queue:
            cost, number = heappop(queue)
            node = self.nodes[number]
            if node.expanded or cost != node.cost:
                continue
            if moves >= most_moves or (moves >= enough_moves and self._has_all(hoped_for)):
                self.complete = False
                return
            node.expanded = True
            self._note(node.situation.stack, number)
            parts: dict[int, tuple[list[_Part], list[_Part]]] = {}
            for move in self._moves.of(node.situation):
                moves += 1
                self._take(number, node, move, queue, parts)
            for goal, (players, helpers) in parts.items():
                self._take_both(number, node, goal, players, helpers)

    def _has_all(self, hoped_for: frozenset[int]) -> bool:
        found = {goal for goal, _ in self._found}
        return hoped_for <= found

    def _note(self, stack: tuple[int, ...], number: int) -> None:
        for layer in stack:
            self.entered.setdefault(layer, number)
        if stack in self._tables_seen:
            return
        self._tables_seen.add(stack)
        table = self._model.table(stack)
        self.seen_bindings.update(
            (table.layer_of[button], button)
            for button, action in enumerate(table.actions)
            if action is not None
        )
        self.seen_wholes.update(
            (control, id(whole)) for control, whole in enumerate(table.wholes) if whole is not None
        )
        self.seen_chords.update(id(chord) for chords in table.chords.values() for chord in chords)

    def _take(
        self,
        number: int,
        node: Node,
        move: Move,
        queue: list[tuple[Cost, int]],
        parts: dict[int, tuple[list[_Part], list[_Part]]],
    ) -> None:
        cost = (node.cost[0] + move.step.actions, node.cost[1] + move.us)
        for effect in move.effects:
            if effect.alone:
                node.offers.add(effect.goal)
                self._offer((effect.goal, effect.person), _Found(cost, number, (move.step,)))
            else:
                part = _Part(move, effect.lasts, (move.step.actions, move.us))
                parts.setdefault(effect.goal, ([], []))[effect.person].append(part)
        key = move.key
        if move.situation is None or key is None:
            return
        successor = self._numbers.get(key)
        if successor is None:
            successor = self._numbers[key] = len(self.nodes)
            self.nodes.append(Node(move.situation, cost, number, move.step))
            heappush(queue, (cost, successor))
        elif cost < self.nodes[successor].cost and not self.nodes[successor].expanded:
            known = self.nodes[successor]
            known.situation, known.cost = move.situation, cost
            known.parent, known.step = number, move.step
            heappush(queue, (cost, successor))
        node.successors.append(successor)

    def _take_both(
        self, number: int, node: Node, goal: int, players: list[_Part], helpers: list[_Part]
    ) -> None:
        """Both people give it at the same time; one of them has to give it for a while."""
        for one, others in ((players, helpers), (helpers, players)):
            for first in one:
                # What the first one does may not change what the other's control does meanwhile.
                if not first.lasts:
                    continue
                for second in others:
                    cost = (
                        node.cost[0] + first.cost[0] + second.cost[0],
                        node.cost[1] + max(first.cost[1], second.cost[1]),
                    )
                    node.offers.add(goal)
                    steps = (first.move.step, second.move.step)
                    self._offer((goal, BOTH), _Found(cost, number, steps))

    def _offer(self, key: tuple[int, int], found: _Found) -> None:
        known = self._found.get(key)
        if known is None or found.cost < known.cost:
            self._found[key] = found
