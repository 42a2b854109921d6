"""What a drafted trial expects: the pad's changes, a stick's way told by the places it comes to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from remapd.recording.pad_changes import LEVER, PRESS, STICK_FULL, TRIGGER_FULL, Change
from remapd.trial import Expectation, InputKind

#: Changes of a stick that are nearer to each other belong to one way.
_WAY_GAP_US: Final = 100_000
#: On a long way, a place is named about so often.
_PLACE_EVERY_US: Final = 250_000
_MS_US: Final = 1_000


def expectations(changes: Sequence[Change], verbs: Mapping[str, str]) -> tuple[Expectation, ...]:
    """One for each press and release, and a few for each way of a stick or lever, by time.

    Times are in whole milliseconds and places in whole percents, which is how near a trial looks
    unless it says more.
    """
    written: dict[str, str] = {}
    for verb, control in verbs.items():
        written.setdefault(control, verb)
    lanes: dict[str, list[Change]] = {}
    for change in changes:
        lanes.setdefault(change.control, []).append(change)
    found = [
        each
        for control, lane in lanes.items()
        for each in _lane(lane, written.get(control, control))
    ]
    order = {id(change): number for number, change in enumerate(changes)}
    return tuple(
        each for _, each in sorted(found, key=lambda pair: (pair[1].at_us, order[id(pair[0])]))
    )


def _lane(lane: Sequence[Change], name: str) -> Iterator[tuple[Change, Expectation]]:
    """Each change that is expected by itself or ends a piece of a way, with its expectation."""
    if lane[0].value is None:
        for change in lane:
            kind = InputKind.PRESS if change.what == PRESS else InputKind.RELEASE
            yield change, Expectation(_nearest_ms(change.us), kind, change.control, name)
    elif lane[0].what == LEVER and all(change.value in {0, TRIGGER_FULL} for change in lane):
        for change in lane:
            kind = InputKind.PRESS if change.value else InputKind.RELEASE
            yield change, Expectation(_nearest_ms(change.us), kind, change.control, name)
    else:
        for way in _ways(lane):
            yield from _way(way, name)


def _ways(lane: Iterable[Change]) -> list[list[Change]]:
    ways: list[list[Change]] = []
    for change in lane:
        if ways and change.us - ways[-1][-1].us < _WAY_GAP_US:
            ways[-1].append(change)
        else:
            ways.append([change])
    return ways


def _way(way: Sequence[Change], name: str) -> Iterator[tuple[Change, Expectation]]:
    """Two changes or fewer as they are; of more, the places now and then, and the last."""
    if len(way) <= 2:
        for change in way:
            to = _shares(change)
            at_us = _nearest_ms(change.us)
            yield change, Expectation(at_us, InputKind.MOVE, change.control, name, to)
        return
    named_us = way[0].us
    for number, change in enumerate(way):
        at_us = -(-change.us // _MS_US) * _MS_US
        is_last = number == len(way) - 1
        if not is_last and (change.us - named_us < _PLACE_EVERY_US or way[number + 1].us <= at_us):
            continue
        named_us = change.us
        to = _shares(change)
        yield change, Expectation(at_us, InputKind.MOVE, change.control, name, to, settles=True)


def _shares(change: Change) -> tuple[float, float]:
    if isinstance(change.value, tuple):
        x, y = (round(part / STICK_FULL, 2) for part in change.value)
        return x, y
    value = change.value or 0
    return round(value / TRIGGER_FULL, 2), 0.0


def _nearest_ms(us: int) -> int:
    return (us + _MS_US // 2) // _MS_US * _MS_US
