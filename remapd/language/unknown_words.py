"""Reports words that the schema does not know, with what was meant by them."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from remapd.language import messages
from remapd.language.context import context_of
from remapd.language.kinds import Decided, Field
from remapd.language.meant import action_meant, is_plain_press
from remapd.language.nodes import Node, ScalarNode
from remapd.language.reporter import Reporter
from remapd.language.suggest import near_words


def report_unknown_setting(
    reporter: Reporter,
    key: ScalarNode,
    where: str,
    known: Mapping[str, Field],
    written: Collection[str],
    instead: Field | None = None,
) -> None:
    """Reports a setting that the group does not have; `instead` is one that it lacks."""
    open_names = [each for each in known if each not in written] or list(known)
    meant = instead is not None and near_words(key.text, open_names) in ([], [instead.name])
    reporter.report(
        messages.UNKNOWN_SETTING,
        key.span,
        where=where,
        name=key.text,
        near=None if meant else (key.text, open_names),
        remedies=[f"did you mean `{instead.name}`?"] if meant and instead else [],
        notes=context_of(instead).notes if instead else [],
    )


def report_unknown_action(reporter: Reporter, key: ScalarNode, item: Node, kind: Decided) -> None:
    """Reports a word that is no action, with the one that people mean by it."""
    meant = action_meant(key.text)
    remedies: list[str] = []
    notes: list[str] = []
    if is_plain_press(key.text) and isinstance(item, ScalarNode) and not item.is_empty:
        remedies = [
            f"a pad control alone is pressed as long as the control is: write `{item.text}`"
        ]
    elif is_plain_press(key.text) and not isinstance(item, ScalarNode):
        remedies = [f"an action stands by itself: leave `{key.text}:` and its braces out"]
    elif meant is not None and meant in kind.groups:
        remedies = [f"did you mean `{meant}`?"]
        notes = context_of(kind.groups[meant].fields[0]).notes
    reporter.report(
        messages.UNKNOWN_ACTION,
        key.span,
        name=key.text,
        near=None if remedies else (key.text, kind.groups),
        remedies=remedies,
        notes=notes,
    )
