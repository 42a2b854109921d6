"""What health is judged by, gathered from the running system; nothing is decided here.

Everything is asked in a way that disturbs no play: files and /sys are read, nodes are opened and
closed, and whether a node is another program's alone is tried only where some program has it open.
"""

from __future__ import annotations

import configparser
import getpass
import os
import stat
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from remapd.analysis.device_kinds import Kind, kind_of
from remapd.daemon.client import DaemonClient, Denied, NotRunning, Refused
from remapd.daemon.places import known_sockets
from remapd.kernel.battery import Battery, battery_of
from remapd.kernel.errors import PadUnavailable
from remapd.kernel.holders import Holder, find_holders, is_taken_alone, program_name
from remapd.kernel.hotplug import NodeDescription, is_remapd_pad, list_nodes
from remapd.kernel.pad import UINPUT_PATH, diagnose_uinput
from remapd.language import Loaded, load
from remapd.upkeep.installation import (
    CLAIMED_RULES,
    ENABLED_LINK,
    GROUP,
    SETTINGS,
    UINPUT_RULES,
    UNIT,
    UNIT_PATH,
)
from remapd.upkeep.program import typed_command
from remapd.upkeep.shipped import shipped
from remapd.upkeep.system import System, UpkeepFailed

_PROCESSES: Final = Path("/proc")
_INPUT: Final = Path("/sys/class/input")
_MODULE_FOLDERS: Final = ("/etc/modules-load.d", "/usr/lib/modules-load.d", "/run/modules-load.d")
_RULE_FOLDERS: Final = ("/etc/udev/rules.d", "/usr/lib/udev/rules.d", "/run/udev/rules.d")


@dataclass(frozen=True, slots=True)
class NodeFacts:
    """One event node."""

    node: NodeDescription
    kind: Kind
    is_pad: bool  #: made by a remapd
    readable: bool  #: by this user
    open_to_games: bool  #: by whoever sits at the screen, as far as can be told
    holders: tuple[Holder, ...] = ()
    taken_alone: bool | None = None  #: None where it was not tried or cannot be told
    battery: Battery | None = None

    @property
    def number(self) -> int:
        """That of the node, which is the order in which games list devices."""
        return int(self.node.path.rpartition("event")[2])


@dataclass(frozen=True, slots=True)
class Sandboxed:
    """A program in a sandbox, and the sorts of device that it is let to."""

    process: int
    program: str
    application: str
    devices: frozenset[str]


@dataclass(frozen=True, slots=True)
class Facts:
    """Everything. A part that could not be found out has the value that says so."""

    user: str
    is_root: bool
    command: str  #: how remapd has to be typed here
    # ---- virtual devices
    uinput: PadUnavailable | None  #: what stands in the way of a pad, for this user
    uinput_at_boot: bool
    uinput_rule: str  #: "as shipped", "other", "differs" or "missing"
    # ---- who may what
    group_exists: bool
    in_group: bool  #: by the file
    group_in_effect: bool  #: in this login
    # ---- the service
    has_systemd: bool
    unit: str  #: "there" or "missing"
    enabled: bool
    active: str  #: systemd's word: active, failed, inactive, activating
    unit_said: str  #: its last words
    # ---- the daemon
    status: dict[str, Any] | None
    no_status_because: str  #: "", "not running", "denied" or a sentence
    daemons: tuple[Path, ...]  #: sockets of this name that answer
    # ---- the layout
    layout: Path | None
    loaded: Loaded | None
    # ---- devices and programs
    nodes: tuple[NodeFacts, ...] = ()
    uinput_holders: tuple[Holder, ...] = ()
    sandboxed: tuple[Sandboxed, ...] = ()
    all_processes_seen: bool = True
    claimed_rules: bool = False

    def pads(self) -> list[NodeFacts]:
        """The pads that remapds make."""
        return [each for each in self.nodes if each.is_pad]


def gather(system: System, name: str, layout: Path | None) -> Facts:
    """Looks at everything; `name` is the daemon's, `layout` a file that is meant to be played."""
    user = getpass.getuser()
    group = system.group(GROUP)
    nodes = list_nodes()
    holders = find_holders([*(node.path for node in nodes), UINPUT_PATH])
    status, because = _ask_daemon(name)
    path = layout or _layout_in_use(system, status)
    return Facts(
        user=user,
        is_root=os.geteuid() == 0,
        command=typed_command(),
        uinput=diagnose_uinput(),
        uinput_at_boot=_loaded_at_boot(system),
        uinput_rule=_rule_state(system),
        group_exists=group is not None,
        in_group=group is not None and user in group.members,
        group_in_effect=group is not None and group.number in (*os.getgroups(), os.getegid()),
        has_systemd=Path("/run/systemd/system").is_dir(),
        unit="there" if system.text(UNIT_PATH) is not None else "missing",
        enabled=system.path(ENABLED_LINK).is_symlink(),
        active=system.asked("systemctl", "is-active", UNIT) or "unknown",
        unit_said=_last_words(system),
        status=status,
        no_status_because=because,
        daemons=tuple(_answering(name)),
        layout=path,
        loaded=None if path is None else load(path),
        nodes=tuple(_node(node, holders.of(node.path)) for node in nodes),
        uinput_holders=tuple(holders.of(UINPUT_PATH)),
        sandboxed=tuple(sandboxed_programs()),
        all_processes_seen=holders.complete,
        claimed_rules=system.text(CLAIMED_RULES) is not None,
    )


