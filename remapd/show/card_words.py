"""What the controls of a layout do, in the few words that a card on the wall has room for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from remapd.engine.actions import (
    Action,
    ChangeLayout,
    Cycle,
    HoldLayer,
    Keep,
    Latch,
    Lead,
    NextLayer,
    Nothing,
    OnceTwice,
    OnRelease,
    Press,
    Pulse,
    Push,
    ReleaseEverything,
    Say,
    Scan,
    SendLever,
    SendStick,
    ShortLong,
    Steps,
    TakeRest,
    ToggleLayer,
    Turbo,
    UseTuning,
    Wait,
)
from remapd.engine.layout import Layout
from remapd.engine.pad_controls import PERSON_NAMES, STICK_NAMES, TARGET_NAMES

_THEN: Final = ", then "


@dataclass(frozen=True, slots=True)
class Line:
    """One thing that a control does: when, what, and what else there is to say of it.

    `what` is the main thing, in the game's word where it has one, and `pad` the pad control's own
    name where that is another; `layer` is the layer that it leads to; `way` is the direction (0 to
    3: up, down, left, right) that it belongs to; `items` are offered one after the other.
    """

    what: str
    when: str = ""
    pad: str = ""
    detail: str = ""
    layer: int | None = None
    way: int | None = None
    items: tuple[Line, ...] = ()
    does_nothing: bool = False


def spoken(name: str) -> str:
    """A name of the layout as people say it: `cast net` for `cast-net`."""
    return " ".join(name.replace("-", " ").replace(".", " ").split())


def seconds(us: int) -> str:
    """`0.9 s`, with a space that is not broken."""
    return f"{us / 1_000_000:.3f}".rstrip("0").rstrip(".") + "\u00a0s"


def rate(period_us: int) -> str:
    """`4 a second`, or `one each 1.5 s`."""
    each_second = 1_000_000 / period_us
    if each_second < 1:
        return f"once each {seconds(period_us)}"
    return f"{each_second:.1f}".rstrip("0").rstrip(".") + " a second"


class ActionWords:
    """Says the actions of one layout."""

    def __init__(self, layout: Layout) -> None:
        self._layout = layout
        self._verbs: dict[str, str] = {}
        for verb, name in layout.verbs.items():
            self._verbs.setdefault(name, verb)

    # ---------------------------------------------------------------- names
    def pad_control(self, name: str) -> tuple[str, str]:
        """The game's word for a pad control, and its own name where they differ, as people speak.

        `name` may be either, and may have a direction: `steer.left`, `left-stick.left`.
        """
        first, dot, part = name.partition(".")
        own = self._layout.verbs.get(first, first)
        whole = name if name in TARGET_NAMES or own == name else own + dot + part
        if name in self._verbs:
            word = self._verbs[name]
        elif dot and own in self._verbs:
            word = f"{first if first in self._layout.verbs else self._verbs[own]}.{part}"
        elif whole.startswith("dpad-") and "dpad" in self._verbs:
            word = f"{self._verbs['dpad']}.{whole.removeprefix('dpad-')}"
        else:
            word = name
        spoken_word, spoken_own = spoken(word), spoken(whole)
        return spoken_word, "" if spoken_word == spoken_own else spoken_own

    def targets(self, targets: tuple[int, ...], label: str = "") -> tuple[str, str]:
        """The same for what a press presses; `label` is how the layout's file writes it."""
        words = label.split(" + ") if label else [TARGET_NAMES[target] for target in targets]
        named = [self.pad_control(word) for word in words]
        own = [pad or word for word, pad in named]
        what = " + ".join(word for word, _ in named)
        return what, "" if all(not pad for _, pad in named) else " + ".join(own)

    def layer(self, number: int) -> str:
        """A layer's name."""
        return spoken(self._layout.layers[number].name)

    # ---------------------------------------------------------------- actions
    def lines(self, action: Action | None, when: str = "") -> list[Line]:
        """An action in lines, one for each way to press it."""
        match action:
            case None:
                return []
            case ShortLong():
                short = _at(when, "short press")
                long = _at(when, f"hold {seconds(action.after_us)}")
                return self.lines(action.short, short) + self.lines(action.long, long)
            case OnceTwice():
                once, twice = _at(when, "press once"), _at(when, "press twice")
                return self.lines(action.once, once) + self.lines(action.twice, twice)
            case OnRelease():
                return self.lines(action.action, _at(when, "letting go"))
            case _:
                return [replace(self._line(action), when=when)]

    def _line(self, action: Action) -> Line:
        """An action that a single press does."""
        match action:
            case Press():
                what, pad = self.targets(action.targets, action.label)
                return Line(what, pad=pad)
            case Turbo() | Latch() | Pulse():
                what, pad = self.targets(action.targets, _own_label(action))
                return Line(what, pad=pad, detail=self._lasting(action))
            case Push() | Keep() | SendStick() | SendLever():
                return self._motion(action)
            case HoldLayer() | ToggleLayer() | NextLayer() | Cycle():
                return self._layer_line(action)
            case Steps():
                return self._steps(action)
            case Scan():
                return self._scan(action)
            case Nothing():
                return Line("nothing", does_nothing=True)
            case _:
                return self._other(action)

    def _lasting(self, action: Turbo | Latch | Pulse) -> str:
        match action:
            case Pulse():
                return f"for {seconds(action.length_us)}"
            case Latch():
                return "stays pressed until pressed again" + _at_most(action.at_most_us)
            case Turbo():
                again = f"again and again, {rate(action.period_us)}"
                if action.toggle:
                    again += ", until pressed again" + _at_most(action.at_most_us)
                return again
        raise AssertionError(action)

    def _motion(self, action: Push | Keep | SendStick | SendLever) -> Line:
        match action:
            case SendLever():
                what, pad = self.targets((action.trigger,), _own_label(action))
                return Line(what, pad=pad, detail="as far as it is pressed")
            case SendStick():
                what, pad = self.pad_control(_own_label(action) or STICK_NAMES[action.stick])
                return Line(what, pad=pad, detail=_how_sent(action))
            case Keep():
                what, pad = self.pad_control(_own_label(action) or STICK_NAMES[action.stick])
                stays = "stays as it is until pressed again" + _at_most(action.at_most_us)
                return Line(f"keep {what}", pad=pad, detail=stays)
            case Push():
                return self._push(action)
        raise AssertionError(action)

    def _push(self, action: Push) -> Line:
        stick = STICK_NAMES[action.stick]
        way = _way_of(action.x, action.y)
        label = _own_label(action).split(" ")[0]
        word, pad = self.pad_control(label or stick)
        details = []
        amount = round(100 * (action.x**2 + action.y**2) ** 0.5)
        if amount < 100:
            details.append(f"{amount}% of the way")
        if action.ramp_us:
            details.append(f"within {seconds(action.ramp_us)}")
        if action.toggle:
            details.append("stays until pressed again")
        own = f"{pad} {way}" if pad else ""
        return Line(f"{word} {way}", pad=own, detail=", ".join(details))

    def _layer_line(self, action: HoldLayer | ToggleLayer | NextLayer | Cycle) -> Line:
        match action:
            case HoldLayer():
                return Line(self.layer(action.layer), layer=action.layer, detail="while held")
            case ToggleLayer():
                return Line(self.layer(action.layer), layer=action.layer, detail="on or off")
            case NextLayer():
                detail = "for the next press"
                return Line(self.layer(action.layer), layer=action.layer, detail=detail)
            case Cycle():
                names = "\u00a0→ ".join(self.layer(layer) for layer in action.layers)
                first = next((layer for layer in action.layers if layer), action.layers[0])
                back = action.back_after_us
                detail = f"back after {seconds(back)}" if back else "the next one at each press"
                return Line(names, layer=first, detail=detail)
        raise AssertionError(action)

    def _steps(self, action: Steps) -> Line:
        words = []
        for step in action.steps:
            if isinstance(step, Wait):
                words.append(f"wait {seconds(step.length_us)}")
            else:
                words += [one_line(line) for line in self.lines(step)]
        detail = "one after the other" + (", while held" if action.hold else "")
        return Line(_THEN.join(words), detail=detail)

    def _scan(self, action: Scan) -> Line:
        items = tuple(
            line
            if len(lines) == 1
            else Line("; ".join(one_line(each) for each in lines), layer=line.layer)
            for lines in map(self.lines, action.items)
            for line in lines[:1]
        )
        if action.pick is None:
            detail = f"one at a time, {seconds(action.every_us)} each; press for the one announced"
        else:
            pick = spoken(self._layout.buttons[action.pick].name)
            detail = f"press for the next one; a press of {pick} takes it"
        return Line("list", items=items, detail=detail)

    def _other(self, action: Action) -> Line:
        match action:
            case Lead():
                person = PERSON_NAMES[action.person]
                covered = _own_label(action).partition(" for ")[2]
                words = [self.pad_control(word)[0] for word in covered.split(", ") if word]
                what = f"{person} leads {', '.join(words)}" if words else f"{person} leads"
                return Line(what, detail="on or off" if action.toggle else "while held")
            case UseTuning():
                what = spoken(self._layout.tunings[action.tuning].name)
                how = "on or off" if action.toggle else "while held"
                return Line(what, detail=f"other settings, {how}")
            case TakeRest():
                return Line("rest", detail=f"hold for {seconds(action.hold_us)} to go on")
            case Say():
                return Line(f"“{action.text}”", detail="says it")
            case ChangeLayout():
                return Line(action.path, detail="changes to that layout")
            case ReleaseEverything():
                return Line("all off", detail="ends what goes on by itself")
            case _:
                return Line(spoken(action.label) or "something else")


