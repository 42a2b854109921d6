"""Checks nodes against the schema, and makes values of them; all faults are found in one pass."""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction
from typing import Any

from remapd.diagnostics import Span
from remapd.language import kinds, messages
from remapd.language.context import Context, context_of
from remapd.language.describe import describe
from remapd.language.evaluate_words import read_word
from remapd.language.kinds import Decided, Deciders, Field, Group, Kind, ListOf, MapOf, Names
from remapd.language.meant import (
    group_meant,
    name_meant,
    several_meant,
    unwanted,
    with_decimals_joined,
)
from remapd.language.names import NAME
from remapd.language.nodes import ListNode, MappingNode, Node, ScalarNode
from remapd.language.reporter import Reporter
from remapd.language.schema import resolve
from remapd.language.unknown_words import report_unknown_action, report_unknown_setting
from remapd.language.values import Entries, Entry, Fields, Value

_GLUED = re.compile(r"""([a-z][a-z0-9.-]*):(\S.*)""")


class Evaluator:
    """Reads nodes by kinds. A broken node gives None, and has been reported."""

    def __init__(self, reporter: Reporter) -> None:
        self.reporter = reporter

    def group(self, node: Node, group: Group, context: Context) -> Fields | None:
        """A mapping by the settings of a group."""
        value = self.read(node, group, context)
        return None if value is None else value.data

    def read(self, node: Node, kind: Kind, context: Context) -> Value | None:
        """A node by its kind."""
        kind = resolve(kind)
        if isinstance(node, ScalarNode) and node.is_empty and not isinstance(kind, kinds.FreeForm):
            self.reporter.report(
                messages.NO_VALUE,
                node.span,
                what=context.what,
                wanted=f"behind the colon {describe(kind)}"
                if not isinstance(kind, MapOf) or kind.key is not Names.BINDING_KEY
                else "below it, moved in, what its controls do, such as `left-knee: south`",
                notes=context.notes,
            )
            return None
        match kind:
            case kinds.Either():
                if isinstance(node, MappingNode):
                    return self.read(node, kind.group, context)
                is_word = isinstance(resolve(kind.single), kinds.Word | kinds.Reference)
                if is_word and self.glued(node):
                    return None
                return self.read(node, kind.single, context)
            case ListOf():
                return self.list_of(node, kind, context)
            case Group():
                return self.settings(node, kind, context)
            case Decided():
                return self.decided(node, kind, context)
            case MapOf():
                return self.map_of(node, kind, context)
            case kinds.FreeForm():
                return Value(plain_data(node), node)
            case _:
                return self.word(node, kind, context)

    def word(self, node: Node, kind: Kind, context: Context) -> Value | None:
        """A kind that is one word."""
        if not isinstance(node, ScalarNode):
            self.reporter.report(
                messages.NOT_ONE_VALUE,
                node.span,
                what=context.what,
                found=what_it_is(node),
                remedies=[several_meant(node, kind) or f"write {describe(kind)}"],
                notes=context.notes,
            )
            return None
        data = read_word(node, kind, context.what, context.notes, self.reporter)
        return None if data is None else Value(data, node)

    def list_of(self, node: Node, kind: ListOf, context: Context) -> Value | None:
        """A list; all its items are read, though one is broken."""
        if not isinstance(node, ListNode):
            self.reporter.report(
                messages.NOT_A_LIST,
                node.span,
                what=context.what,
                found=what_it_is(node),
                remedies=listed(node),
                notes=context.notes,
            )
            return None
        whole = True
        if len(node.items) < kind.minimum:
            self.too_few(node, kind.minimum, len(node.items), context)
            whole = False
        if kind.maximum and len(node.items) > kind.maximum:
            self.reporter.report(
                messages.TOO_MANY,
                node.span,
                what=context.what,
                count=counted(kind.maximum),
                found=len(node.items),
                notes=context.notes,
            )
            whole = False
        items: list[Value] = []
        seen: set[str] = set()
        inside = Context(f"a part of {context.what}", context.gloss)
        for item in node.items:
            value = self.read(item, kind.item, inside)
            if value is None:
                whole = False
                continue
            if kind.without_repeats and isinstance(item, ScalarNode):
                if item.text in seen:
                    self.reporter.report(messages.REPEATED_ITEM, item.span, word=item.text)
                    whole = False
                seen.add(item.text)
            items.append(value)
        if whole:
            return Value(items, node)
        # The good ones are looked at all the same, so that all faults of the file are shown; a list
        # of so many parts that each has its place cannot be.
        return Value(items, node, lacks=True) if items and not kind.maximum else None

    def settings(self, node: Node, group: Group, context: Context, word: str = "") -> Value | None:
        """A mapping with known settings; broken ones are left out of its `Fields`.

        `word` is the one that it was known by, where that is not the group's own.
        """
        where = f"`{word}`" if word else group.called
        if not isinstance(node, MappingNode):
            self.not_a_group(node, context, [each.name for each in group.fields])
            return None
        fields = Fields(group, node)
        known = {each.name: each for each in group.fields}
        entries = with_decimals_joined(node.entries, known)
        written = {key.text for key, _ in entries}
        missing = [each for each in group.fields if each.required and each.name not in written]
        unknown: list[ScalarNode] = []
        for key, item in entries:
            field = known.get(key.text)
            if field is None:
                if not self.glued(key, item):
                    unknown.append(key)
                continue
            fields.keys[field.name] = key
            value = self.read(item, field.kind, context_of(field, key))
            if value is not None:
                fields.values[field.name] = value
        if len(node.entries) < group.minimum:
            self.too_few(node, group.minimum, 0, context)
        if len(unknown) == len(missing) == 1:  # one and the same fault: a word for another
            report_unknown_setting(
                self.reporter, unknown[0], where, known, written, instead=missing[0]
            )
            return Value(fields, node)
        for key in unknown:
            report_unknown_setting(self.reporter, key, where, known, written)
        for each in missing:
            self.reporter.report(
                messages.MISSING_SETTING,
                context.name_span or first_place(node),
                where=where,
                name=each.name,
                remedies=unwanted(each.name),
                notes=context_of(each).notes,
            )
        for each in group.fields:
            if each.goes_with and each.name in fields.values:
                self.check_company(fields, each, *each.goes_with)
        return Value(fields, node)

    def check_company(self, fields: Fields, field: Field, other: str, word: str) -> None:
        """A setting that counts only beside another one."""
        if fields.data(other) == word or (other in fields.keys and other not in fields.values):
            return
        self.reporter.report(
            messages.SETTING_WITHOUT_EFFECT,
            fields.keys[field.name].span,
            name=field.name,
            other=other,
            word=word,
            notes=context_of(field).notes,
        )

    def decided(self, node: Node, kind: Decided, context: Context) -> Value | None:
        """A mapping that one of its settings decides."""
        if not isinstance(node, MappingNode):
            self.not_a_group(node, context, list(kind.groups))
            return None
        chosen: dict[int, tuple[str, ScalarNode]] = {}
        for key, _ in node.entries:
            if key.text in kind.groups:
                chosen.setdefault(id(kind.groups[key.text]), (key.text, key))
            elif key.text in kind.elsewhere and not chosen:
                self.reporter.report(
                    messages.ACTION_OUT_OF_PLACE,
                    key.span,
                    name=key.text,
                    remedies=[kind.elsewhere[key.text]],
                )
                return None
        deciders = list(chosen.values())
        if not deciders:
            self.undecided(node, kind)
            return None
        if len(deciders) > 1:
            (first, _), (second, key) = deciders[:2]
            message = (
                messages.TWO_ACTIONS if kind.of is Deciders.ACTION else messages.TWO_CONTROL_KINDS
            )
            self.reporter.report(message, key.span, first=first, second=second)
            return None
        word = deciders[0][0]
        written = word if kind.of is Deciders.ACTION else ""
        value = self.settings(node, kind.groups[word], context, written)
        if value is not None:
            value.data.decider = kind.groups[word].fields[0].name
        return value

    def undecided(self, node: MappingNode, kind: Decided) -> None:
        """No setting tells which kind of group this is."""
        settings = {field.name for group in kind.groups.values() for field in group.fields}
        unknown = next((pair for pair in node.entries if pair[0].text not in settings), None)
        if unknown is not None and self.glued(*unknown):
            return
        if kind.of is Deciders.CONTROL:
            near = (unknown[0].text, kind.groups) if unknown else None
            self.reporter.report(
                messages.NO_CONTROL_KIND, (unknown[0] if unknown else node).span, near=near
            )
        elif unknown is not None:
            report_unknown_action(self.reporter, *unknown, kind)
        else:
            self.reporter.report(messages.NO_ACTION, first_place(node))

    def map_of(self, node: Node, kind: MapOf, context: Context) -> Value | None:
        """A mapping with names of the writer's own; a broken entry keeps its name."""
        if not isinstance(node, MappingNode):
            self.not_a_group(node, context, [], is_layer=kind.key is Names.BINDING_KEY)
            return None
        entries = Entries(node)
        if len(node.entries) < kind.minimum:
            self.too_few(node, kind.minimum, 0, context)
        for key, item in node.entries:
            if self.glued(key, item):
                continue
            if kind.key is Names.NEW and not NAME.fullmatch(key.text):
                self.reporter.report(
                    messages.BAD_NAME, key.span, name=key.text, remedies=name_meant(key.text)
                )
                # its value is still read, so that all faults of the file are shown
            inside = Context(f"`{key.text}`" if key.text else "this", "", key.span)
            entries.items.append(Entry(key, self.read(item, kind.value, inside)))
        return Value(entries, node)

    def too_few(self, node: Node, minimum: int, found: int, context: Context) -> None:
        """Reports a list or group that has not enough parts."""
        self.reporter.report(
            messages.TOO_FEW,
            node.span,
            what=context.what,
            count=counted(minimum),
            found=found or "none",
            notes=context.notes,
        )

    def not_a_group(
        self, node: Node, context: Context, names: Iterable[str], *, is_layer: bool = False
    ) -> None:
        """Reports a word or list where settings are wanted; `names` are some of them."""
        if self.glued(node):
            return
        names = list(names)
        if isinstance(node, ScalarNode) and (group := group_meant(node.text, names)):
            self.reporter.report(
                messages.NOT_A_GROUP,
                node.span,
                what=context.what,
                found=what_it_is(node),
                remedies=[f"did you mean `{group}`?"],
                notes=context.notes,
            )
            return
        example = ", ".join(f"`{each}`" for each in names[:6])
        plain = "write it as `name: value`"
        if isinstance(node, ListNode):
            plain = "leave the dashes out: each `name: value` stands on a line of its own"
        elif is_layer:
            plain = (
                "write the name of a layer above it, such as `play:`, and move all that the layer "
                "says in below that"
            )
        self.reporter.report(
            messages.NOT_A_GROUP,
            node.span,
            what=context.what,
            found=what_it_is(node),
            remedies=[f"write its settings as `name: value`; among them are {example}"]
            if example
            else [plain],
            notes=context.notes,
        )

    def glued(self, node: Node, value: Node | None = None) -> bool:
        """Whether a name and its value are stuck together (`a:b`); reports it."""
        if not isinstance(node, ScalarNode) or not node.plain:
            return False
        if value is not None and not (isinstance(value, ScalarNode) and value.is_empty):
            return False
        found = _GLUED.fullmatch(node.text)
        if found is None:
            return False
        self.reporter.report(messages.SPACE_MISSING, node.span, name=found[1], value=found[2])
        return True


