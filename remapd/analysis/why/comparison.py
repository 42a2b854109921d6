"""What another value would have gained and lost over a whole recording."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from remapd.analysis.why.leaning import Lean
from remapd.analysis.why.outcomes import outcome
from remapd.analysis.why.press_log import Press

#: A press that begins at another time with the other value is the same one within this.
_SAME_US = 150_000


@dataclass(slots=True)
class Difference:
    """Presses that come to something else with the other value.

    Attributes:
        gained: Presses that count only with it, by what they come to.
        lost: Presses that count only without it, likewise.
        changed: Presses that count both ways and come to something else: before and after.
    """

    gained: Counter[tuple[str, str]] = field(default_factory=Counter)
    lost: Counter[tuple[str, str]] = field(default_factory=Counter)
    changed: Counter[tuple[str, str, str]] = field(default_factory=Counter)


def compare(before: Iterable[Press], after: Iterable[Press]) -> Difference:
    """What is different between two playings of one recording."""
    difference = Difference()
    others: defaultdict[str, list[Press]] = defaultdict(list)
    for press in after:
        others[press.name].append(press)
    for each in others.values():
        each.sort(key=lambda press: press.begun_us)
    used: set[int] = set()
    for press in before:
        same = _same(press, others[press.name], used)
        was = press.accepted_us is not None
        counts = same is not None and same.accepted_us is not None
        if was and not counts:
            difference.lost[press.name, outcome(press)] += 1
        elif counts and not was and same is not None:
            difference.gained[press.name, outcome(same)] += 1
        elif counts and same is not None and outcome(press) != outcome(same):
            difference.changed[press.name, outcome(press), outcome(same)] += 1
    for presses in others.values():
        for press in presses:
            if id(press) not in used and press.accepted_us is not None:
                difference.gained[press.name, outcome(press)] += 1
    return difference


def _same(press: Press, others: list[Press], used: set[int]) -> Press | None:
    """The nearest press of the other playing that began at about the same time."""
    at = bisect_left(others, press.begun_us - _SAME_US, key=lambda other: other.begun_us)
    nearest: Press | None = None
    for other in others[at:]:
        if other.begun_us > press.begun_us + _SAME_US:
            break
        if id(other) not in used and (
            nearest is None
            or abs(other.begun_us - press.begun_us) < abs(nearest.begun_us - press.begun_us)
        ):
            nearest = other
    if nearest is not None:
        used.add(id(nearest))
    return nearest


def told(difference: Difference) -> str:
    """The difference in words: `over the whole recording it gains 3 presses (…), loses none`."""
    parts = [
        f"gains {_presses(difference.gained.total())}"
        + _listed(Counter({f"{name}: {what}": n for (name, what), n in difference.gained.items()})),
        f"loses {_presses(difference.lost.total())}"
        + _listed(Counter({f"{name}: {what}": n for (name, what), n in difference.lost.items()})),
    ]
    changed = difference.changed.total()
    if changed:
        parts.append(
            f"changes {_presses(changed)}"
            + _listed(
                Counter(
                    {
                        f"{name}: {new} instead of {old}": n
                        for (name, old, new), n in difference.changed.items()
                    }
                )
            )
        )
    return f"over the whole recording it {', '.join(parts)}"


def told_of_motion(name: str, before: Iterable[Lean], after: Iterable[Lean]) -> str:
    """How often a control comes out of its rest, with and without the other value."""
    was, now = (
        sum(lean.left_rest for lean in leans if lean.name == name) for leans in (before, after)
    )
    return f"over the whole recording {name} moves the pad {_times(now)} instead of {_times(was)}"


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def _presses(count: int) -> str:
    return {0: "none", 1: "1 press"}.get(count, f"{count} presses")


def _listed(counts: Counter[str], most: int = 3) -> str:
    if not counts:
        return ""
    shown = [f"{text} ({count})" if count > 1 else text for text, count in counts.most_common(most)]
    if len(counts) > most:
        shown.append("…")
    return f" ({'; '.join(shown)})"
