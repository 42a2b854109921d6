"""Words that people write for an action which is called something else here."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from remapd.language import kinds
from remapd.language.kinds import Kind, Names
from remapd.language.nodes import ListNode, Node, ScalarNode

#: A pad control needs no action around it: these all say what its bare name says.
_PLAIN: Final = frozenset(
    {"press", "hold", "button", "key", "click", "down", "push-button", "do", "action", "target"}
)
_OTHERS: Final = {
    "tap": "pulse",
    "hit": "pulse",
    "once-for": "pulse",
    "toggle": "latch",
    "lock": "latch",
    "sticky": "latch",
    "stay": "latch",
    "stays": "latch",
    "repeat": "turbo",
    "rapid": "turbo",
    "again": "turbo",
    "both": "together",
    "all": "together",
    "combo": "together",
    "chord": "together",
    "double": "once",
    "single": "once",
    "two-times": "once",
    "sequence": "steps",
    "macro": "steps",
    "series": "steps",
    "list": "steps",
    "freeze": "keep",
    "tilt": "push",
    "lean": "push",
    "mode": "layer",
    "page": "layer",
    "shift": "layer",
    "level": "layer",
    "speak": "say",
    "talk": "say",
    "message": "say",
    "release-all": "release",
    "stop": "release",
    "pause": "rest",
    "break": "rest",
}


def is_plain_press(word: str) -> bool:
    """Whether `word: south` says no more than `south` does."""
    return word.lower().replace("_", "-") in _PLAIN


def action_meant(word: str) -> str | None:
    """The action that people call `word`, where there is one."""
    return _OTHERS.get(word.lower().replace("_", "-"))


def group_meant(word: str, names: Sequence[str]) -> str:
    """The settings that a bare word stands for where settings with these names are wanted."""
    if {"name", "port", "serial"} <= set(names):  # how a device is found
        return f'{{name: "{word}"}}' if '"' not in word else ""
    code = re.fullmatch(r"(BTN|KEY|ABS|REL)_[A-Z0-9_]+", word)
    if code is None or "button" not in names:
        return ""
    return f"{{lever: {word}}}" if code[1] == "ABS" else f"{{button: {word}}}"


def several_meant(node: Node, kind: Kind) -> str:
    """What somebody wants who writes a list for an action; empty for anything else."""
    is_pressed = isinstance(kind, kinds.Reference) and kind.names is Names.TARGET
    if not is_pressed or not isinstance(node, ListNode):
        return ""
    words = [each.text for each in node.items if isinstance(each, ScalarNode)]
    listed = ", ".join(words) if 0 < len(words) == len(node.items) <= 4 else "…"
    together, steps = f"`{{together: [{listed}]}}`", f"`{{steps: [{listed}]}}`"
    return f"{together} presses all at once, {steps} one after the other"
