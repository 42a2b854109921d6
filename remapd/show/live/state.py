"""A running daemon as its messages tell of it: everything that a live screen shows.

    state = LiveState()
    for message in …:  state.take(message)     answers and events of the control socket
    state.wants()                              requests that should be sent now

Times are microseconds of the monotonic clock, as in the messages.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import PurePath
from typing import Any, Final

from remapd.engine.pad_controls import BUTTON_COUNT, DPAD, STICK_NAMES, TARGET_NAMES
from remapd.show.lanes import LINGER_US
from remapd.show.live.readable import readable

Message = Mapping[str, Any]

#: What a live screen asks to be told of.
TOPICS: Final = ("controls", "pad", "layers", "notices", "decisions", "state")
DECISIONS: Final = 12
#: A pointer that has sent no counts for so long lies still, to the eye.
_STILL_US: Final = 150_000
#: The pad's own controls: those that move, then its buttons.
_PAD_ORDER: Final = (*STICK_NAMES[:DPAD], *TARGET_NAMES[:BUTTON_COUNT])
#: Notices of these come in pairs, `-on` and `-off`.
_LASTING: Final = {"latch", "turbo", "push", "keep", "lead", "tuning", "rest"}


@dataclass(slots=True)
class Lamp:
    """Something that is on or off, and stays lit long enough to be seen.

    Lit for LINGER_US after its end at the least, so that it never flashes more than three times a
    second however quickly it is pressed (WCAG 2.3.1).
    """

    is_on: bool = False
    #: When it went on or off last; None where it never did.
    changed_us: int | None = None

    def switch(self, us: int, *, on: bool) -> None:
        """It is on or off from now."""
        self.is_on = on
        self.changed_us = us

    def is_lit(self, now_us: int) -> bool:
        """Whether it is shown as on."""
        return self.is_on or (self.changed_us is not None and now_us - self.changed_us < LINGER_US)


@dataclass(slots=True)
class Place:
    """Where something that moves is: shares of the way from where it rests, -1 to 1, y down.

    Of a ball only the way is known, not how far: that is `is_rough`.
    """

    x: float = 0.0
    y: float = 0.0
    us: int = 0
    is_rough: bool = False


@dataclass(slots=True)
class Control:
    """A control of the layout, and what a hand does with it."""

    name: str
    kind: str
    device: str
    person: str
    #: Where a lever stands when nobody touches it: low, high or middle.
    rests_at: str = "middle"
    lamp: Lamp = field(default_factory=Lamp)
    place: Place = field(default_factory=Place)
    #: Directions that are pressed, of a stick that is made of keys.
    ways: set[str] = field(default_factory=set)

    def place_at(self, now_us: int) -> Place:
        """Where it is; a ball that sends nothing lies still."""
        if self.kind == "pointer" and now_us - self.place.us > _STILL_US:
            return Place()
        return self.place


@dataclass(slots=True)
class PadControl:
    """A control of the pad as the game sees it; `verb` is the game's own word, if it has one."""

    name: str
    verb: str = ""
    lamp: Lamp = field(default_factory=Lamp)
    place: Place = field(default_factory=Place)


@dataclass(frozen=True, slots=True)
class Told:
    """Something that was decided or said."""

    us: int
    subject: str
    text: str

    @property
    def is_refusal(self) -> bool:
        """Whether a press came to nothing."""
        return self.text.startswith("ignored")


@dataclass(frozen=True, slots=True)
class Refusal:
    """A save of the layout that was refused; `lines` say what is wrong, and where."""

    us: int
    path: str
    lines: tuple[str, ...]


