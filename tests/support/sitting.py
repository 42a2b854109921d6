"""A fitting without devices or terminal: lines and presses by script, on a clock of its own."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Generic, TypeVar

from remapd.fitting.conversation.dialogue import Dialogue, Kept, Switch
from remapd.fitting.conversation.questions import Interview, Try

T = TypeVar("T")


def device(name: str = "Switch box", **more: Any) -> dict[str, Any]:
    """A device as an answer holds it."""
    return {
        "key": f"{name}|{more.get('port', '')}|{more.get('serial', '')}",
        "name": name,
        "words": "a switch box with 8 switches",
        "find": {"name": name},
        "because": "",
        "acts_as": "",
        "is_gamepad": False,
        "in_words": False,
        "serial": "",
        "port": "",
    } | more


def heard(
    *codes: str, kind: str = "button", on: dict[str, Any] | None = None, **more: Any
) -> dict[str, Any]:
    """A control as an answer holds it."""
    return {
        "device": on or device(),
        "kind": kind,
        "codes": list(codes),
        "held_us": 1_000_000,
        "released": False,
        "pair": None,
        "typed_with": False,
    } | more


TRIED = {"settings": {}, "notes": [], "small_range": False, "presses_us": [300_000] * 5}


class Sitting(Generic[T]):
    """One interview; `text` is all that was said so far."""

    def __init__(
        self,
        interview: Callable[[], Interview[T]],
        kept: Sequence[Kept] = (),
        switch: Switch | None = None,
    ) -> None:
        self.now_us = 0
        self.dialogue = Dialogue(interview, kept, switch)
        self.text = ""
        self._take()
        self.dialogue.start(self.now_us)
        self._take()

    def give(self, *steps: str | dict[str, Any]) -> None:
        """Typed lines, and what is heard; a try is answered by itself unless a step is for it."""
        for step in steps:
            assert not self.dialogue.ended, f"ended before {step!r}"
            if isinstance(step, str):
                self.text += f"> {step}\n"
                self.dialogue.line(self.now_us, step)
            else:
                self.dialogue.found(self.now_us, step)
            self._take()
            if isinstance(self.dialogue.question, Try):
                self.dialogue.found(self.now_us, TRIED)
                self._take()

    def press(self, switch: Switch, for_us: int = 200_000) -> None:
        """A press of a switch that answers."""
        self.dialogue.press(self.now_us, switch.key, switch.code, pressed=True)
        self.wait(for_us)
        self.dialogue.press(self.now_us, switch.key, switch.code, pressed=False)
        self._take()

    def wait(self, us: int) -> None:
        """Time passes."""
        end_us = self.now_us + us
        while (due_us := self.dialogue.due_us) is not None and due_us <= end_us:
            self.now_us = max(due_us, self.now_us)
            self.dialogue.advance(self.now_us)
            self._take()
        self.now_us = end_us

    def choose(self, switch: Switch, label: str) -> None:
        """Waits until an answer is named, and presses."""
        before = len(self.text)
        for _ in range(200):
            last = self.text[before:].rstrip().rpartition("\n")[2]
            if last.startswith("> ") and label in last:
                self.wait(500_000)
                self.press(switch)
                return
            self.wait(250_000)
        raise AssertionError(f"{label} was never named:\n{self.text[before:]}")

    def _take(self) -> None:
        for each in self.dialogue.said():
            self.text += f"{each.text}\n"
