"""What people mean by words and forms that are written otherwise here."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Sequence
from typing import Final

from remapd import codes
from remapd.diagnostics import Span
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


#: Words for an action that does nothing.
_NOTHING: Final = frozenset({"none", "off", "no", "null", "~", "never", "empty", "ignore", "-"})
#: Settings that others need, and what to write for them where nothing is wanted.
_UNWANTED: Final = {
    "short": "write `short: nothing` where a short press is to do nothing",
    "once": "write `once: nothing` where a single press is to do nothing",
}
_UNITS = r"(ms|s|min|%|/s|deg|Hz)?"


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
    return together_or_steps(words if len(words) == len(node.items) <= 4 else [])


def together_or_steps(words: Sequence[str]) -> str:
    """The two ways to do several things with one press."""
    listed = ", ".join(words) if words else "…"
    together, steps = f"`{{together: [{listed}]}}`", f"`{{steps: [{listed}]}}`"
    return f"{together} presses all at once, {steps} one after the other"


def is_nothing(word: str) -> bool:
    """Whether the word asks for an action that does nothing."""
    return word.lower() in _NOTHING


def is_device_code(word: str) -> bool:
    """Whether the word is the kernel's name of something that a device sends."""
    try:
        codes.code_number(word)
    except KeyError:
        return False
    return True


def unwanted(setting: str) -> list[str]:
    """How to leave out a setting that others need, as a remedy."""
    return [_UNWANTED[setting]] if setting in _UNWANTED else []


def name_meant(text: str) -> list[str]:
    """The allowed name that is nearest to one that is not, as a remedy: `Left Knee`."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    name = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")
    return [f"did you mean `{name}`?"] if re.match(r"[a-z]", name) and len(name) <= 40 else []


def chord_meant(text: str, spellings: Callable[[str], Iterable[str]]) -> str:
    """The chord that somebody means by `one and other`; empty where it is none."""
    members = re.split(r"\s+and\s+|\s*[&,]\s*", text)
    is_chord = len(members) == 2 and all(each in spellings(each) for each in members)
    return " + ".join(members) if is_chord else ""


def with_decimals_joined(
    entries: Sequence[tuple[ScalarNode, Node]], known: Iterable[str]
) -> Sequence[tuple[ScalarNode, Node]]:
    """The settings of a group in braces with `0,5s` put together again.

    A comma ends a value there, so a number with a decimal comma falls into a value and a setting
    that has none.
    """
    names = set(known)
    joined: list[tuple[ScalarNode, Node]] = []
    for key, item in entries:
        before = joined[-1][1] if joined else None
        if (
            isinstance(before, ScalarNode)
            and isinstance(item, ScalarNode)
            and before.plain
            and item.is_empty
            and key.text not in names
            and re.fullmatch(r"[0-9]+", before.text)
            and re.fullmatch(rf"[0-9]+\s?{_UNITS}", key.text)
            and (before.span.end_line, before.span.end_column + 1)
            == (key.span.line, key.span.column)
        ):
            first, last = before.span, key.span
            place = Span(first.file, first.line, first.column, last.end_line, last.end_column)
            whole = ScalarNode(f"{before.text},{key.text}", place, plain=True)
            joined[-1] = (joined[-1][0], whole)
        else:
            joined.append((key, item))
    return joined
