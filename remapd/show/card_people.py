"""Who holds what, and how two people's parts become one pad, in the words of a card."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from remapd.engine.layout import DEFAULT_RULES, Layout, Rule, RuleKind
from remapd.engine.pad_controls import (
    HELPER,
    PERSON_NAMES,
    PLAYER,
    SLOT_HORIZONTAL,
    SLOT_LEFT_STICK,
    SLOT_VERTICAL,
    TARGET_NAMES,
)
from remapd.show.card_words import ActionWords, seconds, spoken

#: So many controls are named one by one.
_MOST_HELD = 10


def people_of(
    layout: Layout, shown: Sequence[int], collapsed: Sequence[int]
) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each person who holds something, and what: controls, and gamepads told as a whole."""
    for person in (PLAYER, HELPER):
        held = [
            spoken(layout.controls[number].name)
            for number in shown
            if layout.devices[layout.controls[number].device].person == person
        ]
        held += [
            spoken(layout.devices[index].name)
            for index in collapsed
            if layout.devices[index].person == person
        ]
        if len(held) > _MOST_HELD:
            held = [f"{len(held)} controls"]
        if held:
            yield PERSON_NAMES[person], tuple(held)


def rules_of(layout: Layout, words: ActionWords) -> Iterator[str]:
    """The rules of merging that are not the usual ones, where two people play."""
    if {device.person for device in layout.devices} != {PLAYER, HELPER}:
        return
    told: set[str] = set()
    for slot, rule in enumerate(layout.rules):
        if rule != DEFAULT_RULES[slot]:
            text = f"{words.pad_control(_slot_word(slot))[0]}: {_rule_words(rule)}"
            if text not in told:
                told.add(text)
                yield text


def _slot_word(slot: int) -> str:
    if slot < SLOT_VERTICAL:
        return TARGET_NAMES[slot]
    if slot in {SLOT_VERTICAL, SLOT_HORIZONTAL}:
        return "dpad"
    return "left-stick" if slot == SLOT_LEFT_STICK else "right-stick"


def _rule_words(rule: Rule) -> str:
    match rule.kind:
        case RuleKind.EITHER:
            return "either of the two"
        case RuleKind.PLAYER_FIRST:
            still = seconds(rule.after_player_us)
            return f"the player first; the helper when the player has been still for {still}"
        case RuleKind.STRONGER:
            return "whoever gives more"
        case RuleKind.SUM:
            return "what both give, added up"
        case RuleKind.BOTH:
            return "only when both do it"
        case RuleKind.PLAYER_ONLY:
            return "the player alone"
        case RuleKind.HELPER_ONLY:
            return "the helper alone"
