"""What another layout would have made of the same recording: where the two pads differ."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from heapq import merge
from typing import Final

from remapd.engine import OutputFrame
from remapd.engine.pad_controls import STICK_NAMES
from remapd.recording.pad_changes import BUTTON_NAMES, STICK_FULL, TRIGGER_FULL, PadView
from remapd.recording.player import Player

#: Sticks and triggers that are nearer than this (of the full way) are taken as alike.
_ALIKE: Final = 0.01

State = bool | int | tuple[int, int]


@dataclass(frozen=True, slots=True)
class Difference:
    """A time during which one pad control differs between two layouts.

    `first` and `second` are what each pad shows when it begins; `most` is how far sticks or
    triggers are apart at most, as a share of the full way (1.0 for buttons).
    """

    from_us: int
    until_us: int
    control: str
    first: str
    second: str
    most: float


def differences(first: Player, second: Player) -> Iterator[Difference]:
    """Plays both to the end, side by side; the differences come in the order in which they end."""
    views = [
        PadView(faces_as_specified=player.layout.faces_as_specified) for player in (first, second)
    ]
    running: dict[str, Difference] = {}
    frames = merge(_numbered(first, 0), _numbered(second, 1), key=lambda pair: pair[1].us)
    now_us = 0
    touched: set[str] = set()
    for number, frame in frames:
        if frame.us > now_us and touched:
            yield from _compare(views, touched, now_us, running)
            touched = set()
        now_us = frame.us
        touched.update(change.control for change in views[number].apply(frame.us, frame.events))
    yield from _compare(views, touched, now_us, running)
    end_us = max(first.now_us, second.now_us)
    for each in running.values():
        yield _ended(each, end_us)


def _numbered(player: Player, number: int) -> Iterator[tuple[int, OutputFrame]]:
    for frame in player:
        yield number, frame


def _compare(
    views: list[PadView], touched: set[str], us: int, running: dict[str, Difference]
) -> Iterator[Difference]:
    """How things stand at `us`, for the controls that changed then; ended differences come out."""
    for control in sorted(touched, key=[*BUTTON_NAMES, *STICK_NAMES].index):
        first, second = (_state(view, control) for view in views)
        apart = _apart(first, second)
        begun = running.get(control)
        if begun is None:
            if apart > _ALIKE:
                running[control] = Difference(us, us, control, _shown(first), _shown(second), apart)
        elif apart <= _ALIKE:
            del running[control]
            yield _ended(begun, us)
        elif apart > begun.most:
            running[control] = Difference(
                begun.from_us, us, control, begun.first, begun.second, apart
            )


def _ended(each: Difference, us: int) -> Difference:
    return Difference(each.from_us, us, each.control, each.first, each.second, each.most)


def _state(view: PadView, control: str) -> State:
    if control in view.sticks:
        return view.sticks[control]
    if control in view.triggers:
        return view.triggers[control]
    return control in view.pressed


def _apart(first: State, second: State) -> float:
    if isinstance(first, tuple) and isinstance(second, tuple):
        return max(abs(a - b) for a, b in zip(first, second, strict=True)) / STICK_FULL
    if isinstance(first, bool) or isinstance(second, bool):
        return float(first != second)
    if isinstance(first, int) and isinstance(second, int):
        return abs(first - second) / TRIGGER_FULL
    return 1.0


def _shown(state: State) -> str:
    if isinstance(state, tuple):
        x, y = (round(100 * part / STICK_FULL) for part in state)
        return f"[{x}%, {y}%]"
    if isinstance(state, bool):
        return "pressed" if state else "-"
    return f"{round(100 * state / TRIGGER_FULL)}%"
