"""One value of a layout changed: what is tried out on the whole recording."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from remapd.engine.actions import (
    Action,
    OnceTwice,
    OnRelease,
    Scan,
    ShortLong,
    Steps,
)
from remapd.engine.layout import ButtonControl, Control, Layer, Layout, LeverControl
from remapd.engine.settings import with_overrides


@dataclass(frozen=True, slots=True)
class Change:
    """One value in the place of another.

    Attributes:
        setting: It as a layout writes it: `acceptance-delay: 50ms`.
        where: The control or binding that it stands at; empty for one of the whole layout.
        is_motion: Whether it is about how a control moves the pad, and not about presses.
    """

    setting: str
    where: str = ""
    is_motion: bool = False

    def apply(self, layout: Layout) -> Layout:
        """The layout with this value; unchanged where it has no such place."""
        raise NotImplementedError


@dataclass(frozen=True, slots=True)
class SettingChange(Change):
    """A setting of a control, by the field's name."""

    control: str = ""
    overrides: tuple[tuple[str, Any], ...] = ()

    def apply(self, layout: Layout) -> Layout:
        """The layout with this value (Change)."""
        return dataclasses.replace(
            layout,
            controls=tuple(
                _with_settings(control, self.overrides) if control.name == self.control else control
                for control in layout.controls
            ),
        )


@dataclass(frozen=True, slots=True)
class ActionChange(Change):
    """A time of an action: every action like the old one, where the old one stands."""

    layer: str = ""
    buttons: tuple[str, ...] = ()
    old: Action | None = None
    new: Action | None = None

    def apply(self, layout: Layout) -> Layout:
        """The layout with this value (Change)."""
        layers = tuple(
            self._in_layer(layout, layer) if layer.name == self.layer else layer
            for layer in layout.layers
        )
        return dataclasses.replace(layout, layers=layers)

    def _in_layer(self, layout: Layout, layer: Layer) -> Layer:
        if len(self.buttons) == 1:
            bindings = {
                number: self._replaced(action)
                if layout.buttons[number].name == self.buttons[0]
                else action
                for number, action in layer.bindings.items()
            }
            return dataclasses.replace(layer, bindings=_frozen(bindings))
        chords = tuple(
            dataclasses.replace(chord, action=self._replaced(chord.action))
            if {layout.buttons[chord.first].name, layout.buttons[chord.second].name}
            == set(self.buttons)
            else chord
            for chord in layer.chords
        )
        return dataclasses.replace(layer, chords=chords)

    def _replaced(self, action: Action) -> Action:
        if action == self.old and self.new is not None:
            return self.new
        match action:
            case ShortLong():
                return dataclasses.replace(
                    action, short=self._replaced(action.short), long=self._replaced(action.long)
                )
            case OnceTwice():
                return dataclasses.replace(
                    action, once=self._replaced(action.once), twice=self._replaced(action.twice)
                )
            case OnRelease():
                return dataclasses.replace(action, action=self._replaced(action.action))
            case Steps():
                return dataclasses.replace(action, steps=tuple(map(self._replaced, action.steps)))
            case Scan():
                return dataclasses.replace(action, items=tuple(map(self._replaced, action.items)))
            case _:
                return action


@dataclass(frozen=True, slots=True)
class WindowChange(Change):
    """The layout's `chord-window`."""

    window_us: int = 0

    def apply(self, layout: Layout) -> Layout:
        """The layout with this value (Change)."""
        return dataclasses.replace(layout, chord_window_us=self.window_us)


def _with_settings(control: Control, overrides: tuple[tuple[str, Any], ...]) -> Control:
    match control:
        case ButtonControl():
            button = with_overrides(control.settings, overrides)
            return dataclasses.replace(control, settings=button)
        case LeverControl():
            lever = with_overrides(control.settings, overrides)
            return dataclasses.replace(control, settings=lever)
        case _:
            stick = with_overrides(control.settings, overrides)
            return dataclasses.replace(control, settings=stick)


def _frozen(bindings: Mapping[int, Action]) -> Mapping[int, Action]:
    return MappingProxyType(dict(bindings))
