"""One value of a layout changed: what is tried out on the whole recording."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from remapd.engine.actions import Action
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
    """A time of the action that a layer gives a button: another action in the place of that one."""

    layer: str = ""
    button: str = ""
    old: Action | None = None
    new: Action | None = None

    def apply(self, layout: Layout) -> Layout:
        """The layout with this value (Change)."""
        layers = tuple(
            dataclasses.replace(layer, bindings=self._bindings(layout, layer))
            if layer.name == self.layer
            else layer
            for layer in layout.layers
        )
        return dataclasses.replace(layout, layers=layers)

    def _bindings(self, layout: Layout, layer: Layer) -> Mapping[int, Action]:
        return MappingProxyType(
            {
                number: self.new
                if self.new is not None
                and action == self.old
                and layout.buttons[number].name == self.button
                else action
                for number, action in layer.bindings.items()
            }
        )


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
