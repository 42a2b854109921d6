"""Movements made simple enough to be read: the inputs of a trial.

Presses stay as they were, at most rounded to whole milliseconds. A stick or lever becomes steps: a
step is a stay of 40 ms or longer within a square of `step`, at its mean place; what is quicker is
on its way from one step to the next and is left out, unless it went further out than both. A place
inside the dead zone counts as rest. A pointer becomes turns of 96 ms at one speed each; turns whose
speeds differ by less than a step are joined.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from remapd.engine.layout import ButtonControl, LeverControl, PointerControl, StickControl
from remapd.recording.movements import Track
from remapd.trial import Input, InputKind

#: What is quicker is on its way (two pictures of a game at 50 a second: common practice, no
#: source). Smaller keeps every shake, larger drops flicks that a hand means.
_SHORTEST_STAY_US: Final = 40_000
#: The least that counts as away from rest where the dead zone is smaller.
_REST: Final = 0.04
#: Counts of one stroke are never further apart.
_STROKE_GAP_US: Final = 100_000
#: Turns send a frame each 8 ms, so their lengths are a multiple of it.
_TURN_FRAME_US: Final = 8_000
_TURN_FRAMES: Final = 12
#: Presses that are nearer to each other keep their microseconds.
_ROUNDED_US: Final = 2_000
#: A trial knows no `for` that is shorter.
_SHORTEST_FOR_US: Final = 1_000


@dataclass(frozen=True, slots=True)
class Grain:
    """How coarse a draft is: the size of a step (0: every sample as it came), and of times."""

    step: float
    whole_ms: bool


#: From the one that reads best to the one that leaves nothing out.
GRAINS: Final = (Grain(0.10, True), Grain(0.05, True), Grain(0.02, False), Grain(0.0, False))


def inputs_of(track: Track, until_us: int, grain: Grain) -> list[Input]:
    """What a hand did with one control, in the order of time, up to `until_us`."""
    match track.control:
        case ButtonControl():
            return list(_presses(track, grain))
        case PointerControl():
            return list(_turns(track, track.control, grain))
        case StickControl() | LeverControl():
            if not grain.step:
                return list(_every_place(track))
            return list(_moves(track.control.name, _steps(track, until_us, grain.step)))


# ---------------------------------------------------------------- buttons
def _presses(track: Track, grain: Grain) -> Iterator[Input]:
    name = track.control.name
    times = [us for us, _ in track.presses]
    for first in range(0, len(times), 2):
        us, end_us = times[first], times[first + 1] if first + 1 < len(times) else None
        nearby = times[max(0, first - 1) : first + 3]
        if grain.whole_ms and all(b - a >= _ROUNDED_US for a, b in pairwise(nearby)):
            us, end_us = _whole_ms(us), None if end_us is None else _whole_ms(end_us)
        if end_us is None or end_us - us >= _SHORTEST_FOR_US:
            yield Input(us, InputKind.PRESS, name, for_us=None if end_us is None else end_us - us)
        else:
            yield Input(us, InputKind.PRESS, name)
            yield Input(end_us, InputKind.RELEASE, name)


# ---------------------------------------------------------------- sticks and levers
@dataclass(slots=True)
class _Stay:
    """A time within a square; `x` and `y` are its mean place, None where it is at rest."""

    from_us: int
    until_us: int
    place: tuple[float, float] | None
    low: tuple[float, float] = (0.0, 0.0)
    high: tuple[float, float] = (0.0, 0.0)

    def takes(self, until_us: int, place: tuple[float, float] | None, step: float) -> bool:
        """Goes on until then at this place, if that is near enough."""
        if self.place is None or place is None:
            if self.place is not None or place is not None:
                return False
            self.until_us = until_us
            return True
        low = (min(self.low[0], place[0]), min(self.low[1], place[1]))
        high = (max(self.high[0], place[0]), max(self.high[1], place[1]))
        if high[0] - low[0] > step or high[1] - low[1] > step:
            return False
        self.place = _mean(self.place, self.length_us, place, until_us - self.until_us)
        self.until_us, self.low, self.high = until_us, low, high
        return True

    @property
    def length_us(self) -> int:
        return self.until_us - self.from_us


def _steps(track: Track, until_us: int, step: float) -> list[_Stay]:
    """The stays that a reader should see, each from when it began."""
    stays: list[_Stay] = []
    ends = [us for us, _, _ in track.places[1:]]
    for (us, x, y), end_us in zip(track.places, [*ends, until_us], strict=True):
        place = None if _is_rest(track, x, y) else (x, y)
        if not stays or not stays[-1].takes(max(us, end_us), place, step):
            at = place or (0.0, 0.0)
            stays.append(_Stay(us, max(us, end_us), place, at, at))

    steps: list[_Stay] = []
    moving: list[_Stay] = []
    for number, stay in enumerate(stays):
        if stay.length_us < _SHORTEST_STAY_US and number < len(stays) - 1:
            moving.append(stay)
            continue
        on_the_way = _on_the_way(moving, steps[-1] if steps else None, stay, step)
        if moving and not on_the_way:
            stay.from_us = (moving[0].from_us + stay.from_us) // 2
        while on_the_way and _is_near(on_the_way[-1], stay, step):
            stay.from_us = on_the_way.pop().from_us
        while on_the_way and steps and _is_near(steps[-1], on_the_way[0], step):
            steps[-1].until_us = on_the_way.pop(0).until_us
        if not on_the_way and steps and _is_near(steps[-1], stay, step):
            stay.from_us = steps.pop().from_us
        steps += [*on_the_way, stay]
        moving = []
    return steps


def _on_the_way(
    moving: Sequence[_Stay], before: _Stay | None, after: _Stay, step: float
) -> list[_Stay]:
    """What of the short stays between two long ones should be seen."""
    if not moving:
        return []
    if moving[-1].until_us - moving[0].from_us >= _SHORTEST_STAY_US:
        return _joined(moving)
    ends = [_at(before), _at(after)]

    def beyond(stay: _Stay) -> float:
        x, y = _at(stay)
        xs, ys = [end[0] for end in ends], [end[1] for end in ends]
        return max(min(xs) - x, x - max(xs), min(ys) - y, y - max(ys))

    furthest = max(moving, key=beyond)
    if beyond(furthest) <= step:
        return []
    furthest.from_us = moving[0].from_us
    return [furthest]


def _is_near(one: _Stay, other: _Stay, step: float) -> bool:
    """Whether a reader would take the two places for one."""
    if one.place is None or other.place is None:
        return one.place is other.place
    return max(abs(a - b) for a, b in zip(one.place, other.place, strict=True)) <= step / 2


def _joined(moving: Sequence[_Stay]) -> list[_Stay]:
    """A long movement in steps of at least the shortest stay, each at its mean place."""
    steps: list[_Stay] = []
    for stay in moving:
        if not steps or steps[-1].length_us >= _SHORTEST_STAY_US:
            steps.append(_Stay(stay.from_us, stay.until_us, stay.place))
            continue
        last = steps[-1]
        if last.place is not None or stay.place is not None:
            last.place = _mean(_at(last), last.length_us, _at(stay), stay.length_us)
        last.until_us = stay.until_us
    return steps


def _moves(name: str, steps: Sequence[_Stay]) -> Iterator[Input]:
    """The steps as inputs; the last before a rest says how long it lasts."""
    written: list[tuple[int, tuple[float, float] | None]] = []
    for step in steps:
        place = None
        if step.place is not None:
            place = (round(step.place[0], 2), round(step.place[1], 2))
        before = written[-1][1] if written else None
        if place == before:
            continue
        us = _whole_ms(step.from_us)
        if written and written[-1][0] == us:
            written.pop()
        written.append((us, place))
    for (us, place), following in zip(written, [*written[1:], None], strict=False):
        if place is not None:
            ends = following is not None and following[1] is None
            for_us = following[0] - us if following is not None and ends else None
            yield Input(us, InputKind.MOVE, name, place, for_us)


def _every_place(track: Track) -> Iterator[Input]:
    """All places as they came, to a millionth."""
    if all(_is_rest(track, x, y) for _, x, y in track.places):
        return
    for us, x, y in track.places:
        yield Input(us, InputKind.MOVE, track.control.name, (round(x, 6), round(y, 6)))


def _is_rest(track: Track, x: float, y: float) -> bool:
    """Whether this is inside the dead zone, before conditioning."""
    control = track.control
    if isinstance(control, LeverControl):
        return abs(x) <= max(_REST, control.settings.dead_zone * control.settings.reach)
    assert isinstance(control, StickControl)  # noqa: S101 - nothing else has places
    settings = control.settings
    x, y = x - settings.centre_x, y - settings.centre_y
    x /= settings.reach_right if x > 0 else settings.reach_left
    y /= settings.reach_down if y > 0 else settings.reach_up
    return math.hypot(x, y) <= max(_REST, settings.dead_zone)


def _at(stay: _Stay | None) -> tuple[float, float]:
    return (0.0, 0.0) if stay is None or stay.place is None else stay.place


def _mean(
    first: tuple[float, float], first_us: int, second: tuple[float, float], second_us: int
) -> tuple[float, float]:
    whole_us = first_us + second_us
    if not whole_us:
        return second
    x, y = ((a * first_us + b * second_us) / whole_us for a, b in zip(first, second, strict=True))
    return x, y


# ---------------------------------------------------------------- pointers
def _turns(track: Track, pointer: PointerControl, grain: Grain) -> Iterator[Input]:
    name = pointer.name
    if not grain.step:
        for us, dx, dy in track.counts:
            yield Input(us, InputKind.COUNT, name, (dx, dy))
        return
    for stroke in _strokes(track.counts):
        if len(stroke) == 1:
            us, dx, dy = stroke[0]
            yield Input(_whole_ms(us), InputKind.COUNT, name, (dx, dy))
            continue
        turns: list[Input] = []
        for us, frames, speed in _speeds(stroke, pointer.settings.full_speed):
            if turns and turns[-1].at_us + (turns[-1].for_us or 0) == us:
                last = turns[-1]
                if math.dist(last.to, speed) < grain.step:
                    whole_us = (last.for_us or 0) + frames * _TURN_FRAME_US
                    mean = _mean(last.to, last.for_us or 0, speed, frames * _TURN_FRAME_US)
                    turns[-1] = Input(last.at_us, InputKind.TURN, name, mean, whole_us)
                    continue
            turns.append(Input(us, InputKind.TURN, name, speed, frames * _TURN_FRAME_US))
        for turn in turns:
            to = (round(turn.to[0], 2), round(turn.to[1], 2))
            if any(to):
                yield Input(turn.at_us, InputKind.TURN, name, to, turn.for_us)


def _strokes(counts: Sequence[tuple[int, int, int]]) -> list[list[tuple[int, int, int]]]:
    """Counts that belong to one movement of the hand."""
    strokes: list[list[tuple[int, int, int]]] = []
    for count in counts:
        if strokes and count[0] - strokes[-1][-1][0] <= _STROKE_GAP_US:
            strokes[-1].append(count)
        else:
            strokes.append([count])
    return strokes


def _speeds(
    stroke: Sequence[tuple[int, int, int]], full_speed: float
) -> Iterator[tuple[int, int, tuple[float, float]]]:
    """When, for how many frames, and how fast, as a share of the full speed."""
    begins_us = _whole_ms(stroke[0][0])
    frames = 1 + max(0, stroke[-1][0] - begins_us) // _TURN_FRAME_US
    for first in range(0, frames, _TURN_FRAMES):
        length = min(_TURN_FRAMES, frames - first)
        from_us = begins_us + first * _TURN_FRAME_US
        until_us = from_us + length * _TURN_FRAME_US
        is_last = first + length == frames
        here = [
            (dx, dy)
            for us, dx, dy in stroke
            if (us >= from_us or not first) and (us < until_us or is_last)
        ]
        most = full_speed * (until_us - from_us) / 1_000_000
        x, y = (sum(count[axis] for count in here) / most for axis in (0, 1))
        beyond = max(1.0, abs(x), abs(y))
        yield from_us, length, (x / beyond, y / beyond)


def _whole_ms(us: int) -> int:
    return (us + 500) // 1_000 * 1_000
