"""Each thing that can stop play, looked at in turn: from the kernel up to the game.

`judge` is pure: it is given the facts and decides. The order is that in which one thing needs the
other, so whoever mends the first may find the rest mended.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, Final

from remapd.analysis.device_kinds import Kind, in_words
from remapd.kernel.errors import UinputDenied, UinputMissing
from remapd.language.find_words import set_line
from remapd.upkeep.facts import Facts, NodeFacts
from remapd.upkeep.findings import Finding, Verdict
from remapd.upkeep.installation import GROUP, UNIT

WELL, NOTE, MEND = Verdict.WELL, Verdict.NOTE, Verdict.MEND

#: Below the first a battery is mentioned, at or below the second it may fail within the session.
_LOW_PERCENT: Final = 25
_EMPTY_PERCENT: Final = 10
_CONTROLLERS: Final = frozenset({Kind.GAMEPAD, Kind.JOYSTICK})
_SEES_DEVICES: Final = frozenset({"all", "input"})


def judge(facts: Facts) -> list[Finding]:
    """All findings, in the order in which they should be read."""
    return [finding for check in _CHECKS for finding in check(facts)]


def _install(facts: Facts) -> str:
    return f"sudo {facts.command} service install"


def _plug_in(facts: Facts) -> str:
    return f"plug it in; `{facts.command} devices` lists what is there"


# ---------------------------------------------------------------- virtual devices


def _uinput(facts: Facts) -> Iterator[Finding]:
    subject = "virtual devices"
    if facts.status is not None:
        pad = facts.status["pad"]
        yield Finding(subject, WELL, f"the pad “{pad['name']}” is there ({pad['node']})")
    elif facts.uinput is None:
        yield Finding(subject, WELL, "a pad can be made")
    elif isinstance(facts.uinput, UinputMissing):
        yield Finding(subject, MEND, facts.uinput.message, "sudo modprobe uinput")
    elif isinstance(facts.uinput, UinputDenied):
        if facts.unit == "there":
            yield Finding(subject, WELL, "only the service may make a pad, as it should be")
        else:
            yield Finding(subject, MEND, "you may not make a pad", _install(facts))
    else:
        yield Finding(subject, MEND, facts.uinput.message, facts.uinput.remedy)
    if not facts.uinput_at_boot:
        verdict = MEND if facts.unit == "there" else NOTE
        text = "the kernel's part for it is not loaded at the next start of the machine"
        yield Finding(subject, verdict, text, _install(facts))


def _rules(facts: Facts) -> Iterator[Finding]:
    subject = "rules"
    installed = facts.unit == "there"
    match facts.uinput_rule:
        case "as shipped":
            yield Finding(subject, WELL, "the service may make virtual devices")
        case "other":
            text = "a rule that is not remapd's says who may make virtual devices"
            yield Finding(subject, NOTE, text)
        case "differs":
            text = "the rule for virtual devices is not that of this version"
            yield Finding(subject, MEND, text, _install(facts))
        case _:
            verdict = MEND if installed else NOTE
            text = "no rule says who may make virtual devices; only root may"
            yield Finding(subject, verdict, text, _install(facts))


def _group(facts: Facts) -> Iterator[Finding]:
    subject = "group"
    if facts.is_root:
        return
    join = f"sudo usermod --append --groups {GROUP} {facts.user}   (then log out and in again)"
    if not facts.group_exists:
        if facts.unit == "there":
            yield Finding(subject, MEND, f"the group `{GROUP}` is missing", _install(facts))
    elif facts.group_in_effect:
        yield Finding(subject, WELL, f"{facts.user} may pause, resume and change layouts")
    elif facts.in_group:
        text = f"{facts.user} is in the group `{GROUP}`, but this login is older than that"
        yield Finding(subject, MEND, text, "log out and in again")
    else:
        text = f"{facts.user} is not in the group `{GROUP}`, so may not pause or change layouts"
        verdict = MEND if facts.no_status_because == "denied" else NOTE
        yield Finding(subject, verdict, text, join)


# ---------------------------------------------------------------- service, daemon, layout


def _service(facts: Facts) -> Iterator[Finding]:
    subject = "service"
    if facts.unit == "missing":
        text = "remapd is not installed as a service; it plays only while `remapd run` runs"
        yield Finding(subject, NOTE, text, _install(facts))
        return
    if not facts.has_systemd:
        yield Finding(subject, NOTE, "this system was not started by systemd, which runs services")
        return
    if not facts.enabled:
        text = "it is not switched on for the next start of the machine"
        yield Finding(subject, MEND, text, f"sudo systemctl enable {UNIT}")
    if facts.active in {"active", "reloading"}:
        yield Finding(subject, WELL, "it is running")
        return
    said = f"; its last words: {facts.unit_said}" if facts.unit_said else ""
    if facts.active in {"failed", "activating"}:
        text = f"it does not come up ({facts.active}){said}"
        yield Finding(subject, MEND, text, f"journalctl --unit={UNIT} --lines=20")
    else:
        yield Finding(subject, MEND, f"it is not running{said}", f"systemctl start {UNIT}")


def _daemon(facts: Facts) -> Iterator[Finding]:
    subject = "play"
    status = facts.status
    if status is not None:
        if status["paused"] is not None:
            yield Finding(
                subject, MEND, f"it is paused: {status['paused']}", f"{facts.command} resume"
            )
        else:
            yield Finding(subject, WELL, f"“{status['layout']['title']}” is played")
        losses = status["figures"]["losses"]
        if losses:
            text = f"the machine was so busy that input was lost {losses} times, and read back"
            yield Finding(subject, NOTE, text, "end programs that are not needed while playing")
        yield from _form(facts)
    elif facts.no_status_because == "denied":
        # the check of the group names the line for somebody who is in no group
        if facts.is_root or facts.group_in_effect:
            text = "no daemon of yours is running, and whether another user's is you may not see"
            yield Finding(subject, MEND, text, f"sudo {facts.command} health")
    elif facts.no_status_because == "not running":
        if facts.unit == "missing":
            layout = facts.layout or "LAYOUT"
            yield Finding(subject, MEND, "remapd is not running", f"{facts.command} run {layout}")
    else:
        yield Finding(
            subject,
            MEND,
            f"the control socket is there and gives no answer: {facts.no_status_because}",
            f"sudo systemctl restart {UNIT}",
        )


def _form(facts: Facts) -> Iterator[Finding]:
    form = facts.status.get("form") if facts.status is not None else None
    if form is None:  # a daemon from before the last update
        return
    if not form["why"]:
        yield Finding("speed", WELL, f"it runs {form['name']}")
        return
    text = f"it runs in {form['name']}, which is slower: {form['why']}"
    copied = facts.unit == "there" and facts.active == "active"
    yield Finding("speed", NOTE, text, _install(facts) if copied else form["mend"])


def _layout(facts: Facts) -> Iterator[Finding]:
    subject = "layout"
    if facts.layout is None or facts.loaded is None:
        text = "no layout file is in use: every gamepad that is plugged in plays together"
        yield Finding(subject, NOTE, text)
        return
    refused = facts.status["refused"] if facts.status is not None else None
    check = f"{facts.command} check {facts.layout}"
    errors = facts.loaded.errors
    if errors:
        count = "an error" if len(errors) == 1 else f"{len(errors)} errors"
        text = f"{facts.layout} has {count}, the first: {errors[0].span}: {errors[0].message}"
        if facts.status is not None:
            text += "; what was in force before is still played"
        yield Finding(subject, MEND, text, check)
    elif refused is not None and facts.status is not None:
        if refused["path"] == facts.status["layout"]["path"]:
            yield Finding(subject, MEND, f"the last save was refused: {refused['summary']}", check)
        else:
            text = f"{refused['path']} was chosen and cannot be used: {refused['summary']}"
            text += f"; {facts.layout} is played"
            mend = f"{facts.command} check {refused['path']}"
            yield Finding(subject, MEND, text, mend)
    else:
        yield Finding(subject, WELL, f"{facts.layout} is valid")


# ---------------------------------------------------------------- devices


def _devices(facts: Facts) -> Iterator[Finding]:
    status = facts.status
    if status is None or status["paused"] is not None:
        yield from _unread_devices(facts)
        return
    by_path = {each.node.path: each for each in facts.nodes}
    for device in status["devices"]:
        yield from _device(device, by_path.get(device.get("node", "")), facts)


def _device(device: dict[str, Any], node: NodeFacts | None, facts: Facts) -> Iterator[Finding]:
    subject = f"device `{device['device']}`"
    match device["state"]:
        case "taken":
            yield Finding(subject, WELL, f"it is “{device['name']}”")
            if device.get("moved_from"):
                text = f"its plug has moved from port {device['moved_from']} to {device['port']}; "
                text += "if it stays there, let the layout say so"
                yield Finding(subject, NOTE, text, set_line(device["device"], device["port"]))
            if node is not None:
                yield from _battery(subject, node)
        case "missing":
            if not device["optional"]:
                text = f"it is not plugged in; looked for: {device['looks_for']}"
                yield Finding(
                    subject, MEND, text, "plug it in; `remapd devices` lists what is there"
                )
        case "moved":
            ports = device["ports"]
            mend = f"press something on {device['device']}"
            if len(ports) == 1:
                mend += f"; if it stays there: {set_line(device['device'], ports[0])}"
            yield Finding(subject, MEND, device["problem"], mend)
        case "busy":
            others = _programs(node) if node is not None else ""
            text = f"“{device['name']}” is taken by another program{others}"
            yield Finding(subject, MEND, text, "end that program, or switch off there what it does")
        case "denied":
            text = f"“{device['name']}” may not be read by this daemon"
            own = f"sudo chown {facts.user} {device['node']}"
            yield Finding(subject, MEND, text, _install(facts) if facts.active == "active" else own)
        case _:
            yield Finding(subject, MEND, device["problem"], "plug it out and in again")


def _unread_devices(facts: Facts) -> Iterator[Finding]:
    """What the layout's devices are, where no daemon takes them just now."""
    layout = facts.loaded.layout if facts.loaded is not None else None
    if layout is None:
        return
    from remapd.upkeep.hiding import is_it  # noqa: PLC0415 - needed in this one case

    for device in layout.devices:
        subject = f"device `{device.name}`"
        fitting = [each for each in facts.nodes if is_it(device, each.node)]
        if not fitting:
            if not device.optional:
                text = "nothing that is plugged in fits what the layout looks for"
                yield Finding(subject, MEND, text, _plug_in(facts))
            continue
        yield Finding(subject, WELL, f"“{fitting[0].node.name}” is plugged in")
        yield from _battery(subject, fitting[0])


