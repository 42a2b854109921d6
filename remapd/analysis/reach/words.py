"""Ways and their steps in plain words, with the layout's own names."""

from __future__ import annotations

from remapd.analysis.reach.gestures import Gesture
from remapd.analysis.reach.goals import DIRECTIONS, Names, goal_name, opposite
from remapd.analysis.reach.model import Model
from remapd.analysis.reach.steps import Act, Step, Way
from remapd.engine.actions import SendLever, SendStick
from remapd.engine.layout import ButtonControl, LeverControl
from remapd.engine.pad_controls import DPAD, DPAD_UP, FIRST_DIRECTION, PERSON_NAMES, TARGET_COUNT
from remapd.engine.settings import Rest

#: A short press that may last so long needs no word about its length.
_EASILY_SHORT_US = 400_000


def seconds(us: int) -> str:
    """`0.9 s`, as short as it can be said."""
    return f"{us / 1_000_000:.3f}".rstrip("0").rstrip(".") + " s"


def milliseconds(us: int) -> str:
    """`900 ms`, or seconds where that is shorter."""
    return f"{us / 1000:g} ms" if us < 1_000_000 else seconds(us)


class Words:
    """Says what hands do in a layout."""

    def __init__(self, model: Model) -> None:
        self._model = model
        self.names = Names(model.layout)

    def goal(self, goal: int) -> str:
        """A pad control in the layout's own words."""
        return self.names.of(goal_name(goal))

    def way(self, way: Way) -> str:
        """A whole way: `press right-knee, then roll right`."""
        steps = _without_needless_ends(way.steps)
        if way.both:
            first, second = steps[-2:]
            before = self._clauses(way, steps[:-2])
            last = (
                f"{PERSON_NAMES[first.person]}: {self._held(first, way.goal)}, and "
                f"{PERSON_NAMES[second.person]}: {self._step(second, way.goal)}"
            )
            return ", then ".join([*before, last])
        return ", then ".join(self._clauses(way, steps)) or "do nothing"

    def _clauses(self, way: Way, steps: tuple[Step, ...]) -> list[str]:
        clauses: list[str] = []
        at = 0
        while at < len(steps):
            step = steps[at]
            goal = way.goal if at == len(steps) - 1 and not way.both else -1
            same = self._same_presses(steps, at)
            if same > 1:
                text = f"{self._step(step, goal)} {same} times"
                at += same
            elif step.act in {Act.HOLD, Act.PICK_AND_HOLD}:
                end = self._end_of_hold(steps, at)
                inner = self._clauses(way._replace(both=False), steps[at + 1 : end])
                if end < len(steps):
                    inner.append("let go")
                text = f"{self._kept(step)} and {', then '.join(inner)}"
                at = end + 1
            else:
                text = self._step(step, goal)
                at += 1
            if len(way.people) > 1 and step.act is not Act.WAIT:
                text = f"{PERSON_NAMES[step.person]}: {text}"
            clauses.append(text)
        return clauses

    def _same_presses(self, steps: tuple[Step, ...], at: int) -> int:
        """How many simple presses of one control follow each other."""
        count = 0
        for step in steps[at:]:
            simple = step.act is Act.GO_ON or (
                step.act is Act.PRESS and step.gesture is not None and _is_simple(step.gesture)
            )
            if not simple or step.buttons != steps[at].buttons or len(step.buttons) > 1:
                break
            count += 1
        return count

    def _end_of_hold(self, steps: tuple[Step, ...], at: int) -> int:
        """Where the hold that begins here is let go, or the end."""
        for number in range(at + 1, len(steps)):
            step = steps[number]
            if step.act is Act.LET_GO and step.buttons == steps[at].buttons:
                return number
        return len(steps)

    # ------------------------------------------------------------------ steps

    def _step(self, step: Step, goal: int) -> str:
        match step.act:
            case Act.WAIT:
                return f"wait {seconds(step.wait_us)}"
            case Act.MOVE:
                return self._motion(step, goal)
            case Act.GO_ON:
                return self._press(step.buttons, Gesture())
            case Act.PICK:
                return f"{self._gesture(step)} when {self.offered(step)} is offered"
            case Act.END_REST:
                return f"{self._gesture(step)} to end the rest"
            case Act.LET_GO:
                return f"let go of {self.controls(step.buttons)}"
            case _:
                return self._gesture(step)

    def _gesture(self, step: Step) -> str:
        return self._press(step.buttons, step.gesture or Gesture())

    def offered(self, step: Step) -> str:
        """What a list offers at the time of a step, as its item is called."""
        return self._model.scans[step.scan].items[step.item].label

    def _press(self, buttons: tuple[int, ...], gesture: Gesture) -> str:
        verb, name = self._verb_and_name(buttons)
        together = " together" if len(buttons) > 1 else ""
        if gesture.presses > 1:
            text = f"{verb} {name}{together} twice".strip()
            if gesture.hold_us:
                text += f", the second time for {seconds(gesture.hold_us)}"
            return text
        if gesture.hold_us > 1:
            hold = "hold" if verb != "let go of" else verb
            text = f"{hold} {name}{together} for {seconds(_rounded(gesture.hold_us))}"
            if gesture.below_us:
                text += f", but less than {seconds(gesture.below_us)}"
            return text
        text = f"{verb} {name}{together}".strip()
        if 0 < gesture.below_us < _EASILY_SHORT_US:
            text += f" for less than {seconds(gesture.below_us)}"
        return text

    def _kept(self, step: Step) -> str:
        """A press that goes on while other things are done."""
        gesture = step.gesture or Gesture()
        offered = f" when {self.offered(step)} is offered" if step.act is Act.PICK_AND_HOLD else ""
        if gesture.presses > 1 or gesture.hold_us > 1:
            return f"{self._press(step.buttons, gesture)}{offered}, stay on it"
        verb, name = self._verb_and_name(step.buttons)
        hold = verb if verb == "let go of" else "hold"
        return f"{hold} {name}{' together' if len(step.buttons) > 1 else ''}{offered}"

    def _held(self, step: Step, goal: int) -> str:
        """The first half of what two people do at the same time."""
        text = self._step(step, goal)
        return text.replace("press ", "hold ", 1) if text.startswith("press ") else text

    def _verb_and_name(self, buttons: tuple[int, ...]) -> tuple[str, str]:
        layout = self._model.layout
        if len(buttons) > 1:
            return "press", self.controls(buttons)
        button = layout.buttons[buttons[0]]
        control = layout.controls[button.control]
        if isinstance(control, ButtonControl):
            return ("let go of" if control.inverted else "press"), button.name
        if isinstance(control, LeverControl) and control.settings.rests_at is not Rest.MIDDLE:
            return "press", control.name
        return "", self.part(buttons[0])

    def controls(self, buttons: tuple[int, ...]) -> str:
        """`left-knee`, or `left-knee and right-knee`."""
        return " and ".join(self.part(button) for button in buttons)

    def part(self, button: int) -> str:
        """A button, or `roll up` for a direction."""
        layout = self._model.layout
        entry = layout.buttons[button]
        control = layout.controls[entry.control]
        if isinstance(control, ButtonControl):
            return entry.name
        if isinstance(control, LeverControl):
            if control.settings.rests_at is not Rest.MIDDLE:
                return control.name
            return f"{control.name} {control.ends[entry.part or 0]}"
        return f"{control.name} {DIRECTIONS[entry.part or 0]}"

    def _motion(self, step: Step, goal: int) -> str:
        control = self._model.layout.controls[step.control]
        if isinstance(step.whole, SendLever) and isinstance(control, LeverControl):
            if control.settings.rests_at is Rest.MIDDLE:
                return f"{control.name} {control.ends[1]}"
            return f"press {control.name}"
        if isinstance(step.whole, SendStick) and 0 <= goal < TARGET_COUNT:
            return f"{control.name} {DIRECTIONS[hand_direction(step.whole, goal)]}"
        return f"move {control.name}"


def hand_direction(whole: SendStick, goal: int) -> int:
    """Which way the hand moves for a direction of the pad's stick (up, down, left, right)."""
    first = DPAD_UP if whole.stick == DPAD else FIRST_DIRECTION + 4 * whole.stick
    other = opposite(goal)
    if (whole.flip_y if goal - first < 2 else whole.flip_x) and other is not None:
        return other - first
    return goal - first


def _is_simple(gesture: Gesture) -> bool:
    return gesture.presses == 1 and not gesture.hold_us and not gesture.below_us


def _without_needless_ends(steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """The steps without what is done when the way is over."""
    while steps and steps[-1].act is Act.LET_GO:
        steps = steps[:-1]
    return steps


def _rounded(us: int) -> int:
    """A hold just past a step of a row, to the tenth of a second above."""
    return us if us % 1000 == 0 else (us // 100_000 + 1) * 100_000
