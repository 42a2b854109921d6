"""Layouts that are hard to show: forty controls, titles from the right, and signs of markup."""

from __future__ import annotations

from typing import Final

_VERBS: Final = {
    "steer": "left-stick",
    "look": "right-stick",
    "hoist": "south",
    "lower": "east",
    "moor": "west",
    "horn": "north",
    "cast-net": "right-trigger",
    "haul-net": "left-trigger",
    "crew": "left-shoulder",
    "anchor": "right-shoulder",
    "chart": "select",
    "menu": "start",
    "crouch": "left-stick-press",
    "spyglass": "right-stick-press",
    "lamp": "dpad-up",
    "bell": "dpad-down",
    "flag": "dpad-left",
    "rope": "dpad-right",
    "helm": "mode",
}
_WAYS: Final = ("up", "down", "left", "right")


def forty() -> str:
    """Forty buttons on one board, eight beside each other, that use the whole pad; a chord too."""
    plain = [verb for verb in _VERBS if verb not in {"steer", "look"}]
    does = [*plain, *(f"{stick}.{way}" for stick in ("steer", "look") for way in _WAYS)]
    does += [f"{{latch: {verb}}}" for verb in plain[: 37 - len(does)]]
    does += ["{layer: deck, how: toggle}", "{layer: quay, how: next}", "{rest: 2s}"]
    lines = [
        "remapd: 1",
        "title: Forty buttons on one board",
        "notes: Everything within one sweep of the arm.",
        "base: sail",
        f"verbs: {{{', '.join(f'{verb}: {control}' for verb, control in _VERBS.items())}}}",
        "devices:",
        "  board:",
        "    find: {name: Board of forty}",
        "    controls:",
        *(f"      key-{n}: {{button: BTN_TRIGGER_HAPPY{n}}}" for n in range(1, 41)),
        "layers:",
        "  sail:",
        *(f"    key-{number}: {action}" for number, action in enumerate(does, 1)),
        "    key-3 + key-4: {together: [hoist, horn]}",
        "  deck:",
        "    key-1: lower",
        "  quay:",
        "    key-5: {short: horn, long: moor, after: 600ms}",
        "place:",
        *(f"  key-{n}: [{(n - 1) % 8 + 1}, {(n - 1) // 8 + 1}]" for n in range(1, 41)),
    ]
    return "\n".join(lines) + "\n"


#: A title that runs from the right, and markup wherever a layout has free text.
MARKED: Final = """\
remapd: 1
title: "משחק הדיג של הנמל <b>&\\"'</b>"
notes: <b>"Boats & nets"</b> > all
devices:
  knees:
    find: {name: "Switch <box> & \\"co\\""}
    controls:
      left-knee: {button: BTN_0}
      right-knee: {button: BTN_1}
base: play
layers:
  play:
    left-knee: {short: south, long: {layer: net, how: toggle}, after: 800ms}
    right-knee: {say: "<i>I need a 'break' & \\"more\\"</i>"}
  net:
    right-knee: east
cues:
  net: {say: "<u>הרשת & net</u>"}
  refused: {notify: "<b>too short & \\"early\\"</b>"}
"""
