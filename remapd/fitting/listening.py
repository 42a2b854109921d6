"""All devices, listened to for what a question asks for: a new control, a try, or an answer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from types import TracebackType
from typing import Any, Final, Self, TypeAlias

from remapd.analysis.device_kinds import Kind as DeviceKind
from remapd.analysis.device_kinds import kind_of
from remapd.codes import AXES, EV_ABS, EV_KEY, EV_REL, KEYS, RELS, code_name
from remapd.engine.matching import is_keyboard, is_pointer
from remapd.engine.source import Source
from remapd.fitting.conversation.questions import Find, Question, Try
from remapd.fitting.hearing import Ear, Heard, is_for_listening
from remapd.fitting.identity import identify, key_of
from remapd.fitting.measuring import Measure, Measured, SwitchMeasure
from remapd.fitting.measuring_moves import LeverMeasure, RollMeasure, StickMeasure
from remapd.fitting.setup import Kind
from remapd.fitting.typists import Typists
from remapd.kernel.errors import KernelError
from remapd.kernel.frames import Frame
from remapd.kernel.holders import is_taken_alone
from remapd.kernel.hotplug import is_remapd_pad
from remapd.kernel.several import SeveralDevices
from remapd.kernel.source import SourceDevice
from remapd.kernel.timer import monotonic_us

_TYPES: Final[dict[Kind, int]] = {
    "button": EV_KEY, "stick": EV_ABS, "lever": EV_ABS, "pointer": EV_REL,
}  # fmt: skip
_NUMBERS: Final[dict[Kind, dict[str, int]]] = {
    "button": KEYS, "stick": AXES, "lever": AXES, "pointer": RELS,
}  # fmt: skip
#: What a keyboard-like box types goes on arriving for so long after the key was let go.
_LATE_US: Final = 150_000


@dataclass(frozen=True, slots=True)
class Pressed:
    """A button of a device changed.

    `may_answer`: it is a switch, and not a key of a keyboard or mouse that the computer is used
    with.
    """

    us: int
    key: str
    code: int
    pressed: bool
    may_answer: bool


@dataclass(frozen=True, slots=True)
class Answered:
    """What the question asked for was heard; the answer is as the question says."""

    us: int
    answer: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Progress:
    """A try goes on; in a few words how far it is."""

    text: str


Event: TypeAlias = Pressed | Answered | Progress


class Listening:
    """The devices; use it in a `with`. `typists` knows which keyboards answers are typed on."""

    def __init__(self, wake_descriptor: int) -> None:
        self.typists = Typists()
        self._devices = SeveralDevices(
            # the description has no ranges, but all that the sort of device is told by
            lambda node: not is_remapd_pad(node) and is_for_listening(node)
        )
        self._devices.wake_on(wake_descriptor)
        self._question: Question | None = None
        self._ears: dict[str, Ear] = {}
        self._wants_more = False  #: the question is open, and devices that come are listened to
        self._measure: Measure | None = None
        self._measured_path = ""
        self._progress = ""
        self._there = {path: each.source for path, each in self._devices.opened.items()}
        self._is_missing_told = False
        #: Boxes that act as keyboards or mice, taken for the fitting alone.
        self._claimed: set[str] = set()
        #: Those of them that turned out to be typed on.
        self._typed_on: set[str] = set()
        #: A keyboard-like box that was just heard types until it is let go of.
        self._hushed: str | None = None
        self._hushed_until_us = 0
        self.always_hushed: str | None = None

    def __enter__(self) -> Self:
        self._devices.__enter__()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._devices.close()

    @property
    def denied(self) -> list[str]:
        """The nodes that this user may not read."""
        return sorted(self._devices.denied)

    @property
    def readable(self) -> int:
        """How many devices are listened to."""
        return len(self._devices.opened)

    @property
    def taken_by_others(self) -> list[str]:
        """The names of the devices that another program has for itself: they cannot be heard."""
        return sorted(
            device.source.name
            for path, device in self._devices.opened.items()
            if not device.grabbed and is_taken_alone(path)
        )

    @property
    def sources(self) -> list[Source]:
        """What is listened to."""
        return [each.source for each in self._devices.opened.values()]

    @property
    def due_us(self) -> int | None:
        """When something may be heard without any more input, or None."""
        due = [ear.due_us for ear in self._ears.values()]
        if self._measure is not None:
            due.append(self._measure.due_us)
        return min((us for us in due if us is not None), default=None)

    def ask(self, question: Question | None) -> None:
        """Listens for what this question asks for, from now on."""
        if question is self._question:
            return
        self._question = question
        self._ears = {}
        self._wants_more = isinstance(question, Find)
        self._is_missing_told = False
        self._measure = None
        self._progress = ""
        if isinstance(question, Find):
            self._open_ears(question)
        elif isinstance(question, Try):
            self._begin_measure(question)

    def claim(self, keys: set[str]) -> None:
        """These boxes are for playing only: what they send reaches nobody else while we listen.

        One on which somebody types all the same is given back for good: it is their keyboard.
        """
        self._claimed = keys - self._typed_on

    def read(self, until_us: int | None) -> Iterator[Event]:
        """Waits for something, until `until_us` at the latest, and gives what was made of it."""
        came = list(self._devices.read(until_us))
        yield from self._plugged()
        self._follow_plugs()
        self._take_claimed()
        for device, frame in came:
            yield from self._frame(device, frame)
        now_us = monotonic_us()
        for path, ear in self._ears.items():
            heard = ear.advance(now_us)
            if heard is not None and path in self._devices.opened:
                yield self._found(now_us, self._devices.opened[path], heard)
                return
        if self._measure is not None:
            self._measure.advance(now_us)
            yield from self._tried(now_us)

    def is_typing_to_be_dropped(self) -> bool:
        """Whether what arrives at the terminal now was sent by a switch and not typed."""
        if self.always_hushed is not None and self.always_hushed not in self.typists.keys:
            device = self._by_key(self.always_hushed)
            if device is not None and device.held():
                self._hushed_until_us = monotonic_us() + _LATE_US
        if self._hushed is not None:
            device = self._by_key(self._hushed)
            if device is not None and device.held():
                self._hushed_until_us = monotonic_us() + _LATE_US
            else:
                self._hushed = None
        return monotonic_us() < self._hushed_until_us

    # ------------------------------------------------------------------ inside

    def _frame(self, device: SourceDevice, frame: Frame) -> Iterator[Event]:
        us, events = frame
        key = key_of(device.source)
        for event_type, code, value in events:
            if event_type == EV_KEY:
                if value and kind_of(device.source) is DeviceKind.KEYBOARD:
                    self.typists.press(key, code)
                    if device.grabbed and self.typists.is_typed_on(us, key, code):
                        self._typed_on.add(key)
                        self._claimed.discard(key)
                        yield Progress(
                            f"{device.source.name} is typed on, so it is left to the computer."
                        )
                may_answer = key in self._claimed or key == self.always_hushed
                if not may_answer:
                    may_answer = not (is_keyboard(device.source) or is_pointer(device.source))
                yield Pressed(us, key, code, bool(value), may_answer)
        ear = self._ears.get(device.path)
        heard = None if ear is None else ear.feed(us, events)
        if heard is not None:
            yield self._found(us, device, heard)
        elif self._measure is not None and device.path == self._measured_path:
            self._measure.feed(us, events)
            yield from self._tried(us)

    def _found(self, us: int, device: SourceDevice, heard: Heard) -> Answered:
        event_type = _TYPES[heard.kind]
        identity = identify(device.source, self.sources)
        types = identity.key in self.typists.keys
        if identity.acts_as == "keyboard" and not types:
            self._hushed = identity.key
            self._hushed_until_us = monotonic_us() + _LATE_US
        self._ears = {}
        self._wants_more = False
        return Answered(
            us,
            {
                "device": identity.to_data(),
                "kind": heard.kind,
                "codes": [code_name(event_type, code) for code in heard.codes],
                "held_us": heard.held_us,
                "released": heard.released,
                "pair": None
                if heard.pair is None
                else [code_name(EV_ABS, code) for code in heard.pair],
                "typed_with": types,
            },
        )

    def _tried(self, us: int) -> Iterator[Event]:
        measure = self._measure
        if measure is None:
            return
        if measure.progress != self._progress:
            self._progress = measure.progress
            if self._progress:
                yield Progress(self._progress)
        if measure.done:
            self._measure = None
            yield Answered(us, data_of(measure.result()))

    def _open_ears(self, question: Find) -> None:
        for path, device in self._devices.opened.items():
            if path not in self._ears and key_of(device.source) not in question.leave:
                only_held = key_of(device.source) in self.typists.keys
                self._ears[path] = Ear(
                    device.source, device.held(), device.axes(), only_held=only_held
                )

    def _begin_measure(self, question: Try) -> None:
        device = self._by_key(question.key)
        if device is None:
            return
        numbers = [_NUMBERS[question.kind][name] for name in question.codes]
        ranges = device.source.axes
        self._measured_path = device.path
        match question.kind:
            case "button":
                self._measure = SwitchMeasure(numbers[0])
            case "stick":
                self._measure = StickMeasure((numbers[0], numbers[1]), ranges, device.axes())
            case "lever":
                axes = device.axes()
                self._measure = LeverMeasure(
                    numbers[0], ranges[numbers[0]], axes.get(numbers[0], 0)
                )
            case "pointer":
                self._measure = RollMeasure((numbers[0], numbers[1]))

    def _follow_plugs(self) -> None:
        """A device that has come is listened to as well; one that has gone no more."""
        opened = self._devices.opened
        for path in self._ears.keys() - opened.keys():
            del self._ears[path]
        question = self._question
        if isinstance(question, Find) and self._wants_more:
            self._open_ears(question)
        elif isinstance(question, Try):
            if self._measure is not None and self._measured_path not in opened:
                self._measure = None
                self._progress = ""
            if self._measure is None:
                self._begin_measure(question)

    def _plugged(self) -> Iterator[Progress]:
        """What has come or gone is told while something is to be pressed or moved."""
        there = {path: device.source for path, device in self._devices.opened.items()}
        before, self._there = self._there, there
        if not isinstance(self._question, Find | Try):
            return
        for path in there.keys() - before.keys():
            yield Progress(f"{there[path].name} is plugged in.")
        for path in before.keys() - there.keys():
            yield Progress(f"{before[path].name} is unplugged.")
        if isinstance(self._question, Try) and not self._is_missing_told:
            self._is_missing_told = True
            if self._by_key(self._question.key) is None:
                yield Progress("It is not plugged in where it was. Plug it in, or type `back`.")

    def _take_claimed(self) -> None:
        for device in self._devices.opened.values():
            is_claimed = key_of(device.source) in self._claimed
            if is_claimed and not device.grabbed:
                try:
                    device.try_grab()
                except KernelError:
                    self._typed_on.add(key_of(device.source))  # another program has it
            elif device.grabbed and not is_claimed:
                device.ungrab()

    def _by_key(self, key: str) -> SourceDevice | None:
        return next(
            (each for each in self._devices.opened.values() if key_of(each.source) == key), None
        )


def data_of(measured: Measured) -> dict[str, Any]:
    """As an answer holds it."""
    return {
        "settings": dict(measured.settings),
        "notes": list(measured.notes),
        "small_range": measured.small_range,
        "presses_us": list(measured.presses_us),
        "first_way": measured.first_way,
    }