def _battery(subject: str, node: NodeFacts) -> Iterator[Finding]:
    battery = node.battery
    if battery is None or battery.percent is None or battery.percent > _LOW_PERCENT:
        return
    if battery.status in {"charging", "full"}:
        return
    verdict = MEND if battery.percent <= _EMPTY_PERCENT else NOTE
    text = f"the battery of “{node.node.name}” is at {battery.percent} %"
    yield Finding(subject, verdict, text, "charge it, or change the battery")


def _programs(node: NodeFacts) -> str:
    names = ", ".join(f"{each.program} ({each.process})" for each in node.holders)
    return f": one of {names}" if names else ""


# ---------------------------------------------------------------- the game's side


def _pad(facts: Facts) -> Iterator[Finding]:
    subject = "the pad's way to the game"
    makers = {each.process for each in facts.uinput_holders}
    for pad in facts.pads():
        name = f"“{pad.node.name}”"
        remakers = [each for each in pad.holders if each.process in makers]
        if pad.taken_alone:
            text = f"another program has taken {name} for itself, so no game gets it"
            remedy = "end it, or switch off there that it changes this controller"
            yield Finding(subject, MEND, text + _programs(pad), remedy)
        elif remakers:
            one = remakers[0]
            text = (
                f"{one.program} ({one.process}) reads {name} and can make devices of its own: it "
                "may change it once more on the way to the game"
            )
            remedy = "if play is odd: switch off in it that it changes this controller"
            yield Finding(subject, NOTE, text, remedy)
        elif not pad.readable and not facts.is_root:
            text = f"you may not read {name} ({pad.node.path}), and so neither may your games"
            remedy = f"sudo setfacl --modify user:{facts.user}:rw {pad.node.path}"
            yield Finding(subject, MEND, text, remedy)
        else:
            readers = _programs(pad).removeprefix(": one of ") or "none yet"
            yield Finding(subject, WELL, f"{name} is free for games; open in: {readers}")


