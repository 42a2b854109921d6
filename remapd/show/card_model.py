"""What a card says: the layers of a layout, each control in each of them, and the way to pause."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from remapd.engine.actions import (
    Action,
    Keep,
    Press,
    Push,
    Scan,
    SendLever,
    SendStick,
    parts_of,
)
from remapd.engine.layout import ButtonControl, Layer, Layout, LeverControl
from remapd.engine.pad_controls import BUTTON_COUNT, PERSON_NAMES, STICK_NAMES, TARGET_NAMES
from remapd.engine.settings import Rest
from remapd.engine.stack import Table
from remapd.show.card_heard import heard_of
from remapd.show.card_layers import (
    LayerOrder,
    button_words,
    layer_orders,
    names_control,
    table_of,
)
from remapd.show.card_pause import pauses_of
from remapd.show.card_people import people_of, rules_of
from remapd.show.card_places import Grid, arrange
from remapd.show.card_words import ActionWords, Line, spoken

#: Sides of a stick in the order in which they are written: up, left, right, down.
_SIDES = (0, 2, 3, 1)
_WAY_WORDS = ("up", "down", "left", "right")
#: A whole gamepad is told in a few words where so many of its controls do what their names say.
_MOSTLY = 0.6


@dataclass(frozen=True, slots=True)
class CellLine:
    """A line of a cell, and the layer below that it comes from, where it is passed through."""

    line: Line
    from_layer: int | None = None


@dataclass(frozen=True, slots=True)
class Cell:
    """One control, or a chord of two, in one layer."""

    name: str
    person: int
    lines: tuple[CellLine, ...]

    @property
    def is_passed_through(self) -> bool:
        """Whether nothing of it is said by the layer itself."""
        return all(each.from_layer is not None for each in self.lines)


@dataclass(frozen=True, slots=True)
class WholeDevice:
    """A gamepad of which every control does what its own name says, but for these.

    In a layer on top of the base `others` are those that are otherwise there than in the base.
    """

    name: str
    person: int
    others: tuple[str, ...]

    def in_words(self, base: str) -> str:
        """What is to be said of the controls that are not among `others`; `base` is "" in it."""
        if not base:
            return "each control does what its name says"
        return f"the rest as in {base}" if self.others else f"as in {base}"


@dataclass(frozen=True, slots=True)
class Panel:
    """One layer of the card. `cells` are by control; `chords` are pressed together."""

    order: LayerOrder
    name: str
    hears: str  #: what is said when it comes on
    cells: dict[int, Cell]
    chords: tuple[Cell, ...]
    devices: tuple[WholeDevice, ...]


@dataclass(frozen=True, slots=True)
class PadControl:
    """A pad control: its own name, the game's word for it, and its own name as people say it."""

    name: str
    word: str
    own: str


@dataclass(frozen=True, slots=True)
class Card:
    """All of a card, not yet drawn."""

    layout: Layout
    title: str
    notes: str
    panels: tuple[Panel, ...]
    grid: Grid
    people: tuple[tuple[str, tuple[str, ...]], ...]  #: each person, and what they hold
    rules: tuple[str, ...]  #: how two people's parts become one
    pauses: tuple[str, ...]
    pad: tuple[PadControl, ...]  #: those that the layout uses, in pad order
    notices: tuple[str, ...]  #: for whoever makes the card

    @property
    def is_for_two(self) -> bool:
        """Whether somebody plays along."""
        return len(self.people) > 1

    def layer_name(self, number: int) -> str:
        """A layer's name as people say it."""
        return spoken(self.layout.layers[number].name)


def card_of(layout: Layout) -> Card:
    """The card of a layout."""
    return _Making(layout).card()


