"""One value changed in the text of a layout: every other character stays as it was written.

The value's own place in the text is replaced; where it is not written yet, it is added as the last
of its group, in the style of the group. What comes out is read again before it is given out, and
must differ from the text before in this one value and nothing else.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from typing import Any, Final

from remapd.diagnostics import Span
from remapd.language.nodes import ListNode, MappingNode, Node, ScalarNode
from remapd.language.reporter import Reporter
from remapd.language.text import SourceText
from remapd.language.yaml_subset import read_nodes

_LINE_END: Final = re.compile(r"\r\n|\n|\r")


class EditImpossible(Exception):
    """The value cannot be changed in the text as it stands; why, in words for a person."""


def tree_of(text: str, name: str = "layout") -> MappingNode | None:
    """The nodes of a text; None where it is no group of settings, or cannot be read."""
    reporter = Reporter()
    root, _ = read_nodes(SourceText(name, text), reporter)
    return root if isinstance(root, MappingNode) and not reporter.has_errors else None


def with_value(text: str, path: Sequence[str], value: str, *, is_words: bool = False) -> str:
    """The text with the value at `path` changed, or added where it is not written.

    Args:
        text: a layout, or a file that one includes, without faults of YAML.
        path: the names from the outermost group to the setting, at least one.
        value: as a layout would write it: a word, a number with its unit, `[…]` or `{…}`.
        is_words: the value is any text, and is put in quotes where it must be.

    Raises:
        EditImpossible: it is no single value, or the place is not one that this can change.
    """
    root = tree_of(text)
    if root is None:
        raise EditImpossible("the file cannot be read")
    wanted = _changed(_data(root), path, value if is_words else _value_data(value))
    for written in dict.fromkeys([value, json.dumps(value, ensure_ascii=False)][: 1 + is_words]):
        changed = _spliced(text, root, path, written)
        after = tree_of(changed)
        if after is not None and _data(after) == wanted:
            return changed
    raise EditImpossible(f"`{value}` cannot be written there; change it in an editor")


def source_of(text: str, span: Span) -> str:
    """What stands at a place of the text, as written."""
    starts = _line_starts(text)
    return text[_start(starts, span) : _end(starts, span)]


def _spliced(text: str, root: MappingNode, path: Sequence[str], value: str) -> str:
    node: Node = root
    group = root
    depth = 0
    while depth < len(path) and isinstance(node, MappingNode):
        group = node
        found = node.get(path[depth])
        if found is None:
            break
        node = found
        depth += 1
    starts = _line_starts(text)
    if depth == len(path):
        return _replaced(text, starts, node, path[-1], value)
    if not isinstance(node, MappingNode):
        raise EditImpossible(f"`{path[depth - 1]}` is not written as a group of settings")
    for name in reversed(path[depth + 1 :]):
        value = f"{{{name}: {value}}}"
    addition = f"{path[depth]}: {value}"
    if text.startswith("{", _start(starts, group.span)):
        return _added_in_braces(text, starts, group, addition)
    return _added_as_line(text, starts, group, addition, is_root=group is root)


def _replaced(text: str, starts: list[int], node: Node, name: str, value: str) -> str:
    start, end = _start(starts, node.span), _end(starts, node.span)
    in_brackets = text[start : start + 1] in ("{", "[")
    if not isinstance(node, ScalarNode) and not in_brackets:
        raise EditImpossible(f"`{name}` is written over several lines; change it in an editor")
    if isinstance(node, ScalarNode) and text[start : start + 1] in ("|", ">"):
        raise EditImpossible(f"`{name}` is a text of several lines; change it in an editor")
    return text[:start] + value + text[end:]


def _added_in_braces(text: str, starts: list[int], group: MappingNode, addition: str) -> str:
    if not group.entries:
        place = _start(starts, group.span) + 1
        return text[:place] + addition + text[place:]
    place = _end(starts, group.entries[-1][1].span)
    return f"{text[:place]}, {addition}{text[place:]}"


def _added_as_line(
    text: str, starts: list[int], group: MappingNode, addition: str, *, is_root: bool
) -> str:
    """After the group's last setting; in the file's outermost group, after those of its head."""
    after = group.entries[-1][1]
    if is_root:
        for _, value in group.entries:
            if not isinstance(value, ScalarNode):
                break
            after = value
    # a text of several lines ends where the next thing begins
    end = len(text[: _end(starts, after.span)].rstrip())
    line_end = _LINE_END.search(text, end)
    any_end = _LINE_END.search(text)
    newline = any_end.group() if any_end else "\n"
    line = " " * (group.entries[0][0].span.column - 1) + addition
    if line_end is None:
        return f"{text}{newline}{line}"
    return text[: line_end.end()] + line + newline + text[line_end.end() :]


def _value_data(value: str) -> Any:
    """What a value means by itself."""
    reporter = Reporter()
    node, _ = read_nodes(SourceText("value", value), reporter)
    if node is None or reporter.has_errors or _LINE_END.search(value):
        raise EditImpossible(f"`{value}` is no single value")
    if isinstance(node, MappingNode) and not value.lstrip().startswith("{"):
        raise EditImpossible(f"`{value}` is no single value; a group is written in braces")
    return _data(node)


def _changed(data: Any, path: Sequence[str], value: Any) -> Any:
    """The data with one value changed."""
    if not path:
        return value
    inside = data if isinstance(data, dict) else {}
    return {**inside, path[0]: _changed(inside.get(path[0]), path[1:], value)}


def _data(node: Node) -> Any:
    if isinstance(node, MappingNode):
        return {key.text: _data(value) for key, value in node.entries}
    if isinstance(node, ListNode):
        return [_data(item) for item in node.items]
    return node.text


def _line_starts(text: str) -> list[int]:
    return [0, *(found.end() for found in _LINE_END.finditer(text))]


def _start(starts: list[int], span: Span) -> int:
    return starts[span.line - 1] + span.column - 1


def _end(starts: list[int], span: Span) -> int:
    return starts[span.end_line - 1] + span.end_column - 1
