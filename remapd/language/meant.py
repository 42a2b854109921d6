"""Words that people write for an action which is called something else here."""

from __future__ import annotations

from typing import Final

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