class LiveState:
    """What is known of one daemon; empty until it has answered."""

    def __init__(self) -> None:
        self.is_connected = False
        self.status: Message = {}
        self.title = ""
        self.layout_path: str | None = None
        self.in_force_us = 0
        self.refusal: Refusal | None = None
        self.paused: str | None = None
        self.devices: list[Message] = []
        self.others: list[str] = []
        self.controls: dict[str, Control] = {}
        self.pad: dict[str, PadControl] = {}
        #: All layers of the layout, the base first, and those that are on, the newest last.
        self.layers: list[str] = []
        self.active_layers: list[str] = []
        #: What lasts by itself, by kind, name and person: since when.
        self.lasting: dict[tuple[str, str, str], int] = {}
        #: What a scan offers, by person.
        self.offered: dict[str, str] = {}
        self.told: deque[Told] = deque(maxlen=DECISIONS)
        #: When anything was taken in last.
        self.changed_us = 0
        self._wants: list[str] = []

    def wants(self) -> list[str]:
        """Requests that should be sent, so that what is shown is true again."""
        wants = list(dict.fromkeys(self._wants))
        self._wants.clear()
        return wants

    def disconnected(self, us: int) -> None:
        """The daemon ended, or dropped us; what it held is not known to be held any more."""
        self.is_connected = False
        self.changed_us = us
        for control in self.controls.values():
            control.lamp.is_on, control.place = False, Place()
            control.ways.clear()
        for pad_control in self.pad.values():
            pad_control.lamp.is_on, pad_control.place = False, Place()
        self.active_layers = []
        self.devices = []
        self.lasting.clear()
        self.offered.clear()

    def take(self, message: Message, now_us: int) -> None:
        """One message of the control socket."""
        self.changed_us = now_us
        if "status" in message:
            self.is_connected = True
            self._take_status(message["status"], now_us)
        if "layout" in message and isinstance(message["layout"], Mapping):
            self._take_layout(message["layout"])
        if "pad" in message and isinstance(message["pad"], Mapping):
            self._take_pad(message["pad"])
        if isinstance(message.get("controls"), Mapping):
            for name, control_state in message["controls"].items():
                self._take_control({"control": name, "us": now_us, **control_state})
        match message.get("event"):
            case "control":
                self._take_control(message)
            case "pad":
                self._take_pad_change(message)
            case "layer":
                self.active_layers = [str(name) for name in message["layers"]]
            case "notice":
                self._take_notice(message)
            case "decision" if not message["text"].endswith("was overruled"):  # a notice tells it
                self._tell(message["us"], message["control"], message["text"])
            case "layout":
                self._take_reload(message)
            case "devices":
                self._wants.append("status")
            case "paused":
                self._wants.append("status")
                if message["paused"]:
                    self.lasting.clear()
                    self.offered.clear()
            case _:
                pass

    # ---------------------------------------------------------------- answers
    def _take_status(self, status: Message, now_us: int) -> None:
        self.status = status
        layout = status["layout"]
        self.layout_path = layout["path"]
        self.title = readable(layout["title"])
        self.in_force_us = now_us - layout["in_force_us"]
        refused = status["refused"]
        self.refusal = None if refused is None else _refusal(refused, now_us - refused["ago_us"])
        self.paused = status["paused"]
        self.devices = list(status["devices"])
        self.others = [readable(name) for name in status["others"]]
        self.active_layers = list(status["layers"])

    def _take_layout(self, layout: Message) -> None:
        before = self.controls
        self.controls = {}
        for each in layout["controls"]:
            control = Control(
                each["control"],
                each["kind"],
                each["device"],
                each["person"],
                each.get("rests_at", "middle"),
            )
            known = before.get(control.name)
            if known is not None and known.kind == control.kind:
                control.lamp, control.place, control.ways = known.lamp, known.place, known.ways
            self.controls[control.name] = control
        self.layers = [each["layer"] for each in layout["layers"]]
        verbs = _verbs(layout["verbs"])
        before_pad = self.pad
        ordered = [*verbs, *(name for name in _PAD_ORDER if name not in verbs)]
        self.pad = {name: before_pad.get(name, PadControl(name)) for name in ordered}
        for name, pad_control in self.pad.items():
            pad_control.verb = verbs.get(name, "")

    def _take_pad(self, pad: Message) -> None:
        for name in pad["pressed"]:
            self._pad_control(name).lamp.is_on = True
        for name, value in pad["triggers"].items():
            self._pad_control(name).lamp.is_on = bool(value)
        for name, (x, y) in pad["sticks"].items():
            self._pad_control(name).place = Place(x / 32767, y / 32767)

    # ---------------------------------------------------------------- events
    def _take_control(self, message: Message) -> None:
        us, name = message["us"], message["control"]
        control = self.controls.get(name)
        if control is None:
            self._take_way(us, name, pressed=bool(message.get("pressed")))
            return
        if "pressed" in message:
            control.lamp.switch(us, on=message["pressed"])
            return
        place = control.place
        if "dx" in message or "dy" in message:
            x, y = message.get("dx", 0), message.get("dy", 0)
            control.place = Place(float(x), float(y), us, is_rough=True)
            return
        x, y = message.get("x", place.x), message.get("y", place.y)
        if control.kind == "lever" and control.rests_at != "middle":
            x = (1 + x) / 2 if control.rests_at == "low" else (1 - x) / 2
        control.place = Place(_within(x), _within(y), us)

    def _take_way(self, us: int, name: str, *, pressed: bool) -> None:
        """A direction of a stick that is made of keys."""
        whole, _, way = name.rpartition(".")
        control = self.controls.get(whole)
        if control is None:
            return
        (control.ways.add if pressed else control.ways.discard)(way)
        ways = control.ways
        control.place = Place(
            float("right" in ways) - float("left" in ways),
            float("down" in ways) - float("up" in ways),
            us,
        )

    def _take_pad_change(self, message: Message) -> None:
        us = message["us"]
        pad_control = self._pad_control(message["control"])
        at = message.get("at")
        if isinstance(at, list):
            pad_control.place = Place(at[0] / 32767, at[1] / 32767, us)
        elif at is not None:
            pad_control.place = Place(at / 255, 0.0, us)
            pad_control.lamp.switch(us, on=bool(at))
        else:
            pad_control.lamp.switch(us, on=message["change"] == "press")

    def _pad_control(self, name: str) -> PadControl:
        return self.pad.setdefault(name, PadControl(name))

    def _take_notice(self, message: Message) -> None:
        us, kind, text = message["us"], message["kind"], readable(message["text"])
        person = message.get("person", "")
        what, _, change = kind.rpartition("-")
        if what in _LASTING and change == "on":
            self.lasting[what, text, person] = us
        elif what in _LASTING and change == "off":
            self.lasting.pop((what, text, person), None)
        match kind:
            case "scan-item":
                self.offered[person] = text
            case "scan-end":
                self.offered.pop(person, None)
            case "overruled":
                self._tell(us, text, f"the {person}'s part waits: the player comes first")
            case "say":
                self._tell(us, person or "player", f"says “{text}”")
            case "released":
                self.lasting = {
                    key: since for key, since in self.lasting.items() if key[0] in {"tuning"}
                }
                self._tell(us, "release", "everything that lasted by itself has ended")
            case "remapd":
                self._tell(us, "remapd", text)
            case "plug-moved":
                self._tell(us, text, readable(message["sentence"]))
            case _:
                pass

    def _tell(self, us: int, subject: str, text: str) -> None:
        self.told.append(Told(us, readable(subject), readable(text)))

    def _take_reload(self, message: Message) -> None:
        us = message["us"]
        if message["applied"]:
            self._wants += ["layout", "status"]
            self.refusal = None
            how = "was chosen and is in force" if message.get("chosen") else "is in force"
            self._tell(us, "layout", f"“{message['title']}” {how}")
            self.lasting.clear()
            self.offered.clear()
        else:
            self.refusal = _refusal(message, us)
            self._tell(us, "layout", f"refused: {message['summary']}")


def _verbs(written: Mapping[str, str]) -> dict[str, str]:
    """The game's word for each pad control that has one; of several the first."""
    verbs: dict[str, str] = {}
    for verb, name in written.items():
        if name == STICK_NAMES[DPAD]:
            for way in ("up", "down", "left", "right"):
                verbs.setdefault(f"dpad-{way}", f"{verb} {way}")
        elif name in _PAD_ORDER:
            verbs.setdefault(name, verb)
    return verbs


def _refusal(fields: Message, us: int) -> Refusal:
    text = fields["problems"] or fields["summary"]
    folder = f"{PurePath(fields['path']).parent}/"
    lines = tuple(readable(line.removeprefix(folder)) for line in text.splitlines() if line.strip())
    return Refusal(us, readable(fields["path"]), lines)


def _within(share: float) -> float:
    return max(-1.0, min(1.0, share))
