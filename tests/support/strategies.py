"""Random layouts and random input, for the laws that hold for any of both.

Every layout is over the same hardware, so that input can be made without knowing the layout:

    source 0, player: four buttons and a stick
    source 1, player: a pointer and two levers (the second rests in the middle)
    source 2, helper: two buttons, a stick and a lever

Input is a list of steps; each is how far time goes on, and then what happens. Time may go on to
the engine's next deadline, so that things coincide far more often than by chance.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from random import Random
from types import MappingProxyType
from typing import Final, TypeVar

from hypothesis import strategies as st

from remapd.codes import AXES, KEYS, RELS
from remapd.engine import actions as act
from remapd.engine.layout import (
    Button,
    ButtonControl,
    Chord,
    Control,
    Device,
    Find,
    Layer,
    Layout,
    LeverControl,
    PointerControl,
    Rule,
    RuleKind,
    StickControl,
    Tuning,
)
from remapd.engine.pad_controls import (
    HELPER,
    LEFT_TRIGGER,
    PLAYER,
    RIGHT_TRIGGER,
    SLOT_COUNT,
    SLOT_LEFT_STICK,
    TARGET_COUNT,
)
from remapd.engine.settings import ButtonSettings, LeverSettings, Rest, Steady, StickSettings
from remapd.engine.source import AxisRange, Source

T = TypeVar("T")

BUTTON_CODES: Final = tuple(KEYS[f"BTN_{n}"] for n in range(4))
#: Key codes of each source's buttons.
SOURCE_BUTTONS: Final = (BUTTON_CODES, (), BUTTON_CODES[:2])
AXIS_X, AXIS_Y, AXIS_LOW, AXIS_MIDDLE = (
    AXES[name] for name in ("ABS_X", "ABS_Y", "ABS_Z", "ABS_RZ")
)
FULL: Final = 1000

SOURCES: Final = (
    Source(
        0,
        "box",
        keys=frozenset(BUTTON_CODES),
        axes=MappingProxyType({AXIS_X: AxisRange(-FULL, FULL), AXIS_Y: AxisRange(-FULL, FULL)}),
    ),
    Source(
        1,
        "ball",
        rels=frozenset((RELS["REL_X"], RELS["REL_Y"])),
        axes=MappingProxyType({AXIS_LOW: AxisRange(0, FULL), AXIS_MIDDLE: AxisRange(-FULL, FULL)}),
    ),
    Source(
        2,
        "aide",
        keys=frozenset(BUTTON_CODES[:2]),
        axes=MappingProxyType(
            {
                AXIS_X: AxisRange(-FULL, FULL),
                AXIS_Y: AxisRange(-FULL, FULL),
                AXIS_LOW: AxisRange(0, FULL),
            }
        ),
    ),
)
#: Numbers of the controls that can be bound whole: sticks and pointers, then levers.
STICKS: Final = (4, 5, 10)
LEVERS: Final = (6, 7, 11)
CONTROL_COUNT: Final = 12
#: Buttons of each control: a button control has one, a stick or pointer four, a lever two.
BUTTONS_OF: Final = (
    *((n,) for n in range(4)),
    (4, 5, 6, 7),
    (8, 9, 10, 11),
    (12, 13),
    (14, 15),
    (16,),
    (17,),
    (18, 19, 20, 21),
    (22, 23),
)
BUTTON_COUNT: Final = 24

_LENGTHS: Final = (1_000, 17_000, 34_000, 60_000, 100_000, 125_000, 300_000, 1_000_000)
_SETS_OF_TARGETS: Final = (
    (0,),
    (0,),
    (1,),
    (2, 3),
    (6,),
    (7,),
    (13,),
    (14,),
    (15, 16),
    (17,),
    (20,),
)
#: How many different values of a kind a layout's are chosen from: one draw each is quick.
POOL_SIZE: Final = 400


# -------------------------------------------------------------------- settings


def _button_settings(rng: Random) -> ButtonSettings:
    if rng.random() < 0.5:
        return ButtonSettings(debounce_us=rng.choice((0, 15_000)))
    return ButtonSettings(
        debounce_us=rng.choice((0, 15_000)),
        release_delay_us=rng.choice((0, 0, 40_000)),
        acceptance_delay_us=rng.choice((0, 0, 60_000)),
        repeat_guard_us=rng.choice((0, 0, 100_000)),
        longest_us=rng.choice((0, 0, 300_000)),
    )


def _steady(rng: Random) -> Steady | None:
    return rng.choice((None, None, None, Steady(1.5), Steady(3.0, 0.5)))


def _stick_settings(rng: Random) -> StickSettings:
    return StickSettings(
        turn_degrees=rng.choice((0.0, 30.0, 90.0)),
        reach_up=rng.choice((1.0, 0.5)),
        flip_y=rng.random() < 0.3,
        steady=_steady(rng),
        dead_zone=rng.choice((0.0, 0.1, 0.5)),
        curve=rng.choice((1.0, 2.0)),
        ways=rng.choice((4, 8)),
        buttons=_button_settings(rng) if rng.random() < 0.4 else ButtonSettings(debounce_us=0),
    )


def _lever_settings(rng: Random) -> LeverSettings:
    return LeverSettings(
        steady=_steady(rng),
        dead_zone=rng.choice((0.0, 0.1)),
        buttons=_button_settings(rng) if rng.random() < 0.4 else ButtonSettings(debounce_us=0),
    )


def _pool(make: Callable[[Random], T]) -> st.SearchStrategy[T]:
    """One of many values that `make` makes, always the same ones."""
    rng = Random(1)
    return st.sampled_from([make(rng) for _ in range(POOL_SIZE)])


_some_button_settings = _pool(_button_settings)
_some_stick_settings = _pool(_stick_settings)
_some_lever_settings = _pool(_lever_settings)


# -------------------------------------------------------------------- actions


def _targets(rng: Random) -> tuple[int, ...]:
    if rng.random() < 0.7:
        return rng.choice(_SETS_OF_TARGETS)
    return tuple(sorted(rng.sample(range(TARGET_COUNT), rng.randint(1, 3))))


def _slots(rng: Random) -> frozenset[int]:
    return frozenset(rng.sample(range(SLOT_COUNT), rng.randint(0, 4)))


def _plain(rng: Random, layers: int, tunings: int) -> act.Action:
    """An action that ends with the hand or by itself, layers that stay on among them."""
    choice = rng.randrange(14)
    person = rng.choice((PLAYER, HELPER))
    if choice == 0:
        on_us = rng.choice((10_000, 50_000))
        return act.Turbo(_targets(rng), 100_000, on_us)
    if choice == 1:
        return act.Pulse(_targets(rng), rng.choice(_LENGTHS))
    if choice == 2:
        way = rng.choice(((0.6, -0.8), (0.0, 1.0), (-0.5, 0.0)))
        return act.Push(rng.randrange(2), *way, ramp_us=rng.choice((0, 20_000, 100_000)))
    if choice == 3:
        return act.Lead(person, _slots(rng), toggle=rng.random() < 0.5)
    if choice == 4:
        return rng.choice((act.Say("pause"), act.Nothing(), act.ChangeLayout("other.yaml")))
    if choice == 5 and tunings:
        return act.UseTuning(rng.randrange(tunings), toggle=rng.random() < 0.5)
    if choice in (6, 7, 8, 9) and layers > 1:
        higher = rng.randrange(1, layers)
        return (
            act.HoldLayer(higher),
            act.ToggleLayer(higher),
            act.NextLayer(higher, rng.choice((500_000, 20_000_000))),
            act.Cycle(
                tuple(rng.sample(range(layers), rng.randint(2, layers))), rng.choice((0, 700_000))
            ),
        )[choice - 6]
    return act.Press(_targets(rng))


def _lasting(rng: Random) -> act.Action:
    """An action that may leave something pressed until it is ended."""
    at_most_us = rng.choice((0, *_LENGTHS))
    match rng.randrange(6):
        case 0:
            return act.Latch(_targets(rng), at_most_us)
        case 1:
            return act.Turbo(_targets(rng), 100_000, 50_000, toggle=True, at_most_us=at_most_us)
        case 2:
            return act.Push(rng.randrange(2), 0.0, -1.0, at_most_us, toggle=True)
        case 3:
            return act.Keep(rng.randrange(2), at_most_us)
        case 4:
            return act.TakeRest(rng.choice((100_000, 300_000)))
        case _:
            return act.ReleaseEverything()


def _action(rng: Random, layers: int, tunings: int, *, lasting: bool, depth: int) -> act.Action:
    def inner() -> act.Action:
        return _action(rng, layers, tunings, lasting=lasting, depth=depth - 1)

    if depth and rng.random() < 0.35:
        match rng.randrange(5):
            case 0:
                return act.ShortLong(inner(), inner(), rng.choice(_LENGTHS))
            case 1:
                return act.OnceTwice(inner(), inner(), rng.choice(_LENGTHS))
            case 2:
                return act.OnRelease(inner())
            case 3:
                steps = tuple(
                    act.Wait(rng.choice(_LENGTHS)) if rng.random() < 0.3 else inner()
                    for _ in range(rng.randint(1, 3))
                )
                return act.Steps(steps, hold=rng.random() < 0.5)
            case _:
                return act.Scan(
                    tuple(inner() for _ in range(rng.randint(2, 3))),
                    rng.choice((100_000, 300_000)),
                    rng.choice((100_000, 400_000)),
                    rng.randint(1, 2),
                    rng.choice((None, None, 0, 1, 2, 3)),
                )
    if lasting and rng.random() < 0.3:
        return _lasting(rng)
    return _plain(rng, layers, tunings)


@cache
def _actions(layers: int, tunings: int, *, lasting: bool) -> st.SearchStrategy[act.Action]:
    return _pool(lambda rng: _action(rng, layers, tunings, lasting=lasting, depth=2))


def _send_stick(rng: Random) -> act.Whole:
    if rng.random() < 0.1:
        return act.Nothing()
    flips = rng.random() < 0.3
    return act.SendStick(
        rng.randrange(3),
        rng.choice((1.0, 0.6)),
        flip_y=flips,
        change_centred=rng.random() < 0.3,
    )


_send_sticks = _pool(_send_stick)
_send_levers: st.SearchStrategy[act.Whole] = st.sampled_from(
    (act.SendLever(LEFT_TRIGGER), act.SendLever(RIGHT_TRIGGER), act.Nothing())
)


# -------------------------------------------------------------------- layouts


_chord_members = st.sampled_from(
    ((), (), ((0, 1),), ((0, 1), (0, 2)), ((2, 1), (1, 0)), ((0, 16),), ((16, 3),), ((4, 1),))
)


@st.composite
def _layer(draw: st.DrawFn, name: str, actions: st.SearchStrategy[act.Action]) -> Layer:
    wholes: dict[int, act.Whole] = {}
    bindings: dict[int, act.Action] = {}
    for control, buttons in enumerate(BUTTONS_OF):
        kind = draw(st.integers(0, 5))
        if len(buttons) == 1:
            if kind:
                bindings[buttons[0]] = draw(actions)
        elif kind == 1:
            for button in draw(st.sets(st.sampled_from(buttons), min_size=1, max_size=3)):
                bindings[button] = draw(actions)
        elif kind:
            wholes[control] = draw(_send_sticks if control in STICKS else _send_levers)
    chords = [Chord(first, second, draw(actions)) for first, second in draw(_chord_members)]
    return Layer(name, MappingProxyType(bindings), MappingProxyType(wholes), tuple(chords))


_rules = st.just(None) | st.lists(
    st.tuples(
        st.integers(0, SLOT_COUNT - 1), st.sampled_from(RuleKind), st.sampled_from((1_000, 400_000))
    ),
    min_size=1,
    max_size=6,
)


def _rule_table(chosen: list[tuple[int, RuleKind, int]] | None) -> tuple[Rule, ...]:
    rules = [Rule(RuleKind.EITHER)] * SLOT_LEFT_STICK
    rules += [Rule(RuleKind.PLAYER_FIRST)] * (SLOT_COUNT - SLOT_LEFT_STICK)
    for slot, kind, after_us in chosen or ():
        if kind is not (RuleKind.SUM if slot < SLOT_LEFT_STICK else RuleKind.EITHER):
            rules[slot] = Rule(kind, after_us)
    return tuple(rules)


_tunings = st.lists(
    st.dictionaries(
        st.integers(0, 3),
        st.sampled_from(
            (
                (("acceptance_delay_us", 30_000),),
                (("debounce_us", 0), ("longest_us", 200_000)),
                (("release_delay_us", 20_000), ("repeat_guard_us", 0)),
            )
        ),
        max_size=2,
    )
    | st.just({4: (("reach_up", 0.25), ("dead_zone", 0.3)), 5: (("full_speed", 200.0),)}),
    max_size=2,
)


def _names(control: str, parts: tuple[str, ...]) -> list[str]:
    return [f"{control}.{part}" for part in parts]


@st.composite
def layouts(draw: st.DrawFn, *, lasting: bool = True) -> Layout:
    """A layout over the hardware above; without `lasting`, nothing outlives hands and timers."""
    ways, ends = ("up", "down", "left", "right"), ("low", "high")
    inverted = draw(st.integers(0, 7)) == 0
    controls: list[Control] = [
        ButtonControl(
            f"b{n}",
            0,
            BUTTON_CODES[n],
            n,
            inverted=inverted and n == 3,
            settings=draw(_some_button_settings),
        )
        for n in range(4)
    ]
    controls += [
        StickControl(
            "s", 0, ((AXIS_X, AXIS_Y),), (4, 5, 6, 7), settings=draw(_some_stick_settings)
        ),
        PointerControl(
            "p",
            1,
            RELS["REL_X"],
            RELS["REL_Y"],
            (8, 9, 10, 11),
            settings=draw(_some_stick_settings),
        ),
        LeverControl("l", 1, (AXIS_LOW,), (12, 13), settings=draw(_some_lever_settings)),
        LeverControl(
            "m", 1, (AXIS_MIDDLE,), (14, 15), settings=LeverSettings(rests_at=Rest.MIDDLE)
        ),
        ButtonControl("h0", 2, BUTTON_CODES[0], 16),
        ButtonControl("h1", 2, BUTTON_CODES[1], 17, settings=draw(_some_button_settings)),
        StickControl("hs", 2, ((AXIS_X, AXIS_Y),), (18, 19, 20, 21)),
        LeverControl("hl", 2, (AXIS_LOW,), (22, 23)),
    ]
    buttons = [Button(control.name, n) for n, control in enumerate(controls[:4])]
    buttons += [Button(name, 4, part) for part, name in enumerate(_names("s", ways))]
    buttons += [Button(name, 5, part) for part, name in enumerate(_names("p", ways))]
    buttons += [Button(name, 6, part) for part, name in enumerate(_names("l", ends))]
    buttons += [Button(name, 7, part) for part, name in enumerate(_names("m", ends))]
    buttons += [Button("h0", 8), Button("h1", 9)]
    buttons += [Button(name, 10, part) for part, name in enumerate(_names("hs", ways))]
    buttons += [Button(name, 11, part) for part, name in enumerate(_names("hl", ends))]
    devices = tuple(
        Device(
            source.name,
            Find(name=source.name),
            person=HELPER if source.id == 2 else PLAYER,
            controls=tuple(n for n, control in enumerate(controls) if control.device == source.id),
            keys=source.keys,
            rels=source.rels,
            axes=frozenset(source.axes),
        )
        for source in SOURCES
    )
    tunings = draw(_tunings)
    layer_count = draw(st.integers(1, 4))
    actions = _actions(layer_count, len(tunings), lasting=lasting)
    # Names are drawn, so that two layouts share some layers and not others.
    names = draw(st.permutations(("net", "chart", "haul", "moor")))[: layer_count - 1]
    return Layout(
        title="random",
        devices=devices,
        controls=tuple(controls),
        buttons=tuple(buttons),
        layers=tuple(draw(_layer(name, actions)) for name in ("sail", *names)),
        tunings=tuple(
            Tuning(f"tuning-{n}", MappingProxyType(changes)) for n, changes in enumerate(tunings)
        ),
        rules=_rule_table(draw(_rules)),
        tap_us=draw(st.sampled_from((60_000, 20_000))),
        shortest_press_us=draw(st.sampled_from((34_000, 0, 100_000))),
        faces_as_specified=draw(st.booleans()),
    )


# -------------------------------------------------------------------- input


@dataclass(frozen=True)
class Hand:
    """One event of one source: an axis's value, counts of a pointer, or a key.

    A key that is up goes down and one that is down goes up, whatever `value` says.
    """

    source: int
    kind: str  # key, axis or count
    code: int
    value: int


@dataclass(frozen=True)
class Step:
    """Time goes on, then something happens.

    `wait` is microseconds, or None for the time of the engine's next deadline. `what` is: frame
    (with `hands`, all of one source), unplug, plug, swap, release, pause, resume or nothing.
    """

    wait: int | None
    what: str
    hands: tuple[Hand, ...] = ()
    source: int = 0


_WAITS: Final = (
    *(None, None, None, None, 0, 0, 1, 1_000, 5_000, 8_000, 15_000, 20_000, 40_000, 60_000),
    *(60_000, 100_000, 100_000, 300_000, 1_000_000),
)
_SHARES: Final = (0, 0, FULL, -FULL, FULL // 2, -FULL // 2, 80, 620)
_LOW: Final = (0, 0, FULL, FULL // 2, 90)


def _hand(rng: Random, source: int) -> Hand:
    keys = SOURCE_BUTTONS[source]
    if keys and rng.random() < 0.65:
        return Hand(source, "key", rng.choice(keys), 0)
    if source == 1 and rng.random() < 0.5:
        code = rng.choice((RELS["REL_X"], RELS["REL_Y"]))
        return Hand(source, "count", code, rng.choice((1, 24, -24, 60)))
    code = rng.choice(list(SOURCES[source].axes))
    return Hand(source, "axis", code, rng.choice(_LOW if code == AXIS_LOW else _SHARES))


def _frame(rng: Random) -> Step:
    source = rng.choice((0, 0, 0, 1, 2))
    hands = tuple(_hand(rng, source) for _ in range(rng.choice((1, 1, 1, 2, 3))))
    return Step(rng.choice(_WAITS), "frame", hands, source)


def _step(rng: Random) -> Step:
    if rng.random() < 0.9:
        return _frame(rng)
    what = rng.choice(
        ("unplug", "plug", "plug", "swap", "swap", "release", "pause", "resume", "resume")
    )
    return Step(rng.choice(_WAITS), what, (), rng.randrange(3))


steps = _pool(_step)
#: Input by hands alone.
hand_steps = _pool(_frame)


@st.composite
def scripts(draw: st.DrawFn, *, max_size: int = 40, hands_only: bool = False) -> list[Step]:
    """Steps; their number is drawn first, so that long lists are as likely as short ones."""
    count = draw(st.integers(1, max_size)) if draw(st.booleans()) else max_size
    return [draw(hand_steps if hands_only else steps) for _ in range(count)]
