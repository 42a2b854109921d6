"""What is plugged in, gathered for `remapd devices`, as sentences and as data."""

from __future__ import annotations

import getpass
import os
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from remapd.analysis.device_kinds import Kind, in_words, kind_of, plain_axes
from remapd.analysis.layout_lines import codes_in_words, control_lines, find_line
from remapd.codes import EV_ABS, EV_KEY, EV_REL, code_name
from remapd.engine.source import Source
from remapd.kernel.battery import Battery, battery_of
from remapd.kernel.errors import KernelError, SourceDenied
from remapd.kernel.holders import Holder, find_holders, is_taken_alone
from remapd.kernel.hotplug import NodeDescription, is_remapd_pad, list_nodes
from remapd.kernel.source import SourceDevice
from remapd.upkeep.program import typed_command


@dataclass(frozen=True, slots=True)
class Listed:
    """One node and all that can be found out about it."""

    node: NodeDescription
    source: Source | None  #: None where it could not be opened
    resting: dict[int, int]
    problem: KernelError | None
    battery: Battery | None
    holders: list[Holder]
    all_holders_known: bool
    taken_alone: bool | None  #: None where it could not be told

    @property
    def kind(self) -> Kind:
        """The sort of device."""
        return kind_of(self.node)

    @property
    def is_pad(self) -> bool:
        """Whether it is a gamepad that a remapd makes."""
        return is_remapd_pad(self.node)


def gather() -> list[Listed]:
    """Every event node, in the order of their numbers; opens each that may be opened."""
    nodes = list_nodes()
    holders = find_holders(node.path for node in nodes)
    return [_look_at(node, holders.of(node.path), holders.complete) for node in nodes]


def is_worth_showing(node: NodeDescription) -> bool:
    """Whether a person could press or move it; not so the computer's own buttons."""
    return kind_of(node) not in {Kind.SILENT, Kind.MACHINE} and not is_remapd_pad(node)


def allowing_command(path: str) -> str:
    """The one command that lets this user read a node until it is unplugged."""
    return f"sudo chown {getpass.getuser()} {path}"


def _look_at(node: NodeDescription, holders: list[Holder], complete: bool) -> Listed:
    source: Source | None = None
    resting: dict[int, int] = {}
    problem: KernelError | None = None
    try:
        device = SourceDevice(node.path)
    except KernelError as error:
        problem = error
    else:
        source, resting = device.source, device.axes()
        device.close()
    may_be_taken = source is not None and (holders or not complete)
    taken = is_taken_alone(node.path) if may_be_taken else False
    return Listed(
        node,
        source,
        resting,
        problem,
        battery_of(node.path),
        holders,
        complete,
        taken if source is not None else None,
    )


# ---------------------------------------------------------------- for people


def sentences(
    listed: Listed, all_listed: Sequence[Listed], pressed: Sequence[int] = ()
) -> list[str]:
    """What there is to say of one device, its name and sort first."""
    node = listed.node
    lines = [f"“{node.name}” is {in_words(node)}."]
    if listed.is_pad:
        return [f"“{node.name}” at {node.path} is the gamepad that remapd makes for games."]
    about = [line for line in (_sends(listed), _where(listed), *_state(listed)) if line]
    paste = layout_lines(listed, all_listed, pressed)
    return [
        *lines,
        *(f"  {line}" for line in about),
        "  For a layout:",
        *(f"    {p}" for p in paste),
    ]


def layout_lines(
    listed: Listed, all_listed: Sequence[Listed], pressed: Sequence[int] = ()
) -> list[str]:
    """The lines to paste under the device's name in a layout."""
    others = [o.node for o in all_listed if o is not listed and not o.is_pad]
    find = find_line(listed.node, others)
    controls = control_lines(listed.source or listed.node, listed.resting, pressed)
    if not controls:
        controls = ["# press the keys that are to be used while this runs; they are named then"]
    because = [f"# {find.because}"] if find.because else []
    return [*because, find.text, *controls]


def _sends(listed: Listed) -> str:
    if listed.kind is Kind.KEYBOARD:
        return f"It sends {len(listed.node.keys)} keys."
    codes = codes_in_words(listed.node)
    return f"It sends {', '.join(codes)}." if codes else "It sends nothing that can be used."


def _where(listed: Listed) -> str:
    node = listed.node
    parts = [node.path, f"maker and product 0x{node.vendor:04x} 0x{node.product:04x}"]
    if node.port:
        parts.append(f"plugged in at {node.port}")
    if node.serial:
        parts.append(f"serial number {node.serial}")
    return "; ".join(parts) + "."


def _state(listed: Listed) -> list[str]:
    lines = []
    if listed.node.can_rumble:
        lines.append("It can rumble: `rumble: 40%` in a layout lets the game be felt on it.")
    if listed.battery is not None:
        words = listed.battery.in_words()
        lines.append(f"{words[0].upper()}{words[1:]}.")
    if listed.holders:
        names = ", ".join(f"{each.program} ({each.process})" for each in listed.holders)
        lines.append(f"Open in: {names}.")
    if listed.taken_alone:
        lines.append("One program has taken it for itself: nobody else gets what it sends.")
    if isinstance(listed.problem, SourceDenied):
        lines += [
            "You may not read it. This allows it until it is unplugged:",
            f"  {allowing_command(listed.node.path)}",
        ]
    elif listed.problem is not None:
        lines.append(f"It cannot be read: {listed.problem}.")
    return lines


def footnotes(all_listed: Sequence[Listed]) -> list[str]:
    """What holds for all of them together."""
    lines = []
    command = typed_command()
    if any(isinstance(each.problem, SourceDenied) for each in all_listed):
        lines.append(
            f"To allow all of them for good, to remapd alone: sudo {command} service install"
        )
    if any(not each.all_holders_known for each in all_listed) and os.geteuid() != 0:
        lines.append(
            f"Programs of other users are not listed; sudo {command} devices lists them too."
        )
    return lines


# ---------------------------------------------------------------- for programs


def data(listed: Listed, all_listed: Sequence[Listed]) -> dict[str, Any]:
    """One device as data; names of codes as a layout writes them."""
    node, source = listed.node, listed.source
    ranges: dict[str, Any] = {}
    for axis in sorted(plain_axes(node)):
        span = source.axes[axis] if source is not None else None
        ranges[code_name(EV_ABS, axis)] = (
            None
            if span is None
            else [span.minimum, span.maximum, span.fuzz, span.flat, span.resolution]
        )
    denied = isinstance(listed.problem, SourceDenied)
    return {
        "node": node.path,
        "name": node.name,
        "kind": listed.kind.value,
        "words": in_words(node),
        "bus": node.bus,
        "vendor": node.vendor,
        "product": node.product,
        "version": node.version,
        "port": node.port,
        "serial": node.serial,
        "is_remapd_pad": listed.is_pad,
        "keys": [code_name(EV_KEY, code) for code in sorted(node.keys)],
        "rels": [code_name(EV_REL, code) for code in sorted(node.rels)],
        "axes": ranges,
        "can_rumble": node.can_rumble,
        "battery": None
        if listed.battery is None
        else {"percent": listed.battery.percent, "status": listed.battery.status},
        "readable": source is not None,
        "problem": None if listed.problem is None else str(listed.problem),
        "allow": allowing_command(node.path) if denied else None,
        "open_in": [{"process": h.process, "program": h.program} for h in listed.holders],
        "open_in_is_complete": listed.all_holders_known,
        "taken_alone": listed.taken_alone,
        "layout": None if listed.is_pad else layout_lines(listed, all_listed),
    }
