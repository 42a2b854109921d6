"""What live screens are shown as it happens. Nothing of it is worked out while nobody watches.

Presses are told one by one; what moves is told as it then is, 30 times a second at the most.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, Final

from remapd.codes import EV_ABS, EV_KEY, EV_REL
from remapd.daemon.loop import Events
from remapd.daemon.reading import Reading
from remapd.engine.layout import ButtonControl, Layout, LeverControl, PointerControl, StickControl
from remapd.engine.notices import Notice, TraceLine
from remapd.engine.pad_controls import PERSON_NAMES
from remapd.engine.source import AxisRange, Source
from remapd.recording.pad_changes import LEVER, MOVE, Change, PadView

if TYPE_CHECKING:
    from remapd.daemon.control import Client
    from remapd.daemon.running import Daemon

TOPICS: Final = ("controls", "pad", "layers", "notices", "decisions", "state")

_MOTION_US: Final = 33_000
_WAYS: Final = ("up", "down", "left", "right")
_LAYER_KINDS: Final = frozenset({"layer-on", "layer-off"})


class Stream:
    """Sends events to the clients that have asked for their topic."""

    def __init__(self, daemon: Daemon) -> None:
        self._daemon = daemon
        self._pad = PadView()
        #: What has moved since it was last told: by topic and control.
        self._moved: dict[tuple[str, str], dict[str, Any]] = {}
        self._alarm = daemon.loop.alarm(self._tell_moved)
        #: By source id, then by (type, code): what the event is.
        self._meanings: dict[int, dict[tuple[int, int], list[_Meaning]]] = {}

    def subscribe(self, client: Client, topics: frozenset[str]) -> None:
        """This client is told of these topics from now on, in place of those before."""
        client.topics = topics
        if self._choose not in client.at_close:
            client.at_close.append(self._choose)
        self._choose()

    def _choose(self) -> None:
        """Watches what somebody watches, and nothing else."""
        control = self._daemon.control
        topics = frozenset[str]().union(*(c.topics for c in control.clients)) if control else ()
        loop = self._daemon.loop
        if "controls" in topics and loop.watch_input is None:
            self._learn()
        self._daemon.engine.explaining = "decisions" in topics
        if "pad" in topics and loop.watch_output is None:
            self._pad = PadView()
            self._take(0, self._daemon.engine.pad_shown())
        loop.watch(
            self._input if "controls" in topics else None,
            self._output if "pad" in topics else None,
        )

    # ---------------------------------------------------------------- what happens
    def notice(self, notice: Notice) -> None:
        """The engine has something to tell."""
        topic = "layers" if notice.kind.value in _LAYER_KINDS else "notices"
        if self._wanted(topic):
            person = None if notice.person is None else PERSON_NAMES[notice.person]
            fields: dict[str, Any] = {
                "us": notice.us,
                "kind": notice.kind.value,
                "text": notice.text,
            }
            if person is not None:
                fields["person"] = person
            if topic == "layers":
                fields["layers"] = list(self._daemon.layers())
            self._send(topic, {"event": topic.removesuffix("s"), **fields})

    def decisions(self, lines: Iterable[TraceLine]) -> None:
        """The engine tells what it made of a press, and why."""
        for line in lines:
            self._send(
                "decisions",
                {"event": "decision", "us": line.us, "control": line.subject, "text": line.text},
            )

    def say(self, text: str) -> None:
        """The daemon itself has something to tell people."""
        if self._wanted("notices"):
            us = self._daemon.loop.now()
            self._send("notices", {"event": "notice", "us": us, "kind": "remapd", "text": text})

    def plug_moved(self, device: str, sentence: str) -> None:
        """A device is at another port than the layout says; the sentence asks for a press on it."""
        if self._wanted("notices"):
            fields = {"kind": "plug-moved", "text": device, "sentence": sentence}
            us = self._daemon.loop.now()
            self._send("notices", {"event": "notice", "us": us, **fields})

    def layout_read(self, reading: Reading, *, chosen: bool) -> None:
        """A layout was read: it is in force, or refused. `chosen`: a person asked for this one."""
        if reading.layout is not None and self._daemon.loop.watch_input is not None:
            self._learn()
        if self._wanted("state"):
            fields: dict[str, Any] = {"path": reading.path, "applied": reading.layout is not None}
            if reading.layout is not None:
                fields |= {"title": reading.layout.title, "chosen": chosen}
            else:
                fields |= {"summary": reading.summary, "problems": reading.problems}
            self._send("state", {"event": "layout", "us": self._daemon.loop.now(), **fields})

    def devices_changed(self) -> None:
        """Other devices are taken than before."""
        if self._daemon.loop.watch_input is not None:
            self._learn()
        if self._wanted("state"):
            self._send("state", {"event": "devices", "us": self._daemon.loop.now()})

    def pause_changed(self) -> None:
        """Remapping was paused or resumed."""
        if self._wanted("state"):
            paused = self._daemon.paused
            self._send(
                "state", {"event": "paused", "us": self._daemon.loop.now(), "paused": paused}
            )

    # ---------------------------------------------------------------- controls and pad
    def pad_now(self) -> dict[str, Any]:
        """The pad as it is, for those who have just asked for it."""
        return {
            "pressed": sorted(self._pad.pressed),
            "sticks": {name: list(at) for name, at in self._pad.sticks.items()},
            "triggers": dict(self._pad.triggers),
        }

    def controls_now(self) -> dict[str, dict[str, Any]]:
        """What is pressed or away from the middle now, by control, for who starts to watch."""
        found: dict[str, dict[str, Any]] = {}
        for opened in self._daemon.devices.opened.values():
            held, axes = opened.device.held(), opened.device.axes()
            for (event_type, code), meanings in self._meanings.get(opened.id, {}).items():
                for meaning in meanings:
                    if event_type == EV_KEY:
                        state = meaning.state(int(code in held))
                    elif event_type == EV_ABS and code in axes:
                        state = meaning.state(axes[code])
                    else:
                        continue
                    if any(state.values()):
                        found[meaning.control] = found.get(meaning.control, {}) | state
        return found

    def _take(self, us: int, events: list[int]) -> list[Change]:
        self._pad.use_faces(as_specified=self._daemon.in_force.layout.faces_as_specified)
        return self._pad.apply(us, events)

    def _output(self, us: int, events: list[int]) -> None:
        for change in self._take(us, events):
            if change.what in {MOVE, LEVER}:
                value = list(change.value) if isinstance(change.value, tuple) else change.value
                fields = {"us": us, "control": change.control, "at": value}
                self._move("pad", change.control, fields)
            else:
                self._send(
                    "pad",
                    {"event": "pad", "us": us, "control": change.control, "change": change.what},
                )

    def _input(self, us: int, source_id: int, events: Events) -> None:
        meanings = self._meanings.get(source_id)
        if meanings is None:
            return
        for event_type, code, value in events:
            for meaning in meanings.get((event_type, code), ()):
                meaning.told(self, us, value)

    def button(self, us: int, control: str, *, pressed: bool) -> None:
        """For `_Meaning`: a button of a device."""
        self._send(
            "controls", {"event": "control", "us": us, "control": control, "pressed": pressed}
        )

    def motion(self, us: int, control: str, at: dict[str, float]) -> None:
        """For `_Meaning`: a stick, lever or pointer of a device."""
        known = self._moved.get(("controls", control), {})
        self._move("controls", control, {**known, "us": us, "control": control, **at})

    def _move(self, topic: str, control: str, fields: dict[str, Any]) -> None:
        if not self._moved:
            self._alarm.set(self._daemon.loop.now() + _MOTION_US)
        self._moved[topic, control] = fields

    def _tell_moved(self, now_us: int) -> None:
        del now_us
        moved, self._moved = self._moved, {}
        for (topic, _), fields in moved.items():
            self._send(topic, {"event": topic.removesuffix("s"), **fields})

    # ---------------------------------------------------------------- sending
    def _wanted(self, topic: str) -> bool:
        control = self._daemon.control
        return control is not None and bool(control.clients) and bool(control.subscribers(topic))

    def _send(self, topic: str, message: dict[str, Any]) -> None:
        control = self._daemon.control
        if control is None:
            return
        line = json.dumps(message, separators=(",", ":")).encode() + b"\n"
        for client in control.subscribers(topic):
            client.send_line(line)

    # ---------------------------------------------------------------- what events mean
    def _learn(self) -> None:
        layout = self._daemon.in_force.layout
        devices = self._daemon.devices
        self._meanings = {}
        for opened in devices.opened.values():
            index = devices.taken_index(opened)
            if index is not None:
                self._meanings[opened.id] = _meanings_of(layout, index, opened.source)


class _Meaning:
    """What one event code of a device is in the layout's words. `part` is x or y of a motion."""

    def __init__(
        self, control: str, part: str | None, span: AxisRange | None, *, inverted: bool = False
    ) -> None:
        self.control = control
        self._part = part
        self._span = span
        self._inverted = inverted

    def told(self, stream: Stream, us: int, value: int) -> None:
        """An event with this code has come."""
        if self._part is None:
            stream.button(us, self.control, pressed=(value != 0) is not self._inverted)
        elif self._span is None:
            stream.motion(us, self.control, {f"d{self._part}": value})
        else:
            stream.motion(us, self.control, self.state(value))

    def state(self, value: int) -> dict[str, Any]:
        """What this value of a key or of an absolute axis says."""
        if self._part is None or self._span is None:
            return {"pressed": (value != 0) is not self._inverted}
        low, high = self._span.minimum, self._span.maximum
        share = (2 * value - low - high) / (high - low) if high > low else 0.0
        return {self._part: round(share, 4)}


