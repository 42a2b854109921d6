"""From the bytes of a file to checked values, with the files that it includes."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from remapd.diagnostics import Span
from remapd.language import messages
from remapd.language.characters import report_control_characters, report_stray_characters
from remapd.language.context import Context
from remapd.language.evaluate import Evaluator, first_place
from remapd.language.kinds import Group
from remapd.language.nodes import MappingNode, Node, ScalarNode
from remapd.language.plain_file import LARGEST_KIB, NotPlainError, bytes_of
from remapd.language.reporter import Reporter
from remapd.language.scalars import read_whole
from remapd.language.schema import LANGUAGE_VERSION, LAYOUT
from remapd.language.text import SourceText
from remapd.language.values import Entry, Fields
from remapd.language.yaml_subset import read_nodes

_BYTE_ORDER_MARKS = (b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")
#: What is taken from an included file, and so what is checked in it.
_INCLUDED = Group(
    LAYOUT.called,
    tuple(each for each in LAYOUT.fields if each.name in ("remapd", "include", "devices")),
)


@dataclass(slots=True)
class Reading:
    """What was read of a layout: the checked values of its own file, and all devices."""

    fields: Fields | None = None
    root: Node | None = None
    devices: list[Entry] = field(default_factory=list)
    #: Whether devices could not be read, so that no control can be said to be unknown.
    incomplete: bool = False
    files: list[Path] = field(default_factory=list)
    names: list[str] = field(default_factory=list)


class Reader:
    """Reads one layout file and those it includes; all faults go to the reporter."""

    def __init__(self, reporter: Reporter, instead: Mapping[Path, bytes] | None = None) -> None:
        self.reporter = reporter
        #: Contents that are taken for those of files.
        self.instead = instead or {}
        self.evaluator = Evaluator(reporter)
        self.reading = Reading()

    def file(self, path: Path) -> Reading:
        """Reads a layout file."""
        content = self.content(path, str(path), Span(str(path), 1, 1, 1, 1))
        if content is not None:
            self.layout(content, str(path), path)
        return self.reading

    def text(self, content: bytes, name: str) -> Reading:
        """Reads a layout that is no file; what it includes is looked for in the current folder."""
        self.layout(content, name, Path(name))
        return self.reading

    def layout(self, content: bytes, name: str, path: Path) -> None:
        """The layout's own file."""
        root = self.nodes(content, name)
        self.reading.root = root
        if root is None:
            return
        if not isinstance(root, MappingNode):
            self.not_a_layout(root)
            return
        if not self.check_version(root):
            return
        value = self.evaluator.read(root, LAYOUT, Context("a layout"))
        if value is None:
            return
        fields: Fields = value.data
        self.reading.fields = fields
        self.take_devices(fields, path, [path])
        if not fields.written("devices") and not fields.written("include"):
            self.reporter.report(messages.NO_DEVICES, first_place(root))

    def take_devices(self, fields: Fields, path: Path, within: list[Path]) -> None:
        """The devices of the file that is included, then the file's own."""
        include = fields.value("include")
        if include is not None:
            self.include(include.data, include.span, path, within)
        elif fields.written("include"):
            self.reading.incomplete = True
        devices = fields.value("devices")
        if devices is not None:
            self.reading.devices += devices.data.items
        elif fields.written("devices"):
            self.reading.incomplete = True

    def include(self, written: str, span: Span, path: Path, within: list[Path]) -> None:
        """The devices of another file; `within` are those that are being read for it."""
        target = path.parent / written
        name = str(target)
        if _same_place(target, within):
            self.reporter.report(messages.INCLUDE_CIRCLE, span, path=written)
            self.reading.incomplete = True
            return
        content = self.content(target, written, span)
        root = None if content is None else self.nodes(content, name)
        if root is None:
            self.reading.incomplete = True
            return
        if not isinstance(root, MappingNode):
            self.not_a_layout(root)
            self.reading.incomplete = True
            return
        if not self.check_version(root):
            self.reading.incomplete = True
            return
        known = {each.name for each in LAYOUT.fields}
        taken = {each.name for each in _INCLUDED.fields}
        relevant = MappingNode(
            root.span,
            [(k, v) for k, v in root.entries if k.text in taken or k.text not in known],
        )
        value = self.evaluator.read(relevant, _INCLUDED, Context("a layout"))
        if value is None:
            self.reading.incomplete = True
            return
        fields: Fields = value.data
        if not fields.written("devices") and not fields.written("include"):
            self.reporter.report(messages.INCLUDE_WITHOUT_DEVICES, span, path=written)
        self.take_devices(fields, target, [*within, target])

    def content(self, path: Path, written: str, span: Span) -> bytes | None:
        """The bytes of a file; its name is kept, so that it is watched even where it is missing."""
        self.reading.files.append(path)
        if path in self.instead:
            return self.instead[path]
        message = messages.FILE_UNREADABLE
        reason = ""
        try:
            return bytes_of(path)
        except FileNotFoundError:
            message = messages.FILE_MISSING
        except NotPlainError:
            message = messages.NOT_A_FILE
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or str(error)
        self.reporter.report(message, span, path=written, reason=reason)
        return None

    def nodes(self, content: bytes, name: str) -> Node | None:
        """The file's nodes; None where it cannot be read."""
        source = self.source(content, name)
        if source is None:
            return None
        report_control_characters(source, self.reporter)
        if self.reporter.has_errors_in(name):
            return None
        before = len(self.reporter.diagnostics)
        root, scalars = read_nodes(source, self.reporter)
        of_the_parser = self.reporter.diagnostics[before:]
        del self.reporter.diagnostics[before:]
        report_stray_characters(source, scalars, self.reporter)
        self.reporter.silence_faulty_lines()
        self.reporter.add_again(of_the_parser)
        self.reporter.silence_faulty_lines()
        if root is None and not self.reporter.has_errors_in(name):
            self.reporter.report(messages.EMPTY_FILE, source.start())
        if isinstance(root, ScalarNode) and root.is_empty:
            self.reporter.report(messages.EMPTY_FILE, source.start())
            return None
        return root

    def source(self, content: bytes, name: str) -> SourceText | None:
        """The text of the bytes."""
        self.reading.names.append(name)
        start = Span(name, 1, 1, 1, 1)
        if len(content) > LARGEST_KIB * 1024:
            self.reporter.report(messages.FILE_TOO_LARGE, start, limit=LARGEST_KIB)
            return None
        if content.startswith(_BYTE_ORDER_MARKS):
            self.reporter.report(messages.BYTE_ORDER_MARK, start)
            return None
        try:
            text = content.decode("utf-8")
        except UnicodeDecodeError as error:
            good = SourceText(name, content[: error.start].decode("utf-8"))
            self.reporter.texts[name] = good
            line = len(good.lines)
            self.reporter.report(messages.NOT_UTF8, good.span_at(line, len(good.lines[-1]) + 1))
            return None
        source = SourceText(name, text)
        self.reporter.texts[name] = source
        return source

    def check_version(self, root: MappingNode) -> bool:
        """Whether it says `remapd: 1`, or at least no other version; that it does so first."""
        for number, (key, value) in enumerate(root.entries):
            if key.text != "remapd":
                continue
            if number > 0:
                self.reporter.report(messages.VERSION_NOT_FIRST, key.span)
            version = read_whole(value.text) if isinstance(value, ScalarNode) else None
            if version is not None and version != LANGUAGE_VERSION:
                self.reporter.report(messages.WRONG_VERSION, value.span, version=version)
                return False
        return True

    def not_a_layout(self, root: Node) -> None:
        """Reports a file that is a list, or a single word."""
        self.evaluator.not_a_group(
            root, Context("a layout"), [each.name for each in LAYOUT.fields if each.required]
        )


def _same_place(path: Path, others: list[Path]) -> bool:
    real = os.path.realpath(path)
    return any(real == os.path.realpath(other) for other in others)
