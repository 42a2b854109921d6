"""The schema's defaults are those of the engine, and its ranges those that the page gives."""

import dataclasses
import re
from fractions import Fraction
from typing import Any

import pytest

from remapd.engine import actions
from remapd.engine.layout import DEFAULT_RULES, Layout, PointerControl, RuleKind
from remapd.engine.settings import ButtonSettings, LeverSettings, StickSettings
from remapd.language.build_settings import _DURATIONS, _PLAIN
from remapd.language.kinds import Field, Group, Number, Quantity, WholeNumber, bounds_of
from remapd.language.scalars import Unreadable, in_engine_units, read_quantity
from remapd.language.schema import (
    BUTTON,
    CONTROL_GROUPS,
    LAYOUT,
    LEVER,
    POINTER,
    RULE_GROUP,
    STICK,
    TUNABLE,
)
from remapd.language.schema_actions import ACTIONS, SEND

POINTER_SETTINGS = PointerControl("roll", 0, 0, 1, (0, 1, 2, 3)).settings


def default_of(field: Field) -> Any:
    """A default as written, in the engine's units."""
    if isinstance(field.kind, Quantity):
        value = read_quantity(field.default, field.kind.family)
        assert not isinstance(value, Unreadable), field
        return in_engine_units(value, field.kind.family)
    if isinstance(field.kind, WholeNumber):
        return int(field.default)
    assert isinstance(field.kind, Number)
    return float(Fraction(field.default))


@pytest.mark.parametrize(
    ("group", "settings"),
    [
        (BUTTON, ButtonSettings()),
        (STICK, StickSettings()),
        (POINTER, POINTER_SETTINGS),
        (LEVER, LeverSettings()),
    ],
    ids=lambda each: getattr(each, "called", type(each).__name__),
)
def test_defaults_of_conditioning(
    group: Group, settings: ButtonSettings | StickSettings | LeverSettings
) -> None:
    compared = 0
    for field in group.fields:
        name = (_DURATIONS | _PLAIN).get(field.name)
        if name is None:
            continue
        holder: Any = settings if hasattr(settings, name) else getattr(settings, "buttons", None)
        assert default_of(field) == getattr(holder, name), field.name
        compared += 1
    assert compared >= 5


@pytest.mark.parametrize(
    ("action", "field", "engine_field"),
    [
        ("layer", "give-up", (actions.NextLayer, "give_up_us")),
        ("turbo", "rate", None),
        ("pulse", "length", (actions.Pulse, "length_us")),
        ("short", "after", (actions.ShortLong, "after_us")),
        ("once", "within", (actions.OnceTwice, "within_us")),
        ("scan", "every", (actions.Scan, "every_us")),
        ("scan", "rounds", (actions.Scan, "rounds")),
        ("push", "ramp", (actions.Push, "ramp_us")),
    ],
)
def test_defaults_of_actions(
    action: str, field: str, engine_field: tuple[type[Any], str] | None
) -> None:
    schema_field = ACTIONS[action].field(field)
    assert schema_field is not None
    if engine_field is None:
        assert default_of(schema_field) == 1_000_000 / actions.Turbo((0,)).period_us
        return
    kind, name = engine_field
    (default,) = [each.default for each in dataclasses.fields(kind) if each.name == name]
    assert default_of(schema_field) == default


@pytest.mark.parametrize("name", ["tap", "shortest-press", "chord-window"])
def test_defaults_of_the_file(name: str) -> None:
    field = LAYOUT.field(name)
    assert field is not None
    layout = Layout("", (), (), (), ())

    assert default_of(field) == getattr(layout, f"{name.replace('-', '_')}_us")


def test_default_of_after_player() -> None:
    field = RULE_GROUP.field("after-player")
    assert field is not None
    sticks = [rule for rule in DEFAULT_RULES if rule.kind is RuleKind.PLAYER_FIRST]

    assert {rule.after_player_us for rule in sticks} == {default_of(field)}


def groups() -> list[Group]:
    return [LAYOUT, TUNABLE, SEND, RULE_GROUP, *CONTROL_GROUPS.values(), *ACTIONS.values()]


@pytest.mark.parametrize("group", groups(), ids=[each.called for each in groups()])
def test_every_setting_is_described_without_a_full_stop(group: Group) -> None:
    names = [field.name for field in group.fields]

    assert len(names) == len(set(names))
    for field in group.fields:
        assert field.about, field.name
        assert not field.about.endswith("."), field.name
        assert re.fullmatch(r"[a-z][a-z-]*", field.name)
        assert field.required or field.default or group is LAYOUT or group is TUNABLE
        if isinstance(field.kind, Quantity):
            low, high = bounds_of(field.kind)
            assert low < high, field.name
