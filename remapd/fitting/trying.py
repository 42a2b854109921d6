"""Trials for a proposed layout: how each thing that the game needs is done, and what comes out.

What hands do is the way that the check shows; what is expected is what the layout makes of it, and
that the verb itself is in it has been made sure of.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from remapd.analysis.check import check
from remapd.analysis.reach.goals import goal_name
from remapd.analysis.reach.hands import handling_of
from remapd.analysis.reach.offers import offered_us
from remapd.analysis.reach.proof import Need, Proof
from remapd.analysis.reach.rows import rows_of_needs
from remapd.analysis.reach.steps import Act, Step, Way
from remapd.analysis.reach.words import Words, hand_direction
from remapd.engine.actions import Scan, SendStick, parts_of
from remapd.engine.layout import Layout, LeverControl, PointerControl
from remapd.engine.pad_controls import RIGHT, TARGET_COUNT
from remapd.language import load_text
from remapd.recording.draft_expect import expectations
from remapd.recording.draft_text import trial_lines
from remapd.recording.trials import TrialResult, run_trial
from remapd.trial import Input, InputKind, Trial

_TENTH_US: Final = 100_000
#: A press, a push of a stick and a roll of a pointer, where the way asks for no certain length.
_PRESS_US: Final = 200_000
_PUSH_US: Final = 600_000
_ROLL_US: Final = 800_000
#: Between two acts.
_PAUSE_US: Final = 500_000
#: Before what was let on is ended again.
_GOES_ON_US: Final = 2_000_000

_HEAD: Final = """\
# What this layout must do, whatever is changed in it later: `remapd trial` plays each of these with
# stand-in hands and says what came out otherwise. Times count from the beginning of the trial.
"""


def trials_of(text: str) -> tuple[Layout, list[Trial]]:
    """The layout that a text holds, and a trial for everything that it needs.

    Raises:
        ValueError: the text is no layout, or something that it needs is not reached.
    """
    loaded = load_text(text, "proposal.yaml")
    if loaded.layout is None:
        raise ValueError(f"a proposal that is no layout: {loaded.errors[0].message}")
    report = check(loaded.layout)
    proof, words = report.proof, report.words
    wholes = {
        row.word: row.best.way
        for row in rows_of_needs(proof, words)
        if row.best is not None and len(row.goals) > 1
    }
    trials = [
        trial for need in proof.needs for trial in _trials_of_need(proof, words, need, wholes)
    ]
    return loaded.layout, trials


def trials_of_text(text: str) -> str:
    """A file of trials for the layout that a text holds."""
    layout, trials = trials_of(text)
    lines = [_HEAD + "trials:"]
    for number, trial in enumerate(trials):
        lines += [*([""] if number else []), *trial_lines(trial, layout)]
    return "\n".join(lines) + "\n"


def _trials_of_need(
    proof: Proof, words: Words, need: Need, wholes: Mapping[str, Way]
) -> Iterator[Trial]:
    """One trial; for a stick that is reached way by way, one for each way.

    `wholes` are the ways to sticks that are moved whole, by the words for them.
    """
    found = {goal: best.way for goal in need.goals if (best := proof.best(goal)) is not None}
    if len(need.goals) > 1 and all(way.steps[-1].act is Act.MOVE for way in found.values()):
        goal = need.goals[RIGHT]
        shown = wholes.get(need.word, found[goal])
        yield _trial(proof, f"{need.word}: {words.way(shown)}", found[goal], goal)
        return
    for goal, way in found.items():
        word = need.word if len(need.goals) == 1 else words.goal(goal)
        yield _trial(proof, f"{word}: {words.way(way)}", way, goal)


def _trial(proof: Proof, name: str, way: Way, goal: int) -> Trial:
    layout, scans = proof.layout, proof.model.scans
    once = _Hands(layout, scans, way)
    twice = [*once.inputs, *_Hands(layout, scans, way, once.end_us + _GOES_ON_US).inputs]
    for inputs, ends_held in ((once.inputs, False), (twice, False), (once.inputs, True)):
        trial = Trial(name, tuple(inputs), (), ends_held=ends_held)
        first = run_trial(layout, trial)
        whole = replace(trial, expect=expectations(first.actual, layout.verbs))
        result = run_trial(layout, whole)
        if result.passed and _gives(result, goal):
            return whole
    raise ValueError(f"no trial of `{goal_name(goal)}` passes: {name}")


def _gives(result: TrialResult, goal: int) -> bool:
    """Whether what is wanted came out."""
    control, _, direction = goal_name(goal).partition(".")
    for change in result.actual:
        if change.control != control:
            continue
        if not direction:
            return True
        if isinstance(change.value, tuple):
            x, y = change.value
            if {"up": y < 0, "down": y > 0, "left": x < 0, "right": x > 0}[direction]:
                return True
    return False


class _Hands:
    """What hands do on a way, from a time on, in times that are easily read."""

    def __init__(self, layout: Layout, scans: Sequence[Scan], way: Way, from_us: int = 0) -> None:
        self.inputs: list[Input] = []
        self.end_us = from_us
        self._layout = layout
        self._way = way
        self._scans = scans
        self._names = Counter(button.name for button in layout.buttons)
        self._began_us = from_us
        self._held: list[tuple[int, ...]] = []
        for number, step in enumerate(way.steps):
            if number:
                self.end_us += self._pause_us(way.steps[number - 1])
            self._do(step)
        for buttons in self._held:
            self.end_us += _PRESS_US
            self._let_go(buttons)

    def _pause_us(self, before: Step) -> int:
        handlings = [handling_of(self._layout, button) for button in before.buttons]
        least_us = max((each.repeat_us + each.shortest_us for each in handlings), default=0)
        settle_us = before.gesture.settle_us if before.gesture is not None else 0
        return _tenths(max(_PAUSE_US, least_us) + settle_us)

    def _do(self, step: Step) -> None:
        match step.act:
            case Act.WAIT:
                self.end_us += _tenths(step.wait_us)
            case Act.LET_GO:
                self._held.remove(step.buttons)
                self._let_go(step.buttons)
            case Act.MOVE:
                self._move(step)
            case _:
                if step.act in {Act.PICK, Act.PICK_AND_HOLD}:
                    self._await_item(self._scans[step.scan], step)
                self._press(step, held=step.act in {Act.HOLD, Act.PICK_AND_HOLD})

    def _press(self, step: Step, *, held: bool) -> None:
        handlings = [handling_of(self._layout, button) for button in step.buttons]
        accepted_us = max(each.accepted_after_us for each in handlings)
        hold_us = step.gesture.hold_us if step.gesture is not None else 0
        length_us = _tenths(accepted_us + max(_PRESS_US, hold_us + _TENTH_US if hold_us else 0))
        at_us = self.end_us
        for button in step.buttons:
            for_us = None if held else length_us
            self.inputs.append(Input(at_us, InputKind.PRESS, self._name(button), for_us=for_us))
        self.end_us += length_us
        if held:
            self._held.append(step.buttons)
        if step.gesture is not None:
            leaves = (*step.gesture.during, *step.gesture.after)
            if any(isinstance(part, Scan) for leaf, _ in leaves for part in parts_of(leaf)):
                self._began_us = at_us + accepted_us + hold_us

    def _let_go(self, buttons: tuple[int, ...]) -> None:
        for button in buttons:
            self.inputs.append(Input(self.end_us, InputKind.RELEASE, self._name(button)))

    def _await_item(self, scan: Scan, step: Step) -> None:
        """In the middle of the time for which the item is offered, in one round or the next."""
        if scan.pick is not None:
            return
        accepted_us = handling_of(self._layout, step.buttons[0]).accepted_after_us
        for turn in range(scan.rounds):
            begins_us, ends_us = offered_us(scan, turn * len(scan.items) + step.item)
            at_us = self._began_us + (begins_us + ends_us) // 2 - accepted_us
            if at_us >= self.end_us:
                self.end_us = at_us // _TENTH_US * _TENTH_US
                return

    def _move(self, step: Step) -> None:
        control = self._layout.controls[step.control]
        name = control.name
        if sum(each.name == name for each in self._layout.controls) > 1:
            name = f"{self._layout.devices[control.device].name}.{name}"
        if isinstance(control, LeverControl):
            self._add_move(InputKind.MOVE, name, (1.0, 0.0), _PUSH_US)
            return
        direction = RIGHT
        goal = self._way.goal
        if (
            isinstance(step.whole, SendStick)
            and goal < TARGET_COUNT
            and step is self._way.steps[-1]
        ):
            direction = hand_direction(step.whole, goal)
        to = ((0.0, -1.0), (0.0, 1.0), (-1.0, 0.0), (1.0, 0.0))[direction]
        if isinstance(control, PointerControl):
            self._add_move(InputKind.TURN, name, to, _ROLL_US)
        else:
            self._add_move(InputKind.MOVE, name, to, _PUSH_US)

    def _add_move(self, kind: InputKind, name: str, to: tuple[float, float], for_us: int) -> None:
        self.inputs.append(Input(self.end_us, kind, name, to, for_us))
        self.end_us += for_us

    def _name(self, button: int) -> str:
        entry = self._layout.buttons[button]
        if self._names[entry.name] == 1:
            return entry.name
        device = self._layout.controls[entry.control].device
        return f"{self._layout.devices[device].name}.{entry.name}"


def _tenths(us: int) -> int:
    """Up to the next tenth of a second."""
    return -(-us // _TENTH_US) * _TENTH_US
