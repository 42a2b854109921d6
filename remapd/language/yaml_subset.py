"""Reads the part of YAML that a layout may use, into nodes with places.

The parser's events are read, nothing is loaded: no word turns into a boolean, a date or an octal
number by itself. Refused, each with its place and the way out: anchors, aliases, merge keys, tags,
directives, a second document, a name given twice, a name that is not one word, nesting deeper than
`DEEPEST`, and all that YAML itself cannot read, in our words instead of the parser's.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import yaml

from remapd.diagnostics import Span
from remapd.language import messages
from remapd.language.nodes import ListNode, MappingNode, Node, ScalarNode
from remapd.language.reporter import Reporter
from remapd.language.text import Mark, SourceText
from remapd.language.yaml_errors import DEEPEST, report_yaml_error

# The parser written in C is several times faster and is part of every usual build of PyYAML.
_LOADER: type = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class _Stop(Exception):
    """The rest of the file cannot be read; why has been reported."""


def read_nodes(source: SourceText, reporter: Reporter) -> tuple[Node | None, list[ScalarNode]]:
    """The file's one document as nodes.

    Returns:
        The root, or None where it could not be read (the reporter then has an error); and all
        scalars that were read, also those before a fault.
    """
    reading = _Reading(source, reporter)
    try:
        root = reading.document()
    except yaml.YAMLError as error:
        report_yaml_error(error, source, reporter)
        root = None
    except _Stop:
        root = None
    return root, reading.scalars


class _Reading:
    """One pass over the parser's events."""

    def __init__(self, source: SourceText, reporter: Reporter) -> None:
        self.source = source
        self.reporter = reporter
        self.scalars: list[ScalarNode] = []
        self.events: Iterator[yaml.Event] = yaml.parse(source.text, Loader=_LOADER)

    def document(self) -> Node | None:
        root: Node | None = None
        for event in self.events:
            if isinstance(event, yaml.DocumentStartEvent):
                if root is not None:
                    self.reporter.report(messages.SECOND_DOCUMENT, self.place(event))
                    raise _Stop
                if event.version is not None or event.tags:
                    self.reporter.report(messages.DIRECTIVE, self.source.start())
                root = self.node(next(self.events), 1)
        return root

    def node(self, event: yaml.Event, depth: int) -> Node:
        """The node that begins with an event."""
        self.refuse_marks(event)
        if isinstance(event, yaml.ScalarEvent):
            scalar = ScalarNode(event.value, self.place(event), not event.style)
            self.scalars.append(scalar)
            return scalar
        if isinstance(event, yaml.AliasEvent):
            self.reporter.report(messages.ALIAS, self.place(event), name=event.anchor)
            return ScalarNode("*" + str(event.anchor), self.place(event), plain=False)
        if depth > DEEPEST:
            self.reporter.report(messages.TOO_DEEP, self.place(event), deepest=DEEPEST)
            raise _Stop
        if isinstance(event, yaml.SequenceStartEvent):
            return self.list_node(event, depth)
        return self.mapping(event, depth)

    def list_node(self, start: yaml.Event, depth: int) -> ListNode:
        node = ListNode(self.place(start))
        for event in self.events:
            if isinstance(event, yaml.SequenceEndEvent):
                last = node.items[-1].span if node.items else None
                node.span = self.whole(start, event, last)
                break
            node.items.append(self.node(event, depth + 1))
        return node

    def mapping(self, start: yaml.Event, depth: int) -> MappingNode:
        node = MappingNode(self.place(start))
        first: dict[str, Span] = {}
        last: Span | None = None
        for event in self.events:
            if isinstance(event, yaml.MappingEndEvent):
                node.span = self.whole(start, event, last)
                break
            key = self.node(event, depth + 1)
            value = self.node(next(self.events), depth + 1)
            last = value.span
            if not isinstance(key, ScalarNode):
                self.reporter.report(messages.NAME_NOT_A_WORD, key.span)
            elif key.text == "<<" and key.plain:
                self.reporter.report(messages.MERGE_KEY, key.span)
            elif key.text in first:
                earlier = first[key.text]
                self.reporter.report(
                    messages.DUPLICATE_NAME,
                    key.span,
                    notes=[("the first one is here", earlier)],
                    name=key.text,
                    line=earlier.line,
                )
            else:
                first[key.text] = key.span
                node.entries.append((key, value))
        return node

    def refuse_marks(self, event: yaml.Event) -> None:
        """Anchors and tags may stand before any node."""
        if isinstance(event, yaml.AliasEvent):
            return
        anchor = getattr(event, "anchor", None)
        if anchor is not None:
            self.reporter.report(messages.ANCHOR, self.first_word(event), name=anchor)
        tag = getattr(event, "tag", None)
        if tag is not None:
            span = self.first_word(event)
            written = self.source.line(span.line)[span.column - 1 : span.end_column - 1]
            self.reporter.report(messages.TAG, span, tag=written or tag)

    def place(self, event: yaml.Event) -> Span:
        return self.source.span(_mark(event.start_mark), _mark(event.end_mark))

    def first_word(self, event: yaml.Event) -> Span:
        """The mark that an event begins with, to the next space."""
        span = self.place(event)
        rest = self.source.line(span.line)[span.column - 1 :]
        return self.source.span_at(span.line, span.column, len(rest.split(" ")[0]))

    def whole(self, start: yaml.Event, end: yaml.Event, last: Span | None) -> Span:
        """From the start of a collection to its last part: the parser's end is past blank lines."""
        span = self.source.span(_mark(start.start_mark), _mark(end.end_mark))
        is_block = _mark(end.start_mark) == _mark(end.end_mark)
        if last is None or not is_block:
            return span
        return Span(span.file, span.line, span.column, last.end_line, last.end_column)


def _mark(mark: Any) -> Mark:
    """A mark of the parser, which always has one; its types allow for none."""
    return Mark(mark.line, mark.column) if mark is not None else Mark(0, 0)
