"""What happens in a session, in plain sentences: what a hand did, and what came of it."""

from __future__ import annotations

from typing import Final

from remapd.engine.layout import ButtonControl, Layout
from remapd.engine.notices import Notice, NoticeKind
from remapd.engine.pad_controls import PERSON_NAMES, PLAYER
from remapd.recording.pad_changes import LEVER, MOVE, PRESS, STICK_FULL, Change
from remapd.show.hands_seen import HandChange
from remapd.show.lanes import way_of
from remapd.show.session import Moment

#: Ways of a stick, eighths of a turn clockwise from the right.
WAYS: Final = (
    "right",
    "right and down",
    "down",
    "left and down",
    "left",
    "left and up",
    "up",
    "right and up",
)
#: A stick's way is told again only after so long, unless it comes to rest.
_TOLD_AGAIN_US: Final = 700_000


#: Decisions of the engine begin so where a press is accepted.
_ACCEPTED: Final = "pressed: "
_IGNORED: Final = "ignored"


class Teller:
    """Tells moments one after the other; remembers what has been told and is still so."""

    def __init__(self, layout: Layout) -> None:
        self._layout = layout
        self._verbs = verb_by_control(layout)
        #: Buttons that a hand holds, and since when.
        self._held: dict[int, int] = {}
        #: Sticks and the like that a hand holds away from their middle.
        self._moving: set[int] = set()
        #: Sticks of the pad: the way that was told, and when.
        self._ways: dict[str, tuple[int | None, int]] = {}
        #: Turbos under way, by what they are called: presses so far, and the pad control.
        self._turbos: dict[str, tuple[int, str]] = {}
        self._layers: set[str] = set()

    def tell(self, moment: Moment) -> list[str]:
        """Sentences about one moment; none where nothing is new."""
        done = [text for change in moment.hands if (text := self._handled(change))]
        effects = [text for notice in moment.notices if (text := self._noticed(notice))]
        moves = [text for change in moment.pad if (text := self._moved(change))]
        effects += [text for change in moment.pad if (text := self._pressed(change))] + moves
        doing = self._doing(moment, done, has_moved=any(" goes " in text for text in moves))
        if effects:
            told = ", ".join(effects[:-1]) + " and " + effects[-1] if effects[1:] else effects[0]
            sentences = [f"{doing}: {told}." if doing else f"{told}."]
        else:
            sentences = [
                f"{line.subject} pressed: {self._accepted(line.text)}."
                for line in moment.decisions
                if line.text.startswith(_ACCEPTED)
            ]
        sentences += [
            f"{line.subject} {line.text}."
            for line in moment.decisions
            if line.text.startswith(_IGNORED)
        ]
        return sentences

    def _accepted(self, decision: str) -> str:
        """What an accepted press stands for, where nothing has come of it yet."""
        action = decision.removeprefix(_ACCEPTED).partition(" (found in")[0]
        if action.startswith("layer ") and action.endswith(" (next)"):
            layer = action.removeprefix("layer ").removesuffix(" (next)")
            if layer in self._layers:
                return f"layer {layer} stays on"
        return action

    # ---------------------------------------------------------------- what a hand does
    def _doing(self, moment: Moment, done: list[str], *, has_moved: bool) -> str:
        """The control that is behind a moment, and what is done with it."""
        accepted = [line for line in moment.decisions if line.text.startswith(_ACCEPTED)]
        if accepted:
            return f"{accepted[0].subject} pressed"
        if done:
            return done[-1]
        if len(self._held) == 1 and (moment.layers is not None or any(map(_presses, moment.pad))):
            ((number, since_us),) = self._held.items()
            return f"{self._name(number)} held for {(moment.us - since_us) / 1_000_000:.1f} s"
        if len(self._moving) == 1 and has_moved:
            return f"{self._name(*self._moving)} moves"
        return ""

    def _handled(self, change: HandChange) -> str:
        """Remembers what a hand holds; tells of buttons alone."""
        number = change.control
        if not isinstance(self._layout.controls[number], ButtonControl):
            if way_of(change.x, change.y) is None:
                self._moving.discard(number)
            else:
                self._moving.add(number)
            return ""
        if change.x:
            self._held[number] = change.us
            return f"{self._name(number)} pressed"
        self._held.pop(number, None)
        return f"{self._name(number)} let go"

    def _name(self, number: int) -> str:
        control = self._layout.controls[number]
        person = self._layout.devices[control.device].person
        return control.name if person == PLAYER else f"the {PERSON_NAMES[person]}'s {control.name}"

    # ---------------------------------------------------------------- what comes of it
    def _noticed(self, notice: Notice) -> str:
        match notice.kind:
            case NoticeKind.LAYER_ON:
                self._layers.add(notice.text)
                return f"layer {notice.text} is on"
            case NoticeKind.LAYER_OFF:
                self._layers.discard(notice.text)
                return f"layer {notice.text} is off"
            case NoticeKind.TURBO_ON:
                self._turbos[notice.text] = (0, "")
            case NoticeKind.TURBO_OFF:
                presses, name = self._turbos.pop(notice.text, (0, notice.text))
                return f"{name} stops after {presses} presses"
            case NoticeKind.OVERRULED:
                person = PERSON_NAMES[notice.person or 0]
                return f"the {person}'s {self._called(notice.text)} waits, the player comes first"
            case NoticeKind.SAY:
                return f'it says "{notice.text}"'
            case _:
                pass
        return ""

    def _pressed(self, change: Change) -> str:
        if not _presses(change):
            return ""
        name = self._called(change.control)
        for turbo, (presses, _) in self._turbos.items():
            self._turbos[turbo] = (presses + 1, name)
            return "" if presses else f"{name} repeats"
        return f"{name} is pressed"

    def _moved(self, change: Change) -> str:
        if change.what != MOVE or not isinstance(change.value, tuple):
            return ""
        name = self._called(change.control)
        told, told_us = self._ways.get(change.control, (None, -_TOLD_AGAIN_US))
        x, y = (value / STICK_FULL for value in change.value)
        way = way_of(x, y)
        if way == told or (way is None and change.value != (0, 0)):
            return ""
        if way is not None and told is not None and change.us - told_us < _TOLD_AGAIN_US:
            return ""
        self._ways[change.control] = (way, change.us)
        return f"{name} is centred" if way is None else f"{name} goes {WAYS[way]}"

    def _called(self, control: str) -> str:
        """The game's verb with the pad control's own name, or that name alone."""
        verb = self._verbs.get(control)
        return control if verb is None else f"{verb} ({control})"


def _presses(change: Change) -> bool:
    """Whether a change of the pad presses something."""
    return change.what == PRESS or (change.what == LEVER and bool(change.value))


def verb_by_control(layout: Layout) -> dict[str, str]:
    """The game's word for each pad control that has one; of several the first."""
    verbs: dict[str, str] = {}
    for verb, control in layout.verbs.items():
        verbs.setdefault(control, verb)
    return verbs