class _Making:
    """One card in the making."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.words = ActionWords(layout)
        self.heard = heard_of(layout)
        self.orders = layer_orders(layout, self.words)
        self.tables = [table_of(layout, order.stack) for order in self.orders]
        self.bound = set(_bound_controls(layout))
        self.placed = {number for number in range(len(layout.controls)) if self.is_placed(number)}
        self.collapsed = [n for n in range(len(layout.devices)) if self.is_told_whole(n)]
        self.shown = [
            number
            for number, control in enumerate(layout.controls)
            if control.device not in self.collapsed
            and (number in self.placed or number in self.bound)
        ]

    def card(self) -> Card:
        layout = self.layout
        grid, notices = arrange(layout, self.shown)
        return Card(
            layout,
            " ".join(layout.title.split()),
            " ".join(layout.notes.split()),
            tuple(self.panel(order) for order in self.orders),
            grid,
            tuple(people_of(layout, self.shown, self.collapsed)),
            tuple(rules_of(layout, self.words)),
            tuple(pauses_of(layout, self.words, self.orders, self.tables)),
            tuple(self.pad()),
            tuple(notices),
        )

    # ---------------------------------------------------------------- which controls are shown
    def short_name(self, control: int) -> str:
        """A control's name without its device's."""
        entry = self.layout.controls[control]
        return entry.name.removeprefix(f"{self.layout.devices[entry.device].name}.")

    def is_placed(self, control: int) -> bool:
        """Whether the layout says where it is."""
        device = self.layout.devices[self.layout.controls[control].device].name
        short = self.short_name(control)
        return short in self.layout.place or f"{device}.{short}" in self.layout.place

    def is_told_whole(self, device: int) -> bool:
        """Whether it is a gamepad beside other things, that mostly does what its names say."""
        entry = self.layout.devices[device]
        bound = [number for number in entry.controls if number in self.bound]
        if not entry.gamepad or len(self.layout.devices) < 2 or len(bound) < 5:
            return False
        if self.placed & set(entry.controls):
            return False
        return len([n for n in bound if self.does_what_it_is(n)]) >= _MOSTLY * len(bound)

    def does_what_it_is(self, control: int) -> bool:
        """Whether it does what its name says in the base, and no layer says otherwise."""
        if any(names_control(self.layout, layer, control) for layer in self.layout.layers[1:]):
            return False
        name = self.short_name(control)
        table = self.tables[0]
        match table.wholes[control]:
            case SendStick(stick=stick, gain=gain, flip_x=flip_x, flip_y=flip_y):
                return name == STICK_NAMES[stick] and gain == 1.0 and not (flip_x or flip_y)
            case SendLever(trigger=trigger):
                return name == TARGET_NAMES[trigger]
            case _:
                entry = self.layout.controls[control]
                if not isinstance(entry, ButtonControl):
                    return False
                action = table.actions[entry.button]
                targets = action.targets if isinstance(action, Press) else ()
                return [TARGET_NAMES[target] for target in targets] == [name]

    # ---------------------------------------------------------------- one layer
    def panel(self, order: LayerOrder) -> Panel:
        layer = self.layout.layers[order.number]
        table = self.tables[order.number]
        return Panel(
            order,
            spoken(layer.name),
            self.heard.get(order.number, ""),
            {number: self.cell(number, order, table) for number in self.shown},
            tuple(self.chords(order, table)),
            tuple(self.whole_devices(order, table)),
        )

    def cell(self, number: int, order: LayerOrder, table: Table) -> Cell:
        control = self.layout.controls[number]
        person = self.layout.devices[control.device].person
        return Cell(spoken(control.name), person, tuple(self.lines(number, order, table)))

    def lines(self, number: int, order: LayerOrder, table: Table) -> Iterator[CellLine]:
        control = self.layout.controls[number]
        if isinstance(control, ButtonControl):
            when = "letting go" if control.inverted else ""
            yield from self.button_lines(control.button, order, table, when, None)
            return
        whole = table.wholes[number]
        if whole is not None:
            came_from = self.layer_of_whole(number, order)
            for line in self.words.lines(whole):
                yield CellLine(line, None if came_from == order.number else came_from)
        elif isinstance(control, LeverControl):
            both = control.settings.rests_at is Rest.MIDDLE
            for part, button in enumerate(control.buttons):
                when = spoken(control.ends[part]) if both else ""
                yield from self.button_lines(button, order, table, when, None)
        else:
            for way in _SIDES:
                button = control.buttons[way]
                yield from self.button_lines(button, order, table, _WAY_WORDS[way], way)

    def button_lines(
        self, button: int, order: LayerOrder, table: Table, when: str, way: int | None
    ) -> Iterator[CellLine]:
        came_from = table.layer_of[button]
        for line in self.words.lines(table.actions[button], when):
            from_layer = None if came_from == order.number else came_from
            yield CellLine(replace(line, way=way), from_layer)

    def layer_of_whole(self, control: int, order: LayerOrder) -> int:
        """The layer in which a control that is bound whole is found."""
        layers = self.layout.layers
        named = (n for n in reversed(order.stack) if names_control(self.layout, layers[n], control))
        return next(named, 0)

    def chords(self, order: LayerOrder, table: Table) -> Iterator[Cell]:
        """The chords of the stack, each once."""
        chords = {id(chord): chord for each in table.chords.values() for chord in each}
        for chord in chords.values():
            came_from = next(
                number
                for number in reversed(order.stack)
                if any(each is chord for each in self.layout.layers[number].chords)
            )
            from_layer = None if came_from == order.number else came_from
            control = self.layout.buttons[chord.first].control
            yield Cell(
                " + ".join(button_words(self.layout, each) for each in (chord.first, chord.second)),
                self.layout.devices[self.layout.controls[control].device].person,
                tuple(CellLine(line, from_layer) for line in self.words.lines(chord.action)),
            )

    def whole_devices(self, order: LayerOrder, table: Table) -> Iterator[WholeDevice]:
        """Gamepads told in a few words, with what is otherwise in this layer than in the base."""
        for index in self.collapsed:
            device = self.layout.devices[index]
            others = []
            for number in device.controls:
                name = spoken(self.short_name(number))
                lines = [
                    sentence(each.line) + self.came_from(each)
                    for each in self.lines(number, order, table)
                    if order.number == 0 or each.from_layer != 0
                ]
                if number not in self.bound:
                    lines = ["nothing"] if order.number == 0 else []
                if not self.does_what_it_is(number):
                    others += [f"{name}: {line}" for line in lines]
            yield WholeDevice(spoken(device.name), device.person, tuple(others))

    def came_from(self, line: CellLine) -> str:
        """The layer between that a line is passed through from."""
        if line.from_layer is None:
            return ""
        return f" [as in {spoken(self.layout.layers[line.from_layer].name)}]"

    # ---------------------------------------------------------------- the pad
    def pad(self) -> Iterator[PadControl]:
        """Every pad control that the shown controls, the verbs or the needs name."""
        verbs = self.layout.verbs
        used = {name.partition(".")[0] for name in verbs.values()}
        for need in self.layout.needs:
            first = need.partition(".")[0]
            used.add(verbs.get(first, first))
        for layer in self.layout.layers:
            for control, action in _actions_of(self.layout, layer):
                if control in self.shown:
                    used.update(name for part in parts_of(action) for name in _pad_names(part))
        for name in (*TARGET_NAMES[:BUTTON_COUNT], *STICK_NAMES):
            if name in used:
                yield PadControl(name, self.words.pad_control(name)[0], spoken(name))


def person_name(person: int) -> str:
    """`player` or `helper`."""
    return PERSON_NAMES[person]


def sentence(line: Line) -> str:
    """A line as a sentence without its end, for those who hear the card."""
    words = f"{line.when}: " if line.when else ""
    words += f"layer {line.what}" if line.layer is not None else line.what
    if line.pad:
        words += f" ({line.pad})"
    if line.detail:
        words += f", {line.detail}"
    if line.items:
        words += ": " + "; ".join(
            f"{count}. {sentence(item)}" for count, item in enumerate(line.items, 1)
        )
    return words


def _bound_controls(layout: Layout) -> Iterator[int]:
    """Controls of which some layer says something, members of chords and `pick` among them."""
    for layer in layout.layers:
        for control, action in _actions_of(layout, layer):
            yield control
            for part in parts_of(action):
                if isinstance(part, Scan) and part.pick is not None:
                    yield layout.buttons[part.pick].control
        for chord in layer.chords:
            yield layout.buttons[chord.second].control


def _actions_of(layout: Layout, layer: Layer) -> Iterator[tuple[int, Action]]:
    """Everything that a layer binds, with its control (that of the first member of a chord)."""
    yield from layer.wholes.items()
    for number, action in layer.bindings.items():
        yield layout.buttons[number].control, action
    for chord in layer.chords:
        yield layout.buttons[chord.first].control, chord.action


def _pad_names(action: Action) -> Iterator[str]:
    match action:
        case SendStick(stick=stick) | Push(stick=stick) | Keep(stick=stick):
            yield STICK_NAMES[stick]
        case SendLever(trigger=trigger):
            yield TARGET_NAMES[trigger]
        case _:
            for target in getattr(action, "targets", ()):
                yield TARGET_NAMES[target].partition(".")[0]