def _sandboxes(facts: Facts) -> Iterator[Finding]:
    pads = facts.pads()
    read = any(pad.holders for pad in pads)
    for each in facts.sandboxed:
        if each.devices & _SEES_DEVICES or not pads:
            continue
        text = f"{each.application} runs in a sandbox that shows it no controllers" + (
            "" if read else ", and no other program reads the pad"
        )
        remedy = (
            f"if that is the game: flatpak override --user --device=input {each.application}   "
            "(older Flatpak: --device=all), then start it again"
        )
        yield Finding("sandbox", NOTE if read else MEND, text, remedy)


def _real_pads(facts: Facts) -> Iterator[Finding]:
    """Controllers that games list beside the pad, or before it."""
    pads = facts.pads()
    if not pads:
        return
    first = min(pad.number for pad in pads)
    taken = {}
    if facts.status is not None:
        taken = {d["node"]: d for d in facts.status["devices"] if d["state"] == "taken"}
    for each in facts.nodes:
        if each.is_pad or each.kind not in _CONTROLLERS or not each.open_to_games:
            continue
        name = f"“{each.node.name}” ({in_words(each.node)})"
        device = taken.get(each.node.path)
        before = each.number < first
        where = "before the pad" if before else "beside the pad"
        if device is not None and not device["alone"] and not device["waits_to_be_alone"]:
            text = f"games get {name} itself as well: the layout shares it"
            yield Finding("real pads", NOTE, text)
        elif device is not None:
            text = f"games list {name} {where}, as a controller that does nothing"
            remedy = f"{_install(facts)} LAYOUT hides it; then plug it out and in again"
            yield Finding("real pads", MEND if before else NOTE, text, remedy)
        else:
            text = f"games list {name} {where}; it is not part of the layout"
            restart = f"sudo systemctl restart {UNIT}"
            remedy = f"unplug it; to keep it, type then: {restart}, and plug it in again"
            yield Finding("real pads", MEND if before else NOTE, text, remedy)