def _meanings_of(
    layout: Layout, index: int, source: Source
) -> dict[tuple[int, int], list[_Meaning]]:
    found: dict[tuple[int, int], list[_Meaning]] = {}

    def add(event_type: int, code: int, meaning: _Meaning) -> None:
        found.setdefault((event_type, code), []).append(meaning)

    for number in layout.devices[index].controls:
        control = layout.controls[number]
        match control:
            case ButtonControl():
                meaning = _Meaning(control.name, None, None, inverted=control.inverted)
                add(EV_KEY, control.code, meaning)
            case StickControl():
                for x, y in control.axes:
                    if x in source.axes and y in source.axes:
                        add(EV_ABS, x, _Meaning(control.name, "x", source.axes[x]))
                        add(EV_ABS, y, _Meaning(control.name, "y", source.axes[y]))
                        break
                else:
                    for way, code in zip(_WAYS, control.keys or (), strict=False):
                        add(EV_KEY, code, _Meaning(f"{control.name}.{way}", None, None))
            case PointerControl():
                add(EV_REL, control.x, _Meaning(control.name, "x", None))
                add(EV_REL, control.y, _Meaning(control.name, "y", None))
            case LeverControl():
                axis = next((a for a in control.axes if a in source.axes), None)
                if axis is not None:
                    add(EV_ABS, axis, _Meaning(control.name, "x", source.axes[axis]))
                elif control.key is not None:
                    add(EV_KEY, control.key, _Meaning(control.name, None, None))
    return found
