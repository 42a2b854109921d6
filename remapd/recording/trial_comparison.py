"""What a trial expected beside what came: every difference, each with a sentence.

For each pad control the changes that come have to be those expected, in that order and at those
times; and changes of different controls have to come in the order in which they are expected, save
those that are expected at the same time.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

from remapd.engine import Layout
from remapd.engine.pad_controls import STICK_NAMES, TARGET_NAMES
from remapd.recording.pad_changes import (
    PRESS,
    RELEASE,
    STICK_FULL,
    TRIGGER_FULL,
    Change,
    PadView,
    Value,
)
from remapd.trial import Expectation, InputKind, Trial


class MismatchKind(Enum):
    """What is wrong between what was expected and what came."""

    MISSING = "missing"
    UNEXPECTED = "unexpected"
    LATE = "late"
    EARLY = "early"
    VALUE = "value"
    ORDER = "order"
    NEVER = "never"
    HELD = "held"


@dataclass(frozen=True, slots=True)
class Mismatch:
    """One difference: `us` is where it shows, `text` says it in a sentence."""

    us: int
    kind: MismatchKind
    control: str
    text: str


class PadNames:
    """Pad controls as the trial and the layout call them."""

    def __init__(self, layout: Layout, trial: Trial) -> None:
        self._verbs: dict[str, str] = {}
        for verb, control in layout.verbs.items():
            self._verbs.setdefault(control, verb)
        self._verbs |= {each.control: each.written for each in trial.expect if each.written}

    def short(self, control: str) -> str:
        """The verb for a pad control, or its own name."""
        return self._verbs.get(control, control)

    def __getitem__(self, control: str) -> str:
        """The same for a sentence, with the pad control's own name behind a verb."""
        word = self.short(control)
        return f"`{control}`" if word == control else f"`{word}` ({control})"


def compare(
    expected: Sequence[Expectation], actual: Sequence[Change], names: PadNames
) -> list[Mismatch]:
    """What differs between the changes expected and those that came, of all pad controls."""
    mismatches: list[Mismatch] = []
    met: list[tuple[Expectation, Change]] = []
    ordered = sorted(expected, key=lambda each: each.at_us)
    for control in dict.fromkeys([*(e.control for e in ordered), *(c.control for c in actual)]):
        lane = _Lane(
            [each for each in ordered if each.control == control],
            [change for change in actual if change.control == control],
            names[control],
        )
        lane.align()
        mismatches += lane.mismatches
        met += lane.met
    place = {id(each): number for number, each in enumerate(ordered)}
    met.sort(key=lambda pair: place[id(pair[0])])
    for (before, came_before), (after, came_after) in pairwise(met):
        if came_after.us < came_before.us and before.at_us < after.at_us:
            text = f"{names[after.control]} came before {names[before.control]}, not after it"
            mismatches.append(Mismatch(came_after.us, MismatchKind.ORDER, after.control, text))
    return mismatches


class _Lane:
    """One pad control: what was expected of it beside what came."""

    def __init__(
        self, expected: Sequence[Expectation], actual: Sequence[Change], name: str
    ) -> None:
        self.mismatches: list[Mismatch] = []
        self.met: list[tuple[Expectation, Change]] = []
        self._expected = expected
        self._actual = actual
        self._name = name

    def align(self) -> None:
        """Goes through both in the order of time."""
        came = 0  # how many of the changes have been dealt with
        for number, each in enumerate(self._expected):
            if each.settles:
                came = self._settle(each, came)
                continue
            following = self._expected[number + 1 :]
            while came < len(self._actual) and self._is_stray(self._actual[came], each):
                self._unexpected(self._actual[came])
                came += 1
            if came < len(self._actual) and self._belongs(self._actual[came], each, following):
                self._judge(each, self._actual[came])
                came += 1
            else:
                text = f"{self._name} was to {_wanted(each)} {_at(each.at_us)}: nothing came"
                self._add(each.at_us, MismatchKind.MISSING, each.control, text)
        for change in self._actual[came:]:
            self._unexpected(change)

    def _is_stray(self, change: Change, each: Expectation) -> bool:
        """Came before its time, and is another change than the one expected."""
        return change.us < each.at_us - each.within_us and not _agrees(change, each)

    @staticmethod
    def _belongs(change: Change, each: Expectation, following: Sequence[Expectation]) -> bool:
        """Whether the change is this one, late perhaps, rather than one of those that follow."""
        if change.us <= each.at_us + each.within_us:
            return True
        return _agrees(change, each) and not any(
            _agrees(change, other) and change.us >= other.at_us - other.within_us
            for other in following
        )

    def _judge(self, each: Expectation, change: Change) -> None:
        if not _agrees(change, each):
            text = (
                f"{self._name} was to {_wanted(each)} {_at(each.at_us)}, "
                f"and {_came(change)} {_at(change.us)}"
            )
            self._add(change.us, MismatchKind.VALUE, each.control, text)
            return
        off_us = change.us - each.at_us
        if abs(off_us) > each.within_us:
            kind = MismatchKind.LATE if off_us > 0 else MismatchKind.EARLY
            text = f"{self._name} {_came(change)} {_at(change.us)}, {_ms(abs(off_us))} {kind.value}"
            self._add(change.us, kind, each.control, text)
            return
        self.met.append((each, change))

    def _settle(self, each: Expectation, came: int) -> int:
        """Whatever came up to its time led there; what counts is where it has led."""
        last = self._actual[came - 1] if came else None
        while came < len(self._actual) and self._actual[came].us <= each.at_us:
            last = self._actual[came]
            came += 1
        if last is None:
            text = f"{self._name} was to {_wanted(each)} by {_ms(each.at_us)}: nothing came"
            if not _agrees_at_rest(each):
                self._add(each.at_us, MismatchKind.MISSING, each.control, text)
        elif not _agrees(last, each):
            wanted = f"was to {_wanted(each)} by {_ms(each.at_us)}"
            text = f"{self._name} {wanted}, and {_came(last)} {_at(last.us)}"
            self._add(each.at_us, MismatchKind.VALUE, each.control, text)
        return came

    def _unexpected(self, change: Change) -> None:
        text = f"{self._name} {_came(change)} {_at(change.us)}: nothing was expected"
        self._add(change.us, MismatchKind.UNEXPECTED, change.control, text)

    def _add(self, us: int, kind: MismatchKind, control: str, text: str) -> None:
        self.mismatches.append(Mismatch(us, kind, control, text))


