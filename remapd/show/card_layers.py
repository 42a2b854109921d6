"""How layers are entered and left, and what every control does in the stack that this gives."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from remapd.engine.actions import (
    Action,
    Cycle,
    HoldLayer,
    NextLayer,
    OnceTwice,
    OnRelease,
    ReleaseEverything,
    Scan,
    ShortLong,
    Steps,
    ToggleLayer,
)
from remapd.engine.layout import Button, ButtonControl, Layer, Layout, LeverControl
from remapd.engine.pad_controls import PERSON_NAMES, PLAYER
from remapd.engine.settings import Rest
from remapd.engine.stack import Stack, Table
from remapd.show.card_words import ActionWords, seconds, spoken

_DIRECTIONS: Final = ("up", "down", "left", "right")


@dataclass(frozen=True, slots=True)
class Entry:
    """One way from a stack of layers to another one."""

    how: str  #: `hold left knee for 0.9 s`
    action: Action  #: the part of the binding that does it
    layers: tuple[int, ...]  #: the stack that it gives, base first


@dataclass(frozen=True, slots=True)
class LayerOrder:
    """A layer, and how to come there and away again."""

    number: int
    stack: tuple[int, ...]  #: the shortest stack that has it on top, base first
    get_there: str
    get_away: str
    from_layer: int = 0  #: the topmost layer in which one gets there
    is_reached: bool = True


def table_of(layout: Layout, layers: tuple[int, ...]) -> Table:
    """What everything does while these layers are on, as the engine finds it."""
    stack = Stack(layout, lambda _layer, _active, _us: None)
    for layer in layers[1:]:
        stack.add(layer, 0)
    return stack.table


def layer_orders(layout: Layout, words: ActionWords) -> list[LayerOrder]:
    """Every layer of a layout, in the order of the file, with the shortest way there."""
    found: dict[int, tuple[tuple[int, ...], Entry | None, int]] = {0: ((0,), None, 0)}
    waiting: deque[tuple[int, ...]] = deque([(0,)])
    seen: set[tuple[int, ...]] = {(0,)}
    while waiting:
        layers = waiting.popleft()
        for entry in entries(layout, layers):
            if entry.layers in seen or len(entry.layers) > len(layout.layers):
                continue
            seen.add(entry.layers)
            waiting.append(entry.layers)
            found.setdefault(entry.layers[-1], (entry.layers, entry, layers[-1]))
        if len(found) == len(layout.layers):
            break
    numbers = range(len(layout.layers))
    return [_order(layout, words, number, found.get(number)) for number in numbers]


def _order(
    layout: Layout,
    words: ActionWords,
    number: int,
    found: tuple[tuple[int, ...], Entry | None, int] | None,
) -> LayerOrder:
    if found is None:
        return LayerOrder(number, (0, number), "nothing leads here", "", is_reached=False)
    layers, entry, from_layer = found
    if entry is None:
        there = "always on, under the others" if len(layout.layers) > 1 else ""
        return LayerOrder(0, layers, there, "")
    there = entry.how
    if from_layer:
        there = f"in {words.layer(from_layer)}: {there}"
    return LayerOrder(number, layers, there, _get_away(layout, number, layers, entry), from_layer)


def _get_away(layout: Layout, number: int, layers: tuple[int, ...], entry: Entry) -> str:
    match entry.action:
        case HoldLayer():
            return "let go"
        case NextLayer(give_up_us=give_up_us):
            return (
                f"by itself after one press, or after {seconds(give_up_us)} without one; "
                "twice there, it stays on until a third time"
            )
        case Cycle(layers=cycle, back_after_us=back_after_us):
            onward = "on" if len(cycle) > 2 else "back"
            itself = f", or by itself after {seconds(back_after_us)}" if back_after_us else ""
            return f"the same again leads {onward}{itself}"
        case _:
            ways = [way for way, action in _presses(layout, layers) if _ends(action, number)]
            if not ways:
                return "nothing on the controls ends it"
            return " or ".join(
                "the same again" if way == entry.how else way for way in dict.fromkeys(ways)
            )


def _ends(action: Action, layer: int) -> bool:
    if isinstance(action, ReleaseEverything):
        return True
    return isinstance(action, ToggleLayer) and action.layer == layer


def entries(layout: Layout, layers: tuple[int, ...]) -> Iterator[Entry]:
    """Every press that puts another layer on top of these."""
    for how, action in _presses(layout, layers):
        match action:
            case HoldLayer(layer=layer) | ToggleLayer(layer=layer) | NextLayer(layer=layer):
                if layer not in layers:
                    yield Entry(how, action, (*layers, layer))
            case Cycle(layers=cycle):
                start = cycle.index(0) if 0 in cycle else -1
                now = next((cycle.index(each) for each in layers[1:] if each in cycle), start)
                after = cycle[(now + 1) % len(cycle)]
                others = tuple(layer for layer in layers if layer == 0 or layer not in cycle)
                if after not in others:
                    yield Entry(how, action, (*others, after))
            case _:
                pass


def _presses(layout: Layout, layers: tuple[int, ...]) -> Iterator[tuple[str, Action]]:
    """Every simple press of these layers, in words, and what it does."""
    table = table_of(layout, layers)
    for number, action in enumerate(table.actions):
        if action is not None:
            yield from _ways(layout, press_words(layout, number), action)
    seen: set[int] = set()
    for chords in table.chords.values():
        for chord in chords:
            if id(chord) not in seen:
                seen.add(id(chord))
                names = " and ".join(
                    button_words(layout, member) for member in (chord.first, chord.second)
                )
                person = _person(layout, layout.buttons[chord.first])
                yield from _ways(layout, (f"{person}press", f"{names} together"), chord.action)


def _ways(layout: Layout, words: tuple[str, str], action: Action) -> Iterator[tuple[str, Action]]:
    """The presses of an action: `words` are the verb and the control."""
    press, control = words
    plain = f"{press} {control}".strip()
    match action:
        case ShortLong(short=short, long=long, after_us=after_us):
            yield from _ways(layout, (press, f"{control} briefly"), short)
            hold = press.replace("press", "hold") if "press" in press else f"{press} hold".strip()
            yield from _ways(layout, (hold, f"{control} for {seconds(after_us)}"), long)
        case OnceTwice(once=once, twice=twice):
            yield from _ways(layout, (press, f"{control} once"), once)
            yield from _ways(layout, (press, f"{control} twice"), twice)
        case OnRelease(action=inner):
            yield from _ways(layout, (press, f"{control} and let go"), inner)
        case Scan(items=items):
            for item in items:
                yield from _ways(layout, ("choose it", f"in the list of {control}"), item)
        case Steps(steps=steps):
            for step in steps:
                yield from ((plain, inner) for _, inner in _ways(layout, words, step))
        case _:
            yield plain, action


def press_words(layout: Layout, number: int) -> tuple[str, str]:
    """What a hand does with a button, and what the button is called: (`press`, `left knee`)."""
    button = layout.buttons[number]
    control = layout.controls[button.control]
    person = _person(layout, button)
    if isinstance(control, ButtonControl):
        if control.name.endswith("-stick-press"):
            return f"{person}press in", spoken(control.name.removesuffix("-press"))
        act = "let go of" if control.inverted else "press"
        return f"{person}{act}", button_words(layout, number)
    if isinstance(control, LeverControl) and control.settings.rests_at is not Rest.MIDDLE:
        return f"{person}press", button_words(layout, number)
    return person.strip(), button_words(layout, number)


def button_words(layout: Layout, number: int) -> str:
    """A button as people call it: `left knee`, `roll up`, `breath sip`, `left pedal`."""
    button = layout.buttons[number]
    control = layout.controls[button.control]
    name = spoken(control.name)
    if isinstance(control, ButtonControl):
        return name
    if isinstance(control, LeverControl):
        if control.settings.rests_at is not Rest.MIDDLE:
            return name
        return f"{name} {spoken(control.ends[button.part or 0])}"
    return f"{name} {_DIRECTIONS[button.part or 0]}"


def _person(layout: Layout, button: Button) -> str:
    """Who has to do it, where that is not the player."""
    person = layout.devices[layout.controls[button.control].device].person
    return "" if person == PLAYER else f"{PERSON_NAMES[person]}: "


def names_control(layout: Layout, layer: Layer, control: int) -> bool:
    """Whether a layer says what a control, or a part of it, does."""
    return control in layer.wholes or any(
        layout.buttons[number].control == control for number in layer.bindings
    )
