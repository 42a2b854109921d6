"""How the daemon is, as plain data."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

from remapd.compiling.finder import form_in_use
from remapd.daemon.moved_plugs import act_on, whereabouts
from remapd.engine.pad_controls import PERSON_NAMES
from remapd.language.find_words import found_by

if TYPE_CHECKING:
    from remapd.daemon.loop import OpenedDevice
    from remapd.daemon.running import Daemon
    from remapd.daemon.waiting import Waiting

Status = dict[str, Any]


def collect(daemon: Daemon) -> Status:
    """Everything, as docs/control-socket.md describes it. Lengths of time are in microseconds."""
    now_us = daemon.loop.now()
    in_force = daemon.in_force
    layout = in_force.layout
    return {
        "name": daemon.name,
        "pid": os.getpid(),
        "running_us": now_us - daemon.started_us,
        "pad": {"name": daemon.pad.name, "node": daemon.pad.node},
        "layout": {
            "path": in_force.path,
            "title": layout.title,
            "in_force_us": now_us - in_force.since_us,
            "took_us": in_force.took_us,
            "started_with": daemon.layouts.remember[1] if daemon.layouts.remember else None,
        },
        "refused": _refused(daemon, now_us),
        "paused": daemon.paused_because,
        "layers": list(daemon.layers()),
        "player": None if daemon.roles is None else daemon.roles.player(),
        "devices": [_device(daemon, index) for index in range(len(layout.devices))],
        "others": sorted({node.name for node in daemon.devices.others.values()}),
        "recordings": len(daemon.recorder),
        "clients": 0 if daemon.control is None else len(daemon.control.clients),
        "figures": _figures(daemon),
        "form": _form(),
    }


def _refused(daemon: Daemon, now_us: int) -> dict[str, Any] | None:
    failure = daemon.failure
    if failure is None:
        return None
    return {
        "path": failure.path,
        "summary": failure.summary,
        "problems": failure.problems,
        "ago_us": now_us - failure.us,
    }


def _device(daemon: Daemon, index: int) -> dict[str, Any]:
    device = daemon.in_force.layout.devices[index]
    fields: dict[str, Any] = {
        "device": device.name,
        "person": PERSON_NAMES[device.person],
        "optional": device.optional,
        "looks_for": found_by(device),
        "rumble": device.rumble,
    }
    opened = _taken_by(daemon, index)
    if opened is not None:
        return fields | {
            "state": "taken",
            "name": opened.source.name,
            "node": opened.path,
            "port": opened.source.port,
            "serial": opened.source.serial,
            "alone": opened.device.grabbed,
            "waits_to_be_alone": daemon.devices.waits_to_be_alone(opened),
            "rumble_problem": daemon.rumble.trouble(opened),
            "moved_from": device.find.port if opened.source.confirmed_as else None,
        }
    waiting = _waiting_for(daemon, index)
    if waiting is not None:
        return fields | {
            "state": waiting.trouble.value,
            "name": waiting.description.name,
            "node": waiting.description.path,
            "problem": str(waiting.error),
        }
    plugs = daemon.devices.plugs
    found = plugs.candidates(device, daemon.devices.others.values())
    if not found or daemon.paused:
        return fields | {"state": "missing"}
    is_asked = plugs.asked is not None and plugs.asked.name == device.name
    todo = f"{act_on(device)} it, and it is taken" if is_asked else "it is asked for next"
    return fields | {
        "state": "moved",
        "name": found[0].name,
        "asked": is_asked,
        "port": device.find.port,
        "ports": [node.port for node in found],
        "problem": f"it {whereabouts(device, found)}; {todo}",
    }


def _taken_by(daemon: Daemon, index: int) -> OpenedDevice | None:
    for opened in daemon.devices.opened.values():
        if daemon.devices.taken_index(opened) == index:
            return opened
    return None


def _waiting_for(daemon: Daemon, index: int) -> Waiting | None:
    device = daemon.in_force.layout.devices[index]
    for waiting in daemon.devices.waiting.nodes.values():
        if daemon.devices.fits_node(device, waiting.description):
            return waiting
    return None


def _form() -> dict[str, str]:
    form = form_in_use()
    return {"name": form.name, "why": form.why, "mend": form.mend}


def _figures(daemon: Daemon) -> dict[str, Any]:
    figures = daemon.figures
    losses = figures.losses + sum(o.device.drops for o in daemon.devices.opened.values())
    return {
        "frames": figures.frames,
        "median_us": figures.share_us(0.50),
        "p99_us": figures.share_us(0.99),
        "longest_us": figures.longest_us,
        "longest_stall_us": figures.longest_stall_us,
        "losses": losses,
    }
