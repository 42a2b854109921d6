"""Actions as written, to the engine's: words become numbers, and say what they cannot be."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from remapd.diagnostics import Span
from remapd.engine import actions
from remapd.engine.actions import Action
from remapd.engine.layout import LeverControl
from remapd.engine.pad_controls import (
    DPAD,
    PERSON_NAMES,
    SLOT_HORIZONTAL,
    SLOT_LEFT_STICK,
    SLOT_VERTICAL,
    slot_of_target,
)
from remapd.language import messages
from remapd.language.build_devices import Inventory
from remapd.language.meant import is_device_code, is_nothing, together_or_steps
from remapd.language.names import PadNames, Spot, end_away_from_rest
from remapd.language.reporter import Reporter
from remapd.language.scalars import Family, Unreadable, period_us, read_quantity
from remapd.language.values import Fields, Value

_DEFAULT_RATE = Fraction(8)


@dataclass(slots=True)
class LayerNames:
    """Layers and tunings by name; the base is layer 0."""

    layers: dict[str, int] = field(default_factory=dict)
    tunings: dict[str, int] = field(default_factory=dict)
    #: Whether the base is known, so that "this is the base" can be said.
    base: str | None = None


class ActionBuilder:
    """Builds actions. A broken one gives None, and has been reported."""

    def __init__(
        self, inventory: Inventory, pad: PadNames, layers: LayerNames, reporter: Reporter
    ) -> None:
        self.inventory = inventory
        self.pad = pad
        self.layers = layers
        self.reporter = reporter
        #: The buttons that the action being built is for: a scan may not be picked by its own.
        self.bearers: tuple[int, ...] = ()
        self._build: dict[str, Callable[[Fields], Action | None]] = {
            "together": self._together,
            "layer": self._layer,
            "cycle": self._cycle,
            "turbo": self._turbo,
            "latch": self._latch,
            "pulse": self._pulse,
            "short": self._short_long,
            "once": self._once_twice,
            "on-release": self._on_release,
            "steps": self._steps,
            "push": self._push,
            "keep": self._keep,
            "scan": self._scan,
            "lead": self._lead,
            "tuning": self._tuning,
            "rest": self._rest,
            "say": self._say,
            "layout": self._layout,
            "release": self._release,
            "wait": self._wait,
        }

    def action(self, value: Value | None) -> Action | None:
        """Any action for something that is pressed."""
        if value is None:
            return None
        if isinstance(value.data, Fields):
            return self._build[value.data.decider](value.data)
        if value.data == "nothing":
            return actions.Nothing(label="nothing")
        target = self.target(value, or_nothing=True)
        return None if target is None else actions.Press((target,), label=value.data)

    def target(self, value: Value, *, or_nothing: bool = False) -> int | None:
        """A word for something that can be pressed."""
        word: str = value.data
        target = self.pad.target(word)
        if target is None and not self.pad.is_broken(word):
            if self.pad.stick(word) is not None:
                self.reporter.report(
                    messages.PRESS_GIVEN_STICK, value.span, word=word, direction=f"{word}.up"
                )
            else:
                self.unknown_pad_control(value, sticks=False, or_nothing=or_nothing)
        return target

    def unknown_pad_control(
        self, value: Value, *, sticks: bool, targets: bool = True, or_nothing: bool = False
    ) -> None:
        """Reports a word that is no pad control, nor, where that could stand here, `nothing`."""
        known = self.pad.words(sticks=sticks, targets=targets)
        members = [each.strip() for each in value.data.split("+")]
        listed = [each.strip() for each in value.data.split(",")]
        remedies: list[str] = []
        if len(members) > 1 and all(self.pad.target(each) is not None for each in members):
            remedies = [f"did you mean `{{together: [{', '.join(members)}]}}`?"]
        elif len(listed) > 1 and all(self.pad.target(each) is not None for each in listed):
            remedies = [together_or_steps(listed)]
        elif value.data in self.layers.layers:
            remedies = [f"did you mean the layer: `{{layer: {value.data}}}`?"]
        elif is_device_code(value.data):
            remedies = [
                f"`{value.data}` is a code of an input device; here stands what the game is to "
                "get, such as `south`"
            ]
        elif or_nothing and not isinstance(read_quantity(value.data, Family.DURATION), Unreadable):
            remedies = [f"did you mean `{{wait: {value.data}}}`? It stands in `steps`"]
        elif or_nothing and is_nothing(value.data):
            remedies = ["did you mean `nothing`?"]
        self.reporter.report(
            messages.UNKNOWN_PAD_CONTROL,
            value.span,
            name=value.data,
            near=None if remedies else (value.data, known),
            remedies=remedies,
        )

    def targets(self, fields: Fields, name: str) -> tuple[tuple[int, ...], str] | None:
        """A target of one or several, sorted and without repeats, and its words."""
        value = fields.value(name)
        if value is None:
            return None
        if isinstance(value.data, Fields):
            return self._set(value.data)
        target = self.target(value)
        return None if target is None else ((target,), value.data)

    def _set(self, fields: Fields) -> tuple[tuple[int, ...], str] | None:
        value = fields.value("together")
        if value is None:
            return None
        found = [self.target(each) for each in value.data]
        numbers = [each for each in found if each is not None]
        if len(numbers) < len(found):
            return None
        return tuple(sorted(set(numbers))), " + ".join(each.data for each in value.data)

    def stick(self, fields: Fields, name: str, *, dpad: bool = False) -> int | None:
        """A stick of the pad, by name or verb."""
        value = fields.value(name)
        if value is None or self.pad.is_broken(value.data):
            return None
        stick = self.pad.stick(value.data)
        if stick is None and self.pad.target(value.data) is None:
            self.unknown_pad_control(value, sticks=True, targets=False)
            return None
        if stick is None or (stick == DPAD and not dpad):
            whole, _, way = value.data.partition(".")
            is_push = name == "push" and self.pad.stick(whole) is not None and way
            self.reporter.report(
                messages.NOT_A_STICK,
                value.span,
                word=value.data,
                remedies=[f"did you mean `push: {whole}, toward: {way}`?"] if is_push else [],
            )
            return None
        return stick

    # ---------------------------------------------------------------- one method an action

    def _together(self, fields: Fields) -> Action | None:
        found = self._set(fields)
        return None if found is None else actions.Press(found[0], label=found[1])

    def _layer(self, fields: Fields) -> Action | None:
        value = fields.value("layer")
        if value is None:
            return None
        layer = self.layer(value.data, value.span)
        if layer is None:
            return None
        if layer == 0:
            self.reporter.report(messages.LAYER_IS_BASE, value.span, name=value.data)
            return None
        how = fields.data("how", "hold")
        if how == "toggle":
            return actions.ToggleLayer(layer, label=f"layer {value.data} (toggle)")
        if how == "next":
            return actions.NextLayer(
                layer, fields.data("give-up", 20_000_000), label=f"layer {value.data} (next)"
            )
        return actions.HoldLayer(layer, label=f"layer {value.data}")

    def layer(self, name: str, span: Span) -> int | None:
        """A layer's number."""
        layer = self.layers.layers.get(name)
        if layer is None:
            self.reporter.report(
                messages.UNKNOWN_LAYER, span, name=name, near=(name, self.layers.layers)
            )
        return layer

    def _cycle(self, fields: Fields) -> Action | None:
        value = fields.value("cycle")
        if value is None:
            return None
        found = [self.layer(each.data, each.span) for each in value.data]
        numbers = tuple(each for each in found if each is not None)
        label = f"cycle {', '.join(each.data for each in value.data)}"
        if len(numbers) < len(found):
            return None
        return actions.Cycle(numbers, fields.data("back-after", 0), label=label)

    def _turbo(self, fields: Fields) -> Action | None:
        found = self.targets(fields, "turbo")
        rate_value = fields.value("rate")
        rate = _DEFAULT_RATE
        if rate_value is not None:
            read = read_quantity(getattr(rate_value.node, "text", ""), Family.RATE)
            rate = read if isinstance(read, Fraction) else rate
        period = period_us(rate)
        duty = Fraction(str(fields.data("duty", 0.5)))
        on = math.floor(period * duty + Fraction(1, 2))
        if found is None:
            return None
        toggle = fields.data("how") == "toggle"
        return actions.Turbo(
            found[0],
            period,
            min(max(on, 1), period - 1),
            toggle,
            fields.data("at-most", 0),
            label=f"turbo {found[1]}{' (toggle)' if toggle else ''}",
        )

    def _latch(self, fields: Fields) -> Action | None:
        found = self.targets(fields, "latch")
        if found is None:
            return None
        return actions.Latch(found[0], fields.data("at-most", 0), label=f"latch {found[1]}")

    def _pulse(self, fields: Fields) -> Action | None:
        found = self.targets(fields, "pulse")
        if found is None:
            return None
        return actions.Pulse(found[0], fields.data("length", 150_000), label=f"pulse {found[1]}")

    def _short_long(self, fields: Fields) -> Action | None:
        short = self.action(fields.value("short"))
        long = self.action(fields.value("long"))
        if short is None or long is None:
            return None
        return actions.ShortLong(
            short,
            long,
            fields.data("after", 800_000),
            label=f"short {short.label}, long {long.label}",
        )

    def _once_twice(self, fields: Fields) -> Action | None:
        once = self.action(fields.value("once"))
        twice = self.action(fields.value("twice"))
        if once is None or twice is None:
            return None
        return actions.OnceTwice(
            once,
            twice,
            fields.data("within", 500_000),
            label=f"once {once.label}, twice {twice.label}",
        )

    def _on_release(self, fields: Fields) -> Action | None:
        inner = self.action(fields.value("on-release"))
        if inner is None:
            return None
        return actions.OnRelease(inner, label=f"on release {inner.label}")

    def _steps(self, fields: Fields) -> Action | None:
        value = fields.value("steps")
        if value is None:
            return None
        steps = self._all(value.data)
        if steps is None:
            return None
        if not value.lacks and all(isinstance(step, actions.Wait) for step in steps):
            self.reporter.report(messages.NO_STEPS, value.span)
            return None
        label = f"steps {', '.join(step.label for step in steps)}"
        return actions.Steps(steps, fields.data("how") == "hold", label=label)

    def _wait(self, fields: Fields) -> Action | None:
        value = fields.value("wait")
        if value is None:
            return None
        return actions.Wait(value.data, label=f"wait {getattr(value.node, 'text', '')}")

    def _push(self, fields: Fields) -> Action | None:
        stick = self.stick(fields, "push")
        toward = fields.data("toward")
        if stick is None or toward is None:
            return None
        amount = fields.data("amount", 1.0)
        x, y = {"up": (0.0, -1.0), "down": (0.0, 1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}[
            toward
        ]
        toggle = fields.data("how") == "toggle"
        return actions.Push(
            stick,
            x * amount + 0.0,  # no negative zero
            y * amount + 0.0,
            fields.data("ramp", 0),
            toggle,
            label=f"push {fields.data('push')} {toward}{' (toggle)' if toggle else ''}",
        )

    def _keep(self, fields: Fields) -> Action | None:
        stick = self.stick(fields, "keep")
        if stick is None:
            return None
        return actions.Keep(stick, fields.data("at-most", 0), label=f"keep {fields.data('keep')}")

    def _scan(self, fields: Fields) -> Action | None:
        value = fields.value("scan")
        pick = None
        by_hand = fields.value("pick")
        if by_hand is not None:
            pick = self.button(by_hand)
            for name in ("every", "first"):
                if fields.written(name):
                    self.reporter.report(
                        messages.PICK_WITH_TIMES, fields.keys[name].span, name=name
                    )
            if pick is not None and pick in self.bearers:
                self.reporter.report(messages.PICK_IS_ITSELF, by_hand.span, name=by_hand.data)
        items = self._all(value.data) if value is not None else None
        if items is None:
            return None
        every = fields.data("every", 1_000_000)
        return actions.Scan(
            items,
            every,
            fields.data("first", 2 * every),
            fields.data("rounds", 3),
            pick,
            label=f"scan {', '.join(item.label for item in items)}",
        )

    def button(self, value: Value) -> int | None:
        """A control or part of one that can be pressed, for `pick`."""
        spot = self.inventory.names.find(value.data, value.span, self.reporter)
        if spot is None:
            return None
        control = self.inventory.controls[spot.control]
        if isinstance(control, LeverControl) and spot.part is None:
            spot = Spot(spot.control, end_away_from_rest(control))
        try:
            return self.inventory.button_at(spot)
        except ValueError:
            self.reporter.report(messages.CHORD_OF_WHOLE, value.span, name=value.data)
            return None

    def _lead(self, fields: Fields) -> Action | None:
        person = fields.data("lead")
        listed = fields.value("for")
        slots: set[int] = set()
        for each in listed.data if listed is not None else []:
            slots |= self.slots(each)
        if person is None:
            return None
        toggle = fields.data("how") == "toggle"
        words = f" for {', '.join(e.data for e in listed.data)}" if listed is not None else ""
        return actions.Lead(
            PERSON_NAMES.index(person),
            frozenset(slots),
            toggle,
            label=f"lead {person}{words}{' (toggle)' if toggle else ''}",
        )

    def slots(self, value: Value) -> set[int]:
        """The merging slots of a pad control; a direction of a stick has none of its own."""
        word: str = value.data
        if self.pad.is_broken(word):
            return set()
        stick = self.pad.stick(word)
        if stick is not None:
            return {SLOT_VERTICAL, SLOT_HORIZONTAL} if stick == DPAD else {SLOT_LEFT_STICK + stick}
        target = self.pad.target(word)
        if target is None:
            self.unknown_pad_control(value, sticks=True)
            return set()
        slot = slot_of_target(target)
        if slot >= SLOT_LEFT_STICK:
            stick_name = self.pad.meaning(word).partition(".")[0]
            self.reporter.report(
                messages.MERGE_OF_DIRECTION, value.span, name=word, stick=stick_name
            )
        return {slot}

    def _tuning(self, fields: Fields) -> Action | None:
        value = fields.value("tuning")
        if value is None:
            return None
        tuning = self.layers.tunings.get(value.data)
        if tuning is None:
            self.reporter.report(
                messages.UNKNOWN_TUNING,
                value.span,
                name=value.data,
                near=(value.data, self.layers.tunings),
            )
            return None
        toggle = fields.data("how") == "toggle"
        return actions.UseTuning(
            tuning, toggle, label=f"tuning {value.data}{' (toggle)' if toggle else ''}"
        )

    def _rest(self, fields: Fields) -> Action | None:
        value = fields.value("rest")
        if value is None:
            return None
        return actions.TakeRest(value.data, label=f"rest {getattr(value.node, 'text', '')}")

    def _say(self, fields: Fields) -> Action | None:
        text = fields.data("say")
        return None if text is None else actions.Say(text, label=f'say "{text}"')

    def _layout(self, fields: Fields) -> Action | None:
        path = fields.data("layout")
        return None if path is None else actions.ChangeLayout(path, label=f"layout {path}")

    def _release(self, fields: Fields) -> Action | None:
        if fields.value("release") is None:
            return None
        return actions.ReleaseEverything(label="release everything")

    def _all(self, values: Iterable[Value]) -> tuple[Action, ...] | None:
        """All of them, or None where one is broken."""
        built = [self.action(each) for each in values]
        whole = tuple(each for each in built if each is not None)
        return whole if len(whole) == len(built) else None
