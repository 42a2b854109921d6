"""What became of a press, in one plain sentence."""

from __future__ import annotations

from remapd.analysis.reach.goals import Names, goal_name
from remapd.analysis.reach.possible import targets_of
from remapd.analysis.reach.words import milliseconds, seconds
from remapd.analysis.why.press_log import Fate, Press
from remapd.engine.actions import Action, Nothing, OnceTwice, OnRelease, ShortLong
from remapd.engine.buttons import Refusal
from remapd.engine.layout import RuleKind
from remapd.engine.pad_controls import HELPER, PERSON_NAMES, PLAYER, slot_of_target


def outcome(press: Press) -> str:
    """What a press came to, as briefly as it can be told apart from others."""
    match press.fate:
        case Fate.IGNORED:
            return "ignored"
        case Fate.RESTING:
            return "nothing: everything rests"
        case Fate.NO_ACTION:
            return "nothing: no layer gives it an action"
        case Fate.LISTED:
            return press.offered or "on to the next item of the list"
        case _:
            return chosen(press)


def chosen(press: Press) -> str:
    """Which of the actions that a press can choose between it chose, in the layout's words."""
    action = press.action
    match action:
        case ShortLong():
            return action.long.label if press.is_long else action.short.label
        case OnceTwice():
            return action.twice.label if press.is_second else action.once.label
        case None:
            return "nothing"
        case _:
            return action.label


def sentence(press: Press, *, answered: bool = False) -> str:
    """One plain sentence; `answered`: of two presses that together are a double, the first."""
    return _because(press, answered) + _not_counted(press)


def _because(press: Press, answered: bool) -> str:
    match press.fate:
        case Fate.IGNORED:
            return _ignored(press)
        case Fate.RESTING:
            return "pressed while everything rests, when nothing counts"
        case Fate.NO_ACTION:
            names = ", ".join(press.layout.layers[layer].name for layer in reversed(press.layers))
            return f"pressed, but no layer that was on gives it anything to do ({names})"
        case Fate.LISTED:
            if press.offered:
                return f"took {press.offered}, which the list offered"
            return "went on to the next item of the list"
        case Fate.CHORD:
            partner = press.layout.buttons[press.partner or 0].name
            return f"pressed together with {partner}: {chosen(press)}"
        case Fate.ACTION:
            return _acted(press, answered)


def _ignored(press: Press) -> str:
    held, limit = milliseconds(press.held_us // 1000 * 1000), milliseconds(press.limit_us)
    match press.refusal:
        case Refusal.ACCEPTANCE_DELAY:
            return (
                f"touched for {held} and ignored: a touch counts from {limit} on "
                "(`acceptance-delay`)"
            )
        case Refusal.REPEAT_GUARD:
            return (
                f"came again {held} after the last press and was ignored: a press counts again "
                f"after {limit} (`repeat-guard`)"
            )
        case _:
            return (
                f"closed for {held} within {limit} after a release: taken for chatter of the "
                "contact (`debounce`)"
            )


def _acted(press: Press, answered: bool) -> str:
    layer = press.layout.layers[press.layer].name
    held_us = press.action_held_us
    held = "held to the end" if held_us is None else f"held for {seconds(_rounded(held_us))}"
    action = press.action
    match action:
        case Nothing():
            return f"pressed, but blocked in the layer {layer} (`nothing`)"
        case ShortLong():
            after = seconds(action.after_us)
            if press.is_long:
                return f"{held}, a long press: {action.long.label} (layer {layer}, after {after})"
            return (
                f"{held}, a short press: {action.short.label} (layer {layer}; from {after} on it "
                f"would have been {action.long.label})"
            )
        case OnceTwice():
            within = seconds(action.within_us)
            if press.is_second:
                return f"pressed for the second time within {within}: {action.twice.label}"
            if answered:
                return f"pressed for the first time of two, for {action.twice.label}"
            return f"pressed once: {action.once.label} (no second press within {within})"
        case OnRelease():
            return f"let go: {action.action.label} (layer {layer})"
        case _:
            how = ", let go before a partner for a chord came" if press.tapped else ""
            return f"pressed{how}: {chosen(press)} (layer {layer})"


def _not_counted(press: Press) -> str:
    """Whose part counts is for the merge rules to say."""
    if press.action is None or press.fate not in {Fate.ACTION, Fate.CHORD, Fate.LISTED}:
        return ""
    names = Names(press.layout)
    for target in sorted(targets_of(_chosen_action(press.action, press))):
        kind = press.layout.rules[slot_of_target(target)].kind
        name = names.of(goal_name(target))
        if kind is RuleKind.BOTH:
            return f"; {name} counts only while the {_other(press.person)} presses it too"
        if (kind is RuleKind.PLAYER_ONLY and press.person == HELPER) or (
            kind is RuleKind.HELPER_ONLY and press.person == PLAYER
        ):
            return f"; but {name} is for the {_other(press.person)} alone ({kind.value})"
    return ""


def _chosen_action(action: Action, press: Press) -> Action:
    match action:
        case ShortLong():
            return action.long if press.is_long else action.short
        case OnceTwice():
            return action.twice if press.is_second else action.once
        case _:
            return action


def _other(person: int) -> str:
    return PERSON_NAMES[1 - person]


def _rounded(us: int) -> int:
    """To the millisecond below a second, else to the hundredth of a second."""
    return us // 1_000 * 1_000 if us < 1_000_000 else us // 10_000 * 10_000
