"""`merge:` to one rule for each slot; the narrowest that is written wins."""

from __future__ import annotations

from remapd.diagnostics import Span
from remapd.engine.layout import DEFAULT_RULES, Rule, RuleKind
from remapd.engine.pad_controls import DPAD, SLOT_HORIZONTAL, SLOT_LEFT_STICK, SLOT_VERTICAL
from remapd.language import messages
from remapd.language.build_actions import ActionBuilder
from remapd.language.build_devices import Places
from remapd.language.values import Entries, Entry, Fields, Value

_DEFAULT_AFTER_PLAYER_US = 400_000
_GROUPS = {
    "buttons": range(SLOT_LEFT_STICK),
    "sticks": range(SLOT_LEFT_STICK, len(DEFAULT_RULES)),
    "dpad": (SLOT_VERTICAL, SLOT_HORIZONTAL),
}
#: The wider first, so that the narrower overwrites it.
_WIDTHS = ("buttons", "sticks", "dpad", "single")


def build_rules(entries: Entries, builder: ActionBuilder, places: Places) -> tuple[Rule, ...]:
    """The rules of all slots. Broken lines are reported and left out."""
    written: dict[str, dict[int, tuple[Rule, Span]]] = {width: {} for width in _WIDTHS}
    for entry in entries.items:
        places["merge", entry.name] = entry.key.span
        width, slots = _slots(entry, builder)
        rule = _rule(entry.value)
        if rule is None or not slots or not _fits(entry, rule, slots, builder):
            continue
        for slot in sorted(slots):
            earlier = written[width].get(slot)
            if earlier is not None and earlier[0] != rule:
                builder.reporter.report(
                    messages.MERGE_RULES_DIFFER,
                    entry.key.span,
                    name=entry.name,
                    notes=[("the other rule is here", earlier[1])],
                )
                break
            written[width][slot] = (rule, entry.key.span)
    rules = list(DEFAULT_RULES)
    for width in _WIDTHS:
        for slot, (rule, _) in written[width].items():
            rules[slot] = rule
    return tuple(rules)


def _slots(entry: Entry, builder: ActionBuilder) -> tuple[str, set[int]]:
    if entry.name in _GROUPS:
        return entry.name, set(_GROUPS[entry.name])
    if builder.pad.stick(entry.name) == DPAD:  # a verb for the whole d-pad
        return "dpad", set(_GROUPS["dpad"])
    if builder.pad.knows(entry.name):
        return "single", builder.slots(Value(entry.name, entry.key))
    builder.reporter.report(
        messages.UNKNOWN_PAD_CONTROL,
        entry.key.span,
        name=entry.name,
        near=(entry.name, [*_GROUPS, *builder.pad.words(sticks=True)]),
    )
    return "single", set()


def _rule(value: Value | None) -> Rule | None:
    if value is None:
        return None
    if not isinstance(value.data, Fields):
        return Rule(RuleKind(value.data), _DEFAULT_AFTER_PLAYER_US)
    kind = value.data.data("rule")
    if kind is None:
        return None
    return Rule(RuleKind(kind), value.data.data("after-player", _DEFAULT_AFTER_PLAYER_US))


def _fits(entry: Entry, rule: Rule, slots: set[int], builder: ActionBuilder) -> bool:
    """Whether the rule is one for this kind of pad control."""
    is_stick = min(slots) >= SLOT_LEFT_STICK
    if rule.kind is (RuleKind.EITHER if is_stick else RuleKind.SUM):
        value = entry.value
        place = value.span if value is not None else entry.key.span
        if value is not None and isinstance(value.data, Fields) and value.data.value("rule"):
            place = value.data.values["rule"].span
        fitting = [
            each.value
            for each in RuleKind
            if each is not (RuleKind.EITHER if is_stick else RuleKind.SUM)
        ]
        builder.reporter.report(
            messages.MERGE_RULE_UNFIT,
            place,
            rule=rule.kind.value,
            kind="sticks" if is_stick else "buttons and triggers",
            remedies=[f"rules for them: {', '.join(f'`{each}`' for each in fitting)}"],
        )
        return False
    return True