def _agrees(change: Change, each: Expectation) -> bool:
    """Whether it is the change expected, whenever it came."""
    match each.kind, change.what:
        case (InputKind.PRESS, "press") | (InputKind.RELEASE, "release"):
            return True
        case (InputKind.PRESS, "lever"):
            return change.value == TRIGGER_FULL
        case (InputKind.RELEASE, "lever"):
            return change.value == 0
        case (InputKind.MOVE, _):
            return _is_near(change.value, each)
    return False


def _is_near(value: Value, each: Expectation) -> bool:
    if each.to is None or value is None:
        return False
    if isinstance(value, int):
        return abs(value - each.to[0] * TRIGGER_FULL) <= each.give * TRIGGER_FULL + 0.5
    return all(
        abs(part - share * STICK_FULL) <= each.give * STICK_FULL + 0.5
        for part, share in zip(value, each.to, strict=True)
    )


def _agrees_at_rest(each: Expectation) -> bool:
    """Whether a control that has not moved is where it was expected."""
    if each.kind is InputKind.MOVE:
        return _is_near((0, 0) if each.control in STICK_NAMES else 0, each)
    return each.kind is InputKind.RELEASE


def find_nevers(trial: Trial, actual: Iterable[Change], names: PadNames) -> list[Mismatch]:
    """The first change of each pad control that must never come, and came."""
    mismatches = []
    for never in trial.never:
        for change in actual:
            if _touches(change, never):
                text = f"{names[never]} must never come, and {_came(change)} {_at(change.us)}"
                mismatches.append(Mismatch(change.us, MismatchKind.NEVER, change.control, text))
                break
    return mismatches


def _touches(change: Change, never: str) -> bool:
    """Whether a change presses, moves or deflects what must never come."""
    if never == STICK_NAMES[2]:
        return change.control.startswith("dpad-") and change.what == PRESS
    control, _, way = never.partition(".")
    if change.control != control:
        return False
    if isinstance(change.value, tuple):
        x, y = change.value
        return {"": bool(x or y), "up": y < 0, "down": y > 0, "left": x < 0, "right": x > 0}[way]
    return change.what == PRESS or bool(change.value)


def find_held(trial: Trial, view: PadView, us: int, names: PadNames) -> list[Mismatch]:
    """What is not at rest at the end."""
    held = {
        **dict.fromkeys(view.pressed, "still pressed"),
        **{name: "still driven" for name, value in view.triggers.items() if value},
        **{name: "still away from its centre" for name, at in view.sticks.items() if at != (0, 0)},
    }
    order = {name: number for number, name in enumerate((*TARGET_NAMES, *STICK_NAMES))}
    return [
        Mismatch(
            us,
            MismatchKind.HELD,
            control,
            f"{names[control]} is {state} at the end, {_at(us)} (`ends: held` where that is meant)",
        )
        for control, state in sorted(held.items(), key=lambda item: order[item[0]])
        if not trial.only or control in trial.only
    ]


# -------------------------------------------------------------------- words
def _at(us: int) -> str:
    return f"at {_ms(us)}"


def _ms(us: int) -> str:
    whole, part = divmod(us, 1000)
    return f"{whole}.{part:03d}".rstrip("0").rstrip(".") + " ms"


def _wanted(each: Expectation) -> str:
    if each.to is None:
        return "be pressed" if each.kind is InputKind.PRESS else "be released"
    shares = each.to if each.control in STICK_NAMES else each.to[:1]
    return f"go to {_place([100 * share for share in shares])}"


def _came(change: Change) -> str:
    if isinstance(change.value, int):
        return f"went to {_place([100 * change.value / TRIGGER_FULL])}"
    if isinstance(change.value, tuple):
        return f"went to {_place([100 * part / STICK_FULL for part in change.value])}"
    return {PRESS: "was pressed", RELEASE: "was released"}[change.what]


def _place(percents: Sequence[float]) -> str:
    texts = [f"{round(percent, 1) + 0.0:g}%" for percent in percents]
    return texts[0] if len(texts) == 1 else f"[{', '.join(texts)}]"
