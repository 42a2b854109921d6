"""The account of a stretch of a recording: each press, what became of it, and the value to try."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from remapd.analysis.reach.goals import DIRECTIONS
from remapd.analysis.why.leaning import Lean, LeanLog
from remapd.analysis.why.outcomes import sentence
from remapd.analysis.why.press_log import Fate, Press
from remapd.analysis.why.suggestions import Suggestion, for_lean, for_press, for_reach
from remapd.engine.actions import OnceTwice
from remapd.engine.layout import ButtonControl, LeverControl


@dataclass(frozen=True, slots=True)
class Entry:
    """One press or movement: when (microseconds), of what, what became of it, what to try."""

    us: int
    name: str
    text: str
    suggestion: Suggestion | None


def account(log: LeanLog, from_us: int, until_us: int) -> list[Entry]:
    """Every press and every movement that came to nothing, in their order."""
    presses = log.presses
    entries = [
        Entry(
            press.us,
            press.name,
            sentence(press, answered=_is_answered(press, presses)),
            None if _is_answered(press, presses) else for_press(press, presses),
        )
        for press in presses
        if from_us <= press.us <= until_us
    ]
    for lean in log.leans:
        if from_us <= lean.begun_us <= until_us:
            entry = _lean_entry(lean, log.farthest.get(lean.name, 1.0))
            if entry is not None:
                entries.append(entry)
    return sorted(entries, key=lambda entry: entry.us)


def _is_answered(press: Press, presses: Sequence[Press]) -> bool:
    """Whether the second press of two followed this one."""
    if not isinstance(press.action, OnceTwice) or press.is_second or press.fate is not Fate.ACTION:
        return False
    following = (
        each
        for each in presses
        if each.button == press.button
        and each.layout is press.layout
        and each.accepted_us is not None
        and each.accepted_us > (press.accepted_us or 0)
    )
    second = next(following, None)
    return second is not None and second.is_second


def _lean_entry(lean: Lean, farthest: float) -> Entry | None:
    control = lean.layout.controls[lean.control]
    if isinstance(control, ButtonControl) or lean.pressed:
        return None
    settings = control.settings
    suggestion = for_lean(lean)
    if lean.bound and not lean.whole:
        way = max(range(len(lean.peaks)), key=lambda n: lean.peaks[n])
        name = control.ends[way] if isinstance(control, LeverControl) else DIRECTIONS[way]
        peak = int(100 * lean.peaks[way])
        at = round(100 * settings.press_at)
        text = (
            f"moved {peak}% of the way {name}, not enough for a press: that is {at}% (`press-at`)"
        )
        if control.buttons[way] not in lean.bound:
            text = f"moved {peak}% of the way {name}, which does nothing in the layers that were on"
        return Entry(lean.begun_us, lean.name, text, suggestion)
    if lean.whole and not lean.left_rest:
        if suggestion is None:
            return None  # a stick that trembles at rest
        reached, zone = int(100 * lean.reach), round(100 * settings.dead_zone)
        text = f"moved {reached}% of its way, all of it inside the dead zone of {zone}%"
        return Entry(lean.begun_us, lean.name, text, suggestion)
    if lean.whole and lean.reach >= farthest - 0.01:
        reach = for_reach(lean, farthest)
        if reach is not None:
            text = f"moved {int(100 * lean.reach)}% of its way, the farthest in the whole recording"
            return Entry(lean.begun_us, lean.name, text, reach)
    return None
