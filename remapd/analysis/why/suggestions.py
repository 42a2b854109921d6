"""Which one value would have made something else of a press."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from math import ceil

from remapd.analysis.reach.goals import DIRECTIONS
from remapd.analysis.why.changes import ActionChange, Change, SettingChange, WindowChange
from remapd.analysis.why.leaning import Lean
from remapd.analysis.why.press_log import Fate, Press
from remapd.engine.actions import OnceTwice, ShortLong
from remapd.engine.buttons import Refusal
from remapd.engine.layout import ButtonControl, LeverControl

#: How near a time has to be to the limit for another limit to be thought of.
_SHORTER, _LONGER = 0.6, 1.6
_REFUSAL_FIELDS = {
    Refusal.ACCEPTANCE_DELAY: "acceptance_delay_us",
    Refusal.REPEAT_GUARD: "repeat_guard_us",
    Refusal.DEBOUNCE: "debounce_us",
}
#: A stick or lever that never gets farther than this has a reach of its own.
_LITTLE_REACH = 0.85


@dataclasses.dataclass(frozen=True, slots=True)
class Suggestion:
    """A value, and what it would have made of the press (or movement) it is suggested for."""

    change: Change
    effect: str


def for_press(press: Press, presses: Sequence[Press]) -> Suggestion | None:
    """The value that would have changed what became of a press, where one is near enough."""
    if press.refusal is not None:
        return _for_refusal(press)
    if press.fate is Fate.ACTION:
        if isinstance(press.action, ShortLong):
            return _for_after(press, press.action)
        if isinstance(press.action, OnceTwice) and not press.is_second:
            return _for_within(press, press.action, presses)
    if press.waited and press.fate is not Fate.CHORD:
        return _for_chord(press, presses)
    return None


def _for_refusal(press: Press) -> Suggestion | None:
    if press.refusal is None:
        return None
    step_us = 1_000 if press.held_us < 20_000 else 10_000
    value_us = press.held_us // step_us * step_us
    field = _REFUSAL_FIELDS[press.refusal]
    change = SettingChange(
        f"{press.refusal.value}: {duration(value_us)}",
        press.control_name,
        control=press.control_name,
        overrides=((field, value_us),),
    )
    return Suggestion(change, "would have let it count")


def _for_after(press: Press, action: ShortLong) -> Suggestion | None:
    held_us = press.action_held_us
    if held_us is None or press.tapped:
        return None
    if not press.is_long and held_us >= _SHORTER * action.after_us:
        after_us = held_us // 50_000 * 50_000
        effect = f"would have made it a long press: {action.long.label}"
    elif press.is_long and held_us <= _LONGER * action.after_us:
        after_us = (held_us // 50_000 + 1) * 50_000
        effect = f"would have made it a short press: {action.short.label}"
    else:
        return None
    new = dataclasses.replace(action, after_us=after_us)
    return Suggestion(_action_change(press, f"after: {duration(after_us)}", action, new), effect)


def _for_within(press: Press, action: OnceTwice, presses: Sequence[Press]) -> Suggestion | None:
    following = next(
        (
            each
            for each in presses
            if each.button == press.button
            and each.layout is press.layout
            and each.accepted_us is not None
            and press.accepted_us is not None
            and each.accepted_us > press.accepted_us
        ),
        None,
    )
    if following is None or following.action is not action or following.accepted_us is None:
        return None
    apart_us = following.accepted_us - (press.accepted_us or 0)
    if following.is_second or apart_us > _LONGER * action.within_us:
        return None
    within_us = (apart_us // 50_000 + 1) * 50_000
    new = dataclasses.replace(action, within_us=within_us)
    return Suggestion(
        _action_change(press, f"within: {duration(within_us)}", action, new),
        f"would have made one of it with the next press: {action.twice.label}",
    )


def _action_change(
    press: Press, setting: str, old: ShortLong | OnceTwice, new: ShortLong | OnceTwice
) -> Change:
    layer = press.layout.layers[press.layer].name
    return ActionChange(
        setting,
        f"{press.name} in {layer}",
        layer=layer,
        button=press.name,
        old=old,
        new=new,
    )


def _for_chord(press: Press, presses: Sequence[Press]) -> Suggestion | None:
    """Two that wait for each other, pressed a little too far apart."""
    layout = press.layout
    partners = {
        number
        for index in press.layers
        for chord in layout.layers[index].chords
        if press.button in (chord.first, chord.second)
        for number in (chord.first, chord.second)
    }
    for other in presses:
        if (
            other is press
            or other.layout is not layout
            or other.button not in partners - {press.button}
            or other.accepted_us is None
            or press.accepted_us is None
        ):
            continue
        apart_us = other.accepted_us - press.accepted_us
        if layout.chord_window_us <= apart_us <= _LONGER * layout.chord_window_us:
            window_us = (apart_us // 10_000 + 1) * 10_000
            return Suggestion(
                WindowChange(f"chord-window: {duration(window_us)}", window_us=window_us),
                f"would have made a chord of it with {other.name}, which came "
                f"{duration(apart_us // 1000 * 1000)} later",
            )
    return None


def for_lean(lean: Lean) -> Suggestion | None:
    """The value that would have made something of a movement that came to nothing."""
    control = lean.layout.controls[lean.control]
    if isinstance(control, ButtonControl) or lean.pressed:
        return None
    settings = control.settings
    if lean.bound and not lean.whole:
        way = max(range(len(lean.peaks)), key=lambda n: lean.peaks[n])
        peak = lean.peaks[way]
        if control.buttons[way] not in lean.bound or not (
            _SHORTER * settings.press_at <= peak < settings.press_at
        ):
            return None
        percent = int(100 * peak)
        release_at = min(settings.release_at, percent / 100 * 0.8)
        overrides = (("press_at", percent / 100), ("release_at", release_at))
        name = control.ends[way] if isinstance(control, LeverControl) else DIRECTIONS[way]
        return Suggestion(
            SettingChange(
                f"press-at: {percent}%",
                lean.name,
                control=lean.name,
                overrides=overrides,
            ),
            f"would have made a press of it ({name})",
        )
    if lean.whole and not lean.left_rest and lean.reach >= _SHORTER * settings.dead_zone:
        percent = ceil(100 * lean.reach - 1e-6) - 1  # at the dead zone's edge it still rests
        return Suggestion(
            SettingChange(
                f"dead-zone: {percent}%",
                lean.name,
                is_motion=True,
                control=lean.name,
                overrides=(("dead_zone", percent / 100),),
            ),
            "would have let it move",
        )
    return None


def for_reach(lean: Lean, farthest: float) -> Suggestion | None:
    """A reach of its own for a control that never got far in the whole recording."""
    control = lean.layout.controls[lean.control]
    if isinstance(control, ButtonControl) or not 0.3 <= farthest <= _LITTLE_REACH:
        return None
    percent = int(100 * farthest)
    fields = (
        ("reach",)
        if isinstance(control, LeverControl)
        else ("reach_left", "reach_right", "reach_up", "reach_down")
    )
    settings = control.settings
    overrides = tuple((name, getattr(settings, name) * percent / 100) for name in fields)
    shown = (
        f"{round(100 * overrides[0][1])}%"
        if len({value for _, value in overrides}) == 1
        else (f"{percent}% of what it is")
    )
    return Suggestion(
        SettingChange(
            f"reach: {shown}", lean.name, is_motion=True, control=lean.name, overrides=overrides
        ),
        "would have made all of the way of it",
    )


def duration(us: int) -> str:
    """A duration as a layout writes it."""
    if us % 1_000_000 == 0 and us:
        return f"{us // 1_000_000}s"
    if us >= 1_000_000:
        return f"{us / 1_000_000:g}s"
    return f"{us / 1_000:g}ms"
