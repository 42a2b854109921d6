"""Reads `NAME.trials.yaml`: what goes into a layout and what has to come out, names checked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from remapd.diagnostics import Diagnostic, Span
from remapd.engine.layout import ButtonControl, Control, Layout, LeverControl, PointerControl
from remapd.engine.pad_controls import (
    BUTTON_COUNT,
    DPAD,
    FIRST_DIRECTION,
    LEFT_TRIGGER,
    RIGHT_TRIGGER,
    STICK_NAMES,
    TARGET_NAMES,
)
from remapd.language import messages
from remapd.language.context import Context
from remapd.language.evaluate import Evaluator, first_place
from remapd.language.kinds import ListOf
from remapd.language.names import ControlNames, PadNames, Spot, end_away_from_rest, part_names
from remapd.language.nodes import ListNode, Node
from remapd.language.reading import Reader
from remapd.language.reporter import Reporter
from remapd.language.schema_trials import EXPECT_VERBS, INPUT_VERBS, SHARE, TRIALS_FILE
from remapd.language.values import Fields, Value
from remapd.trial import (
    DEFAULT_GIVE,
    DEFAULT_WITHIN_US,
    Expectation,
    Input,
    InputKind,
    Trial,
)

_TRIGGERS = (LEFT_TRIGGER, RIGHT_TRIGGER)
_EXAMPLES = {"to": "`to: [100%, 0%]`", "for": "`for: 200ms`", "by": "`by: [5, -3]`"}
_PLACES = ("[0%, -100%]", "[0%, 100%]", "[-100%, 0%]", "[100%, 0%]")


@dataclass(frozen=True, slots=True)
class LoadedTrials:
    """What became of a file of trials; `trials` is empty where it has an error."""

    trials: tuple[Trial, ...] = ()
    diagnostics: list[Diagnostic] = field(default_factory=list)

    @property
    def errors(self) -> list[Diagnostic]:
        """Only what keeps the file from being used."""
        return [each for each in self.diagnostics if each.is_error]


def trials_path(layout_path: Path) -> Path:
    """Where the trials of a layout are: `harbour.trials.yaml` beside `harbour.yaml`."""
    return layout_path.with_suffix(".trials.yaml")


def load_trials(path: Path, layout: Layout) -> LoadedTrials:
    """Reads and checks a file of trials for a layout. Never raises, whatever the file holds."""
    reporter = Reporter()
    reader = Reader(reporter)
    content = reader.content(path, str(path), Span(str(path), 1, 1, 1, 1))
    return _loaded(content, str(path), reader, layout)


def load_trials_text(text: str | bytes, layout: Layout, name: str = "trials") -> LoadedTrials:
    """The same for a text without a file; `name` is what places in it bear."""
    content = text.encode("utf-8", "surrogatepass") if isinstance(text, str) else text
    return _loaded(content, name, Reader(Reporter()), layout)


def _loaded(content: bytes | None, name: str, reader: Reader, layout: Layout) -> LoadedTrials:
    reporter = reader.reporter
    root = None if content is None else reader.nodes(content, name)
    trials: tuple[Trial, ...] = ()
    if root is not None:
        fields = reader.evaluator.group(root, TRIALS_FILE, Context("a file of trials"))
        listed = None if fields is None else fields.value("trials")
        if listed is not None:
            checker = _Checker(layout, reader.evaluator)
            trials = tuple(checker.trial(value.data) for value in listed.data)
    return LoadedTrials(
        () if reporter.has_errors else trials, reporter.in_order(reader.reading.names)
    )


class _Checker:
    """Makes trials of checked values, and finds what their names stand for."""

    def __init__(self, layout: Layout, evaluator: Evaluator) -> None:
        self.layout = layout
        self.evaluator = evaluator
        self.reporter = evaluator.reporter
        self.names = _control_names(layout)
        self.pad = PadNames(dict(layout.verbs))

    def trial(self, fields: Fields) -> Trial:
        """One trial; where something of it is broken, the reporter has an error."""
        inputs = [self.input(value.data) for value in fields.data("input", [])]
        expect = [self.expectation(value.data) for value in fields.data("expect", [])]
        return Trial(
            name=fields.data("name", ""),
            inputs=tuple(each for each in inputs if each is not None),
            expect=tuple(each for each in expect if each is not None),
            only=frozenset(self.looked_at(fields.data("only", []))),
            never=tuple(self.pad_control(value) or "" for value in fields.data("never", [])),
            ends_held=fields.data("ends") == "held",
            line=first_place(fields.node).line,
        )

    # ---------------------------------------------------------------- what goes in
    def input(self, fields: Fields) -> Input | None:
        """One part of `input`."""
        verb = self.verb(fields, INPUT_VERBS)
        named = None if verb is None else fields.value(verb)
        if verb is None or named is None:
            return None
        to = (0.0, 0.0)
        if verb in ("unplug", "plug"):
            self.check_device(named)
        else:
            spot = self.names.find(named.data, named.span, self.reporter)
            if spot is None:
                return None
            control = self.layout.controls[spot.control]
            self.check_control(verb, named, control, spot)
            if verb in ("move", "turn"):
                to = self.place(fields, named.data, is_one=isinstance(control, LeverControl))
            elif verb == "count" and fields.value("by") is not None:
                dx, dy = (value.data for value in fields.data("by"))
                to = (dx, dy)
        return Input(
            at_us=fields.data("at", 0),
            kind=InputKind(verb),
            name=named.data,
            to=to,
            for_us=fields.data("for"),
            line=named.span.line,
        )

    def check_device(self, named: Value) -> None:
        """A device that is pulled out or plugged in."""
        devices = [device.name for device in self.layout.devices]
        if named.data not in devices:
            self.reporter.report(
                messages.UNKNOWN_DEVICE, named.span, name=named.data, near=(named.data, devices)
            )

    def check_control(self, verb: str, named: Value, control: Control, spot: Spot) -> None:
        """Whether this can be done with this control."""
        parts = part_names(control)
        if verb in ("press", "release"):
            away = end_away_from_rest(control) if isinstance(control, LeverControl) else 0
            if parts and spot.part is None:
                self.reporter.report(
                    messages.PRESS_GIVEN_STICK,
                    named.span,
                    word=named.data,
                    direction=f"{named.data}.{parts[away]}",
                )
        elif isinstance(control, ButtonControl) or spot.part is not None:
            self.reporter.report(messages.TRIAL_MOVED_BUTTON, named.span, name=named.data)
        elif verb in ("turn", "count") and not isinstance(control, PointerControl):
            self.reporter.report(messages.TRIAL_NOT_A_POINTER, named.span, name=named.data)

    # ---------------------------------------------------------------- what comes out
    def expectation(self, fields: Fields) -> Expectation | None:
        """One part of `expect`."""
        verb = self.verb(fields, EXPECT_VERBS)
        named = None if verb is None else fields.value(verb)
        if fields.written("at") == fields.written("settles-by"):
            self.reporter.report(messages.TRIAL_TIMES, first_place(fields.node))
        control = None if named is None else self.pad_control(named)
        if verb is None or named is None or control is None:
            return None
        to = None
        if verb == "move":
            if control == STICK_NAMES[DPAD]:
                self.reporter.report(messages.TRIAL_MOVED_DPAD, named.span)
                return None
            if control not in STICK_NAMES and TARGET_NAMES.index(control) not in _TRIGGERS:
                self.reporter.report(messages.TRIAL_MOVED_BUTTON, named.span, name=named.data)
                return None
            to = self.place(fields, named.data, is_one=control not in STICK_NAMES)
        elif control in STICK_NAMES or TARGET_NAMES.index(control) >= BUTTON_COUNT:
            self.pressed_stick(named, control)
            return None
        settles = fields.written("settles-by")
        return Expectation(
            at_us=fields.data("settles-by" if settles else "at", 0),
            kind=InputKind(verb),
            control=control,
            written=named.data,
            to=to,
            within_us=fields.data("within", DEFAULT_WITHIN_US),
            give=fields.data("give", DEFAULT_GIVE),
            settles=settles,
            line=named.span.line,
        )

    def pressed_stick(self, named: Value, control: str) -> None:
        """Reports a stick or a direction of one where something is pressed."""
        if control == STICK_NAMES[DPAD]:
            self.reporter.report(messages.TRIAL_MOVED_DPAD, named.span)
            return
        is_whole = control in STICK_NAMES
        way = 3 if is_whole else (TARGET_NAMES.index(control) - FIRST_DIRECTION) % 4
        self.reporter.report(
            messages.TRIAL_PRESSED_STICK,
            named.span,
            name=named.data,
            stick=named.data.partition(".")[0],
            place=_PLACES[way],
        )

    def looked_at(self, values: Sequence[Value]) -> list[str]:
        """Pad controls of `only`: the d-pad is its four buttons, a direction its stick."""
        controls: list[str] = []
        for value in values:
            control = self.pad_control(value)
            if control == STICK_NAMES[DPAD]:
                controls += [name for name in TARGET_NAMES if name.startswith("dpad-")]
            elif control is not None:
                controls.append(control.partition(".")[0])
        return controls

    def pad_control(self, value: Value) -> str | None:
        """The pad control that a word stands for, by its own name."""
        word = value.data
        stick = self.pad.stick(word)
        if stick is not None:
            return STICK_NAMES[stick]
        target = self.pad.target(word)
        if target is not None:
            return TARGET_NAMES[target]
        self.reporter.report(
            messages.UNKNOWN_PAD_CONTROL,
            value.span,
            name=word,
            near=(word, self.pad.words(sticks=True)),
        )
        return None

    # ---------------------------------------------------------------- both
    def verb(self, fields: Fields, verbs: dict[str, tuple[str, ...]]) -> str | None:
        """Which of the verbs the part has, with all that belongs to it and nothing else."""
        written = [name for name in fields.keys if name in verbs]
        if not written:
            self.reporter.report(
                messages.TRIAL_NOTHING_SAID,
                first_place(fields.node),
                where=fields.group.called,
                choices=", ".join(f"`{verb}`" for verb in verbs),
            )
            return None
        verb = written[0]
        if len(written) > 1:
            self.reporter.report(
                messages.TRIAL_TWO_THINGS,
                fields.keys[written[1]].span,
                first=verb,
                second=written[1],
            )
            return None
        fitting = [name.lower() for name in verbs[verb]]
        for name, key in fields.keys.items():
            if name not in ("at", "settles-by", verb, *fitting):
                self.reporter.report(messages.TRIAL_SETTING_UNFIT, key.span, name=name, verb=verb)
        for name in verbs[verb]:
            if name.isupper() and not fields.written(name.lower()):
                self.reporter.report(
                    messages.TRIAL_SETTING_MISSING,
                    fields.keys[verb].span,
                    verb=verb,
                    name=name.lower(),
                    example=_EXAMPLES[name.lower()],
                )
        return verb

    def place(self, fields: Fields, name: str, *, is_one: bool) -> tuple[float, float]:
        """The shares of `to`: one for what moves to and fro, two for a stick or pointer."""
        written = fields.value("to")
        if written is None:
            return (0.0, 0.0)
        node: Node = written.node
        context = Context("`to`")
        if isinstance(node, ListNode) == is_one:
            message = messages.TRIAL_ONE_SHARE if is_one else messages.TRIAL_TWO_SHARES
            self.reporter.report(message, node.span, name=name)
            return (0.0, 0.0)
        kind = SHARE if is_one else ListOf(SHARE, 2, 2)
        value = self.evaluator.read(node, kind, context)
        if value is None:
            return (0.0, 0.0)
        if is_one:
            return (value.data, 0.0)
        x, y = (part.data for part in value.data)
        return (x, y)


def _control_names(layout: Layout) -> ControlNames:
    names = ControlNames(
        list(layout.controls), {device.name: n for n, device in enumerate(layout.devices)}
    )
    for number, control in enumerate(layout.controls):
        device = layout.devices[control.device].name
        names.add(device, control.name.removeprefix(f"{device}."), Spot(number))
    return names