# ---------------------------------------------------------------- devices


def _node(node: NodeDescription, holders: Sequence[Holder]) -> NodeFacts:
    is_pad = is_remapd_pad(node)
    readable = os.access(node.path, os.R_OK, effective_ids=True)
    return NodeFacts(
        node,
        kind_of(node),
        is_pad,
        readable,
        open_to_games=_is_open(Path(node.path)) or any(map(_is_open, _joystick_nodes(node))),
        holders=tuple(holders),
        taken_alone=is_taken_alone(node.path) if holders and readable else None,
        battery=None if is_pad else battery_of(node.path),
    )


def _is_open(path: Path) -> bool:
    """Whether people who are not root may read a node."""
    try:
        found = path.stat()
        listed = "system.posix_acl_access" in os.listxattr(path)
    except OSError:
        return False
    own = os.geteuid() != 0 and os.access(path, os.R_OK)
    return own or listed or bool(found.st_mode & stat.S_IROTH)


def _joystick_nodes(node: NodeDescription) -> list[Path]:
    """The old-style nodes of the same device, /dev/input/jsN."""
    device = _INPUT / Path(node.path).name / "device"
    return [Path("/dev/input", entry.name) for entry in device.glob("js*")]


# ---------------------------------------------------------------- rules, module


def _loaded_at_boot(system: System) -> bool:
    for folder in _MODULE_FOLDERS:
        for file in sorted(system.path(folder).glob("*.conf")):
            if "uinput" in file.read_text(errors="replace").split():
                return True
    return False


def _rule_state(system: System) -> str:
    found = system.text(UINPUT_RULES)
    if found is not None:
        try:
            return "as shipped" if found == shipped(Path(UINPUT_RULES).name) else "differs"
        except UpkeepFailed:
            return "as shipped"
    for folder in _RULE_FOLDERS:
        for file in sorted(system.path(folder).glob("*.rules")):
            text = file.read_text(errors="replace")
            if any("uinput" in line and "MODE" in line for line in _written(text)):
                return "other"
    return "missing"


def _written(text: str) -> Iterable[str]:
    return (line for line in text.splitlines() if line and not line.startswith("#"))


# ---------------------------------------------------------------- daemon and service


def _ask_daemon(name: str) -> tuple[dict[str, Any] | None, str]:
    try:
        with DaemonClient(name) as client:
            status: dict[str, Any] = client.ask("status")["status"]
            return status, ""
    except NotRunning as error:
        return None, "not running" if "is running" in str(error) else str(error)
    except Denied:
        return None, "denied"
    except Refused as error:
        return None, "denied" if "own user" in str(error) else str(error)


def _answering(name: str) -> Iterable[Path]:
    import socket  # noqa: PLC0415 - a detail of this one question

    for path in known_sockets(name):
        with socket.socket(socket.AF_UNIX, socket.SOCK_STREAM) as link:
            try:
                link.connect(str(path))
            except OSError:
                continue
            yield path


def _last_words(system: System) -> str:
    said = system.asked("systemctl", "show", "--value", "--property=StatusText", UNIT)
    if said:
        return said
    told = system.asked("journalctl", f"--unit={UNIT}", "--lines=40", "--output=cat", "--quiet")
    ours = [line for line in told.splitlines() if line.startswith("remapd: ")]
    return ours[-1].removeprefix("remapd: ") if ours else ""


def _layout_in_use(system: System, status: dict[str, Any] | None) -> Path | None:
    if status is not None:
        path = status["layout"]["path"]
        return None if path is None else Path(path)
    for line in (system.text(SETTINGS) or "").splitlines():
        if line.startswith("REMAPD_LAYOUT=/"):
            return system.path(line.partition("=")[2])
    return None


# ---------------------------------------------------------------- sandboxes


def sandboxed_programs(processes: Path = _PROCESSES) -> Iterable[Sandboxed]:
    """One for each application whose root folder says that it is a Flatpak's (flatpak-info(5))."""
    seen: set[str] = set()
    for entry in sorted(processes.iterdir(), key=lambda entry: entry.name):
        if not entry.name.isdigit():
            continue
        try:
            text = (entry / "root/.flatpak-info").read_text(errors="replace")
        except OSError:
            continue
        parser = configparser.ConfigParser(interpolation=None, strict=False)
        try:
            parser.read_string(text)
        except configparser.Error:
            continue
        application = parser.get("Application", "name", fallback="")
        if not application or application in seen:
            continue
        seen.add(application)
        words = parser.get("Context", "devices", fallback="")
        number = int(entry.name)
        yield Sandboxed(
            number,
            program_name(number, processes),
            application,
            frozenset(filter(None, words.split(";"))),
        )
