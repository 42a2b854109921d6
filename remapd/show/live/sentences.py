"""What happens, in plain sentences: for screen readers, pipes and small terminals.

    teller = LiveTeller()
    for sentence in teller.tell(messages):  …      all that came together, in its order

What belongs together is one sentence: “left-knee pressed: hoist (south) is pressed.”
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Final

from remapd.engine.pad_controls import DPAD, STICK_NAMES
from remapd.show.lanes import way_of
from remapd.show.live.readable import readable
from remapd.show.live.state import Message
from remapd.show.sentences import WAYS

#: A stick's way is told again only after so long, unless it comes to rest.
_TOLD_AGAIN_US: Final = 700_000
#: A pad control that is pressed again within this time is told as one that repeats.
_REPEATS_US: Final = 700_000

#: Notices as sentences, `{text}` is what they are about.
_NOTICES: Final = {
    "latch-on": "{text} is on",
    "latch-off": "{text} is off",
    "turbo-on": "{text} is on",
    "turbo-off": "{text} is off",
    "keep-on": "{text} is on",
    "keep-off": "{text} is off",
    "push-on": "{text} is on",
    "push-off": "{text} is off",
    "lead-on": "the {text} leads",
    "lead-off": "the {text} leads no more",
    "tuning-on": "tuning {text} is in force",
    "tuning-off": "tuning {text} is in force no more",
    "rest-on": "rest: the pad is neutral until {text} is held",
    "rest-off": "the rest is over",
    "scan-item": "the scan offers {text}",
    "scan-end": "the scan is over",
    "say": "it says “{text}”",
    "layout": "layout {text} is asked for",
    "released": "everything that lasted by itself has ended",
    "device-taken": "device {text} is here",
    "device-lost": "device {text} is gone",
    "remapd": "{text}",
}


class LiveTeller:
    """Tells messages batch by batch; remembers what was told and is still so."""

    def __init__(self) -> None:
        self._verbs: dict[str, str] = {}
        self._controls: set[str] = set()
        self._ways: dict[str, tuple[int | None, int]] = {}
        self._levers: dict[str, bool] = {}
        #: By pad control: when it was pressed last, and how often in a row.
        self._presses: dict[str, tuple[int, int]] = {}

    def tell(self, messages: Sequence[Message]) -> list[str]:
        """Sentences about what came together; none where nothing is new."""
        causes: list[str] = []
        effects: list[str] = []
        own: list[str] = []
        decided = {message["control"] for message in messages if message.get("event") == "decision"}
        for message in messages:
            match message.get("event"):
                case "decision":
                    causes += self._decided(message)
                case "control" if "pressed" in message and message["control"] not in decided:
                    what = "is down" if message["pressed"] else "let go"
                    causes.append(f"{message['control']} {what}")
                case "pad":
                    effects += self._pad(message)
                case "layer":
                    on = "on" if message["kind"] == "layer-on" else "off"
                    effects.append(f"layer {message['text']} is {on}")
                case "notice":
                    effects += _noticed(message)
                case "layout":
                    own += _reloaded(message)
                case "paused":
                    own.append("Paused" if message["paused"] else "Going on after the pause")
                case _:
                    self._learn(message)
        return [_sentence(text) for text in (*_together(causes, effects), *own)]

    def quiet(self, now_us: int) -> list[str]:
        """Sentences about what has stopped by now."""
        told = []
        for name, (last_us, count) in list(self._presses.items()):
            if now_us - last_us >= _REPEATS_US:
                del self._presses[name]
                if count > 2:
                    told.append(_sentence(f"{self._called(name)} was pressed {count} times"))
        return told

    def _learn(self, message: Message) -> None:
        layout = message.get("layout")
        if isinstance(layout, dict) and "controls" in layout:
            self._verbs = {}
            for verb, name in layout["verbs"].items():
                self._verbs.setdefault(name, verb)

    def _decided(self, message: Message) -> Iterable[str]:
        subject, text = readable(message["control"]), readable(message["text"])
        if text.startswith(("pressed", "ignored", "waits", "makes", "goes", "let go")):
            yield f"{subject} {text}"

    # ---------------------------------------------------------------- the pad
    def _pad(self, message: Message) -> Iterable[str]:
        us, name, at = message["us"], message["control"], message.get("at")
        if isinstance(at, list):
            yield from self._moved(us, name, at[0] / 32767, at[1] / 32767)
            return
        if at is not None:
            is_pressed = bool(at)
            if self._levers.get(name, False) is is_pressed:
                return
            self._levers[name] = is_pressed
        else:
            is_pressed = message["change"] == "press"
        last_us, count = self._presses.get(name, (0, 0))
        repeats = count > 0 and us - last_us < _REPEATS_US
        if is_pressed:
            self._presses[name] = (us, count + 1 if repeats else 1)
            if not repeats:
                yield f"{self._called(name)} is pressed"
            elif count == 1:
                yield f"{self._called(name)} repeats"
        elif count <= 1:
            yield f"{self._called(name)} is let go"

    def _moved(self, us: int, name: str, x: float, y: float) -> Iterable[str]:
        told, told_us = self._ways.get(name, (None, -_TOLD_AGAIN_US))
        way = way_of(x, y)
        if way == told or (way is None and (x or y)):
            return
        if way is not None and told is not None and us - told_us < _TOLD_AGAIN_US:
            return
        self._ways[name] = (way, us)
        name = self._called(name)
        yield f"{name} is centred" if way is None else f"{name} goes {WAYS[way]}"

    def _called(self, control: str) -> str:
        verb = self._verbs.get(control)
        if verb is None and control.startswith("dpad-") and STICK_NAMES[DPAD] in self._verbs:
            verb = f"{self._verbs[STICK_NAMES[DPAD]]} {control.removeprefix('dpad-')}"
        return control if verb is None else f"{verb} ({control})"


def _noticed(message: Message) -> Iterable[str]:
    text = readable(message["text"])
    if message["kind"] == "overruled":
        yield f"the {message.get('person', 'helper')}'s {text} waits, the player comes first"
    elif message["kind"] == "plug-moved":
        yield readable(message["sentence"])
    elif message["kind"] in _NOTICES:
        yield _NOTICES[message["kind"]].format(text=text)


def _reloaded(message: Message) -> Iterable[str]:
    if message["applied"]:
        how = "was chosen and is in force" if message.get("chosen") else "is in force"
        yield f"Layout “{readable(message['title'])}” {how}"
        return
    name = Path(readable(message["path"])).name
    problems = message["problems"] or message["summary"]
    yield f"{name} was refused, what was in force before stays: {readable(message['summary'])}"
    folder = f"{Path(message['path']).parent}/"
    yield from (
        readable(line.removeprefix(folder)) for line in problems.splitlines() if line.strip()
    )


def _together(causes: Sequence[str], effects: Sequence[str]) -> list[str]:
    """One sentence where one cause has effects; else each stands for itself."""
    if len(causes) == 1 and effects:
        told = ", ".join(effects[:-1]) + " and " + effects[-1] if effects[1:] else effects[0]
        return [f"{causes[0].partition(' (found in')[0]}: {told}"]
    return [*causes, *effects]


def _sentence(text: str) -> str:
    return text if text.endswith((".", "!", "?", "^", "”.")) else f"{text}."