def one_line(line: Line) -> str:
    """A line as a short piece of a sentence."""
    words = f"{line.when}: {line.what}" if line.when else line.what
    return f"layer {words}" if line.layer is not None else words


def _at(when: str, more: str) -> str:
    return f"{when}, {more}" if when else more


def _at_most(us: int) -> str:
    return f", {seconds(us)} at most" if us else ""


def _own_label(action: Action) -> str:
    """What the layout's file writes behind the action's own word, without how it is held."""
    label = action.label.removesuffix(" (toggle)")
    for word in ("turbo ", "latch ", "pulse ", "push ", "keep ", "send ", "lead "):
        label = label.removeprefix(word)
    return label


def _how_sent(action: SendStick) -> str:
    details = []
    if action.gain != 1.0:
        details.append(f"{round(100 * action.gain)}% of the way")
    turned = [name for name, is_turned in (("x", action.flip_x), ("y", action.flip_y)) if is_turned]
    if turned:
        sides = {"x": "left and right", "y": "up and down"}
        details.append(" and ".join(f"{sides[name]} swapped" for name in turned))
    if action.change_centred:
        details.append("let it go first")
    return ", ".join(details)


def _way_of(x: float, y: float) -> str:
    """`left`, or `right and up`; sticks are negative to the left and up."""
    across = "left" if x < 0 else "right"
    along = "up" if y < 0 else "down"
    if abs(x) < 0.38 * abs(y):
        return along
    if abs(y) < 0.38 * abs(x):
        return across
    return f"{along} and {across}"
