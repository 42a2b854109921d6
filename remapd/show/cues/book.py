"""Which cue is played when: from the layout's cues, the defaults, and the daemon's messages.

    book = CueBook()
    for cue in [*book.take(messages, now_us), *book.due(now_us)]:  play it

Nothing here reads a clock. Whatever could come in a stream is held back, so that nothing chatters.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import PurePath
from typing import Any, Final

from remapd.language.schema_cues import BREAK, EVENTS, LASTING, NAME_SIGN
from remapd.show.cues.cue import LOUDNESS, STRENGTH, Cue, Weight, spoken_name
from remapd.show.live.readable import readable

Message = Mapping[str, Any]

TOPICS: Final = ("layers", "notices", "state")
#: Needed too where a break is reminded of.
PLAY_TOPIC: Final = "pad"

LOW_PERCENT: Final = 15
#: A battery that has been told of is told of again only after it was above this.
_CHARGED_PERCENT: Final = 25
_AGAIN_US: Final = 120_000_000
#: Play is over when nothing was pressed or moved for so long.
_REST_US: Final = 300_000_000
#: A reminder waits for play to go on, so that nobody is told to rest who rests.
_PLAYS_US: Final = 30_000_000

#: How soon the same event may be heard again; all else as often as it comes.
_SOONEST_US: Final = {
    "refused": 1_000_000,
    "overruled": 5_000_000,
    "device-lost": 5_000_000,
    "device-taken": 5_000_000,
    "layout-refused": 2_000_000,
    "plug-moved": 110_000_000,  # it is looked for every minute, and told at every second time
    "turbo-on": 1_000_000,
    "turbo-off": 1_000_000,
}
_WEIGHTS: Final = {
    "said": Weight.IMPORTANT,
    LASTING: Weight.MESSAGE,
    BREAK: Weight.MESSAGE,
    "battery-low": Weight.MESSAGE,
    "layout-refused": Weight.MESSAGE,
    "device-lost": Weight.MESSAGE,
    "plug-moved": Weight.MESSAGE,
}
_CAN_LAST: Final = ("latch", "turbo", "push", "keep")
_PLAYED: Final = ("tone", "say", "notify", "rumble")
#: Notices whose event has another name; None: they are no cue's.
_EVENT_OF: Final = {"say": "said", "layout": None, "remapd": None}
#: At most so many cues in a second, whatever comes.
_MOST: Final = 6
_SECOND_US: Final = 1_000_000


class CueBook:
    """What one daemon's layout wants to be heard."""

    def __init__(self) -> None:
        self._cues: Mapping[str, Mapping[str, Any] | None] = {}
        self._base = ""
        self._stay: set[str] = set()
        self._verbs: dict[str, str] = {}
        #: What lasts by itself: since when, and when it is told of next.
        self._lasting: dict[tuple[str, str, str], int] = {}
        self._played_from_us: int | None = None
        self._played_us = 0
        self._last_us: dict[tuple[str, str], int] = {}
        self._recent_us: list[int] = []
        self._told_batteries: set[str] = set()
        self._wants: list[str] = []

    # ---------------------------------------------------------------- what is wanted
    @property
    def topics(self) -> tuple[str, ...]:
        """What the daemon should tell of."""
        return (*TOPICS, PLAY_TOPIC) if self._break_us() else TOPICS

    def wants(self) -> list[str]:
        """Requests that should be sent now."""
        wants, self._wants = self._wants, []
        return wants

    def tones(self) -> set[tuple[str, float]]:
        """Every tone that may be wanted, with its loudness."""
        found: set[tuple[str, float]] = set()
        for name in {*self._cues, *EVENTS}:
            for cue in (self._cue(name, ""), self._off_cue(name)):
                if cue is not None and cue.tone is not None:
                    found.add((cue.tone, cue.loudness))
        return found

    def rumbles(self) -> set[tuple[str, float]]:
        """Every device on which some cue is felt, with its strength."""
        cues = [each for name in self._cues for each in (self._cue(name, ""), self._off_cue(name))]
        return {(cue.rumble, cue.strength) for cue in cues if cue is not None and cue.rumble}

    def _break_us(self) -> int:
        written = self._cues.get(BREAK)
        return 0 if written is None else int(written["after_us"])

    # ---------------------------------------------------------------- messages
    def take(self, messages: Sequence[Message], now_us: int) -> list[Cue]:
        """The cues of what came together."""
        layers: list[Cue] = []
        others: list[Cue] = []
        ended: list[Cue] = []
        for message in messages:
            if isinstance(message.get("status"), Mapping):
                others += self._still_moved(message["status"])
            if isinstance(message.get("layout"), Mapping):
                self._learn(message["layout"])
                continue
            match message.get("event"):
                case "layer" if message["kind"] == "layer-on":
                    layers += self._layer_on(message)
                case "layer":
                    ended += self._layer_off(message)
                case "notice":
                    others += self._noticed(message)
                case "layout":
                    others += self._reloaded(message)
                case "paused":
                    self._lasting.clear()
                    others += self._event("paused" if message["paused"] else "resumed", "")
                case "pad":
                    self._plays(now_us)
        if layers:  # one layer in place of another: the new one is enough
            ended = []
            layers = layers[-1:]
        return self._limited([*ended, *layers, *others], now_us)

    def disconnected(self) -> None:
        """The daemon ended: what lasted is over."""
        self._lasting.clear()
        self._played_from_us = None

    def _learn(self, layout: Message) -> None:
        self._cues = layout["cues"]
        self._base = layout["layers"][0]["layer"] if layout["layers"] else ""
        self._stay = {each["layer"] for each in layout["layers"] if each["stays"]}
        self._verbs = {}
        for verb, name in layout["verbs"].items():
            self._verbs.setdefault(name, verb)

    def _layer_on(self, message: Message) -> Iterator[Cue]:
        name = message["text"]
        if name in self._cues:
            own = self._cues[name]
            if own is not None and (name in self._stay or _is_played(own)):
                yield self._made(name, name, _over(EVENTS["layer-on"].default, own))
        elif name in self._stay:
            yield from self._event("layer-on", name)

    def _layer_off(self, message: Message) -> Iterator[Cue]:
        name = message["text"]
        own = self._cues.get(name)
        if own is not None and "off" in own:
            if own["off"] is not None:
                yield self._made(name, name, own["off"])
        elif list(message["layers"]) == [self._base] and self._base in self._cues:
            base = self._cues[self._base]
            if base is not None and _is_played(base):
                yield self._made(self._base, self._base, base)
        elif name in self._stay and not (name in self._cues and own is None):
            yield from self._event("layer-off", name)

    def _noticed(self, message: Message) -> Iterator[Cue]:
        kind, text, us = message["kind"], readable(message["text"]), message["us"]
        what, _, change = kind.rpartition("-")
        if what in _CAN_LAST:
            key = (what, text, message.get("person", ""))
            if change == "on":
                self._lasting[key] = us + self._lasting_us()
            else:
                self._lasting.pop(key, None)
        if kind == "released":
            self._lasting.clear()
        event = _EVENT_OF.get(kind, kind)
        if event in EVENTS:
            yield from self._event(event, self._verbs.get(text, text))

    def _still_moved(self, status: Message) -> Iterator[Cue]:
        """A device that is asked for: told again now and then, as long as nobody has pressed."""
        for device in status["devices"]:
            if device["state"] == "moved" and device["asked"]:
                yield from self._event("plug-moved", device["device"])

    def _reloaded(self, message: Message) -> Iterator[Cue]:
        if message["applied"]:
            self._wants.append("layout")
            self._lasting.clear()
            if message.get("chosen"):
                yield from self._event("layout-chosen", readable(message["title"]))
            yield from self._event("layout-applied", readable(message["title"]))
        else:
            yield from self._event("layout-refused", readable(PurePath(message["path"]).name))

    # ---------------------------------------------------------------- time
    def due(self, now_us: int) -> list[Cue]:
        """Cues whose time has come."""
        due: list[Cue] = []
        for key, at_us in self._lasting.items():
            if now_us >= at_us:
                self._lasting[key] = now_us + _AGAIN_US
                due += self._event(LASTING, key[1])
        break_us = self._break_us()
        from_us = self._played_from_us
        is_time = break_us and from_us is not None and now_us - from_us >= break_us
        if is_time and now_us - self._played_us < _PLAYS_US:
            self._played_from_us = now_us
            due += self._event(BREAK, "")
        return self._limited(due, now_us)

    def next_due_us(self) -> int | None:
        """When something will have lasted long enough; None: nothing lasts."""
        return min(self._lasting.values(), default=None)

    def battery(self, device: str, percent: int | None, status: str) -> list[Cue]:
        """The battery of a device, as the kernel tells it from time to time."""
        if percent is None or status in {"charging", "full"} or percent > _CHARGED_PERCENT:
            self._told_batteries.discard(device)
        elif percent <= LOW_PERCENT and device not in self._told_batteries:
            self._told_batteries.add(device)
            return list(self._event("battery-low", device))
        return []

    def _lasting_us(self) -> int:
        written = self._cues.get(LASTING) or {}
        return int(written.get("after_us", EVENTS[LASTING].default["after_us"]))

    def _plays(self, now_us: int) -> None:
        if self._played_from_us is None or now_us - self._played_us >= _REST_US:
            self._played_from_us = now_us
        self._played_us = now_us

    # ---------------------------------------------------------------- making cues
    def _event(self, event: str, name: str) -> Iterator[Cue]:
        cue = self._cue(event, name)
        if cue is not None:
            yield cue

    def _cue(self, key: str, name: str) -> Cue | None:
        """The cue of an event or layer as written, else its default; None for silence."""
        default = EVENTS[key].default if key in EVENTS else {}
        written = self._cues.get(key, {})
        if written is None:
            return None
        cue = _over(default, written)
        return self._made(key, name, cue) if _is_played(cue) else None

    def _off_cue(self, key: str) -> Cue | None:
        written = self._cues.get(key)
        off = None if written is None else written.get("off")
        return None if off is None else self._made(key, key, off)

    @staticmethod
    def _made(event: str, name: str, cue: Mapping[str, Any]) -> Cue:
        say, notify = cue.get("say"), cue.get("notify")
        spoken = name if event == "said" else spoken_name(name)
        return Cue(
            event,
            name,
            cue.get("tone"),
            None if say is None else say.replace(NAME_SIGN, spoken),
            None if notify is None else notify.replace(NAME_SIGN, name),
            cue.get("loudness", LOUDNESS),
            _WEIGHTS.get(event, Weight.TEXT),
            cue.get("rumble"),
            cue.get("strength", STRENGTH),
        )

    # ---------------------------------------------------------------- restraint
    def _limited(self, cues: Sequence[Cue], now_us: int) -> list[Cue]:
        played = []
        for cue in cues:
            key = (cue.event, cue.name if cue.event.startswith(("device", "plug")) else "")
            last_us = self._last_us.get(key)
            soonest_us = _SOONEST_US.get(cue.event, 0)
            if last_us is not None and now_us - last_us < soonest_us:
                continue
            self._recent_us = [us for us in self._recent_us if now_us - us < _SECOND_US]
            if len(self._recent_us) >= _MOST and cue.weight is Weight.TEXT:
                continue
            self._recent_us.append(now_us)
            self._last_us[key] = now_us
            played.append(cue)
        return played


def _is_played(cue: Mapping[str, Any]) -> bool:
    return any(name in cue for name in _PLAYED)


def _over(default: Mapping[str, Any], written: Mapping[str, Any]) -> Mapping[str, Any]:
    """What is written in place of the default; figures alone leave the default's sounds."""
    return written if _is_played(written) else {**default, **written}