def _second(facts: Facts) -> Iterator[Finding]:
    subject = "a second remapd"
    if len(facts.daemons) > 1:
        paths = " and ".join(map(str, facts.daemons))
        text = f"two daemons of the same name run, one of a user and one of the system ({paths})"
        remedy = f"end the user's with Ctrl-C, or the system's: sudo systemctl stop {UNIT}"
        yield Finding(subject, MEND, text, remedy)
        return
    pads = facts.pads()
    if len(pads) > 1:
        names = ", ".join(f"“{pad.node.name}” ({pad.node.path})" for pad in pads)
        text = f"there are {len(pads)} pads of remapd: {names}"
        yield Finding(subject, NOTE, text, "if that is not meant, end the one that is not wanted")


def _completeness(facts: Facts) -> Iterator[Finding]:
    if not facts.all_processes_seen and not facts.is_root:
        text = "programs of other users could not be looked into"
        yield Finding("this check", NOTE, text, f"sudo {facts.command} health   (sees all of them)")


_CHECKS: Final[tuple[Callable[[Facts], Iterator[Finding]], ...]] = (
    _uinput,
    _rules,
    _group,
    _service,
    _daemon,
    _layout,
    _devices,
    _pad,
    _sandboxes,
    _real_pads,
    _second,
    _completeness,
)