def first_place(node: MappingNode) -> Span:
    """Where a group begins: its first name, or its braces where it is empty."""
    return node.entries[0][0].span if node.entries else node.span


def what_it_is(node: Node) -> str:
    """A node as a message calls it."""
    if isinstance(node, ListNode):
        return "a list"
    if isinstance(node, MappingNode):
        return "a group of settings"
    return f"the word `{' '.join(node.text.split())}`"


def listed(node: Node) -> list[str]:
    """A word as a list of it alone, as a remedy."""
    if not isinstance(node, ScalarNode) or not re.fullmatch(r"[\w.-]+", node.text):
        return []
    return [f"did you mean `[{node.text}]`?"]


def counted(number: int) -> str:
    """`one part`, `two parts`."""
    return {1: "one part", 2: "two parts"}.get(number, f"{number} parts")


def plain_data(node: Node) -> Any:
    """A free-form part of the file as strings, numbers, booleans, lists and dicts."""
    if isinstance(node, MappingNode):
        return {key.text: plain_data(value) for key, value in node.entries}
    if isinstance(node, ListNode):
        return [plain_data(item) for item in node.items]
    if not node.plain:
        return node.text
    if node.is_empty:
        return None
    if node.text in ("true", "false"):
        return node.text == "true"
    if re.fullmatch(r"-?(0|[1-9]\d{0,14})", node.text):
        return int(node.text)
    if re.fullmatch(r"-?(0|[1-9]\d{0,14})\.\d{1,15}", node.text):
        return float(Fraction(node.text))
    return node.text
