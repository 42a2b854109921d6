"""What a live screen shows at one time, laid out neither for a terminal nor for a browser.

    picture = picture_of(state, now_us, clock)

`clock` makes words of a time of the monotonic clock, such as 14:03:05.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from remapd.show.lanes import AWAY, way_of
from remapd.show.live.readable import readable
from remapd.show.live.state import Control, LiveState, PadControl, Place

Clock = Callable[[int], str]

#: What lasts by itself, as it is said.
_LASTING_WORDS: Final = {"lead": "lead: ", "rest": "rest: "}


@dataclass(frozen=True, slots=True)
class DeviceShown:
    """A device of the layout; `state` is `here`, `missing` or `trouble`."""

    name: str
    person: str
    state: str
    words: str


@dataclass(frozen=True, slots=True)
class ControlShown:
    """A control of a hand, or of the pad; `beside` is a second word about it.

    `way` is an eighth of a turn clockwise from the right, where it is moved; `share` how far, in
    percent, None where that is not known. `used_us` is when it last changed, 0 for never.
    """

    name: str
    beside: str
    is_lit: bool
    moves: bool
    way: int | None
    share: int | None
    used_us: int


@dataclass(frozen=True, slots=True)
class LayerShown:
    """A layer; `order` counts those that are on from 1, the base; 0 is off."""

    name: str
    order: int
    is_base: bool


@dataclass(frozen=True, slots=True)
class ToldShown:
    """What became of a press, or something else that was said."""

    time: str
    subject: str
    text: str
    is_refusal: bool


@dataclass(frozen=True, slots=True)
class Picture:
    """Everything, in the order in which it is read."""

    title: str
    #: What keeps it from playing: paused, or no daemon; empty where it plays.
    trouble: str
    devices: tuple[DeviceShown, ...] = ()
    #: Plugged in and not used, where a device is missing: perhaps one of them is meant.
    others: tuple[str, ...] = ()
    hands: tuple[ControlShown, ...] = ()
    pad: tuple[ControlShown, ...] = ()
    layers: tuple[LayerShown, ...] = ()
    #: What stays on by itself, each with its person and since when.
    lasting: tuple[str, ...] = ()
    offered: tuple[str, ...] = ()
    #: The newest first.
    told: tuple[ToldShown, ...] = ()
    layout: str = ""
    #: Empty, or when the last save was refused and what is wrong with it.
    refused: str = ""
    refused_lines: tuple[str, ...] = field(default=())


def picture_of(state: LiveState, now_us: int, clock: Clock) -> Picture:
    """The picture at this time."""
    refusal = state.refusal
    is_save = refusal is not None and refusal.path == readable(state.layout_path or "")
    devices = state.devices if state.paused is None else []
    return Picture(
        title=state.title,
        trouble=_trouble(state),
        devices=tuple(map(_device, devices)),
        others=tuple(state.others) if any(each["state"] == "missing" for each in devices) else (),
        hands=tuple(_hand(each, now_us) for each in state.controls.values()),
        pad=tuple(_pad_control(each, now_us) for each in state.pad.values()),
        layers=tuple(
            LayerShown(
                name,
                state.active_layers.index(name) + 1 if name in state.active_layers else 0,
                is_base=number == 0,
            )
            for number, name in enumerate(state.layers)
        ),
        lasting=tuple(_lasting(*key, since=clock(us)) for key, us in state.lasting.items()),
        offered=tuple(state.offered.values()),
        told=tuple(
            ToldShown(clock(each.us), each.subject, each.text, each.is_refusal)
            for each in reversed(state.told)
        ),
        layout=_layout(state, clock),
        refused=""
        if refusal is None
        else f"{Path(refusal.path).name}, {'saved' if is_save else 'chosen'} at "
        f"{clock(refusal.us)}, was refused: what was in force before stays",
        refused_lines=() if refusal is None else refusal.lines,
    )


def _lasting(kind: str, text: str, person: str, *, since: str) -> str:
    """As in `latch hoist, player, since 14:03:05`."""
    what = f"{_LASTING_WORDS.get(kind, '')}{text.removesuffix(' (toggle)')}"
    return ", ".join(part for part in (what, person, f"since {since}") if part)


def _trouble(state: LiveState) -> str:
    if not state.is_connected:
        return "The daemon does not answer; waiting for it."
    if state.paused is not None:
        return f"Paused: {readable(state.paused)}. `remapd resume` goes on."
    return ""


def _layout(state: LiveState, clock: Clock) -> str:
    return f"in force since {clock(state.in_force_us)}" if state.status else ""


def _device(device: Any) -> DeviceShown:
    name, person = device["device"], device["person"]
    match device["state"]:
        case "taken":
            manner = "for remapd alone" if device["alone"] else "shared with other programs"
            if device["waits_to_be_alone"]:
                manner = "waits until nothing on it is pressed"
            felt = _felt(device)
            words = f"{readable(device['name'])}, {manner}{felt and '; '}{felt}"
            return DeviceShown(name, person, "here", words)
        case "missing":
            words = f"not plugged in; looks for {readable(device['looks_for'])}"
            if device["optional"]:
                words = "not plugged in; not needed"
            return DeviceShown(name, person, "missing", words)
        case _:
            words = f"{readable(device['name'])}: {readable(device['problem'])}"
            return DeviceShown(name, person, "trouble", words)


def _felt(device: Any) -> str:
    """What is felt on it; empty where the layout asks for nothing."""
    problem, share = device.get("rumble_problem"), device.get("rumble", 0.0)
    if problem is None:
        return ""
    if problem:
        return "nothing is felt"  # why is in the status: there is no room for it here
    if share <= 0:
        return "cues are felt"
    return "rumbles" if share >= 1 else f"rumbles at {share:.0%}"


def _hand(control: Control, now_us: int) -> ControlShown:
    beside = control.person if control.person != "player" else ""
    place = control.place_at(now_us)
    moves = control.kind in {"stick", "pointer"}
    is_lit = control.lamp.is_lit(now_us) or (control.kind == "lever" and abs(place.x) >= AWAY)
    changed_us = max(control.place.us, control.lamp.changed_us or 0)
    return _control(control.name, beside, place, moves, is_lit, changed_us)


def _pad_control(control: PadControl, now_us: int) -> ControlShown:
    moves = control.name.endswith("stick")
    changed_us = max(control.place.us, control.lamp.changed_us or 0)
    name, beside = (control.verb, control.name) if control.verb else (control.name, "")
    is_lit = control.lamp.is_lit(now_us)
    return _control(name, beside, control.place, moves, is_lit, changed_us)


def _control(
    name: str, beside: str, place: Place, moves: bool, is_lit: bool, used_us: int
) -> ControlShown:
    share = None if place.is_rough else round(100 * min(1.0, math.hypot(place.x, place.y)))
    way = way_of(place.x, place.y) if moves else None
    if moves:
        is_lit = way is not None
    return ControlShown(name, beside, is_lit, moves, way, share, used_us)
