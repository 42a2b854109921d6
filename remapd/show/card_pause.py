"""The ways out that a card has to name: to rest, to end what goes on, to get a device back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from remapd.engine.actions import Action, ReleaseEverything, TakeRest, parts_of
from remapd.engine.layout import Device, Layout, PointerControl
from remapd.engine.stack import Table
from remapd.show.card_layers import LayerOrder, button_words
from remapd.show.card_words import ActionWords, seconds

_FIRST_KEY_OF_A_GAMEPAD = 0x100


def pauses_of(
    layout: Layout, words: ActionWords, orders: Sequence[LayerOrder], tables: Sequence[Table]
) -> Iterator[str]:
    """The player's own ways first, then those that work whatever the layout is."""
    seen: set[str] = set()
    for order, table in zip(orders, tables, strict=True):
        for number, action in enumerate(table.actions):
            if action is None or table.layer_of[number] != order.number:
                continue  # it is told for the layer that says it
            where = f" in {words.layer(order.number)}" if order.number else ""
            for text in _told(button_words(layout, number), where, action):
                if text not in seen:
                    seen.add(text)
                    yield text
    taken = [device for device in layout.devices if device.exclusive_in_words]
    if any(device.find.shape == "keyboard" or _has_only_keys(device) for device in taken):
        yield "Keyboard back: hold Escape for 5 s."
    if any(_is_pointer(layout, device) for device in taken):
        yield "Mouse or ball back: hold both its outer buttons for 5 s."
    yield "At the computer: remapd in the menu, Pause; or type “remapd pause”, “remapd resume”."
    yield "Or pull out a plug: all that it held down is let go."


def _told(name: str, where: str, action: Action) -> Iterator[str]:
    for part in parts_of(action):
        if isinstance(part, TakeRest):
            how = name if part is action else f"choose rest with {name}"
            wakes = f"Nothing counts then, until {name} is held for {seconds(part.hold_us)}."
            yield f"Rest: {how}{where}. {wakes}"
        elif isinstance(part, ReleaseEverything):
            how = name if part is action else f"choose all off with {name}"
            yield f"All off: {how}{where}."


def _is_pointer(layout: Layout, device: Device) -> bool:
    controls = (layout.controls[number] for number in device.controls)
    return device.find.shape == "pointer" or any(isinstance(c, PointerControl) for c in controls)


def _has_only_keys(device: Device) -> bool:
    return bool(device.keys) and max(device.keys) < _FIRST_KEY_OF_A_GAMEPAD
