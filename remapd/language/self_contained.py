"""One text in the place of a layout and the files it includes: what a recording stores.

The layout is written anew from its nodes, with the devices of all files in their order; comments
are lost, the meaning is not.
"""

from __future__ import annotations

import json
from collections.abc import Sequence

from remapd.language.nodes import ListNode, MappingNode, Node, ScalarNode
from remapd.language.values import Entry


def self_contained(root: MappingNode, devices: Sequence[Entry], own_text: str) -> str:
    """The text; `own_text` where the nodes cannot be written out (a device without its value)."""
    entries: list[tuple[ScalarNode, Node]] = []
    for entry in devices:
        if entry.value is None:
            return own_text
        entries.append((entry.key, entry.value.node))
    lines = []
    for key, value in root.entries:
        if key.text not in ("include", "devices"):
            lines += _lines(key, value, "")
            continue
        if entries:  # at the first of the two names
            lines.append("devices:")
            for device, description in entries:
                lines += _lines(device, description, "  ")
            entries = []
    return "\n".join(lines) + "\n"


def _lines(key: ScalarNode, value: Node, indent: str) -> list[str]:
    """A name with its value: groups of groups in lines, all else in one line."""
    if isinstance(value, MappingNode) and value.entries and len(indent) < 4:
        lines = [f"{indent}{_word(key)}:"]
        for name, part in value.entries:
            lines += _lines(name, part, indent + "  ")
        return lines
    return [f"{indent}{_word(key)}: {_flow(value)}"]


def _flow(node: Node) -> str:
    if isinstance(node, MappingNode):
        parts = (f"{_word(key)}: {_flow(value)}" for key, value in node.entries)
        return "{" + ", ".join(parts) + "}"
    if isinstance(node, ListNode):
        return "[" + ", ".join(_flow(item) for item in node.items) + "]"
    return _word(node)


def _word(node: ScalarNode) -> str:
    """A word as it was, or in double quotes, where those it stood in do not matter."""
    plain = node.plain and not any(mark in node.text for mark in "\n,[]{}:#")
    return node.text if plain else json.dumps(node.text, ensure_ascii=False)
