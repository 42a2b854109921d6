"""The service on this system: what installing it comes to.

install = Installation(system, layout, ...)
install.steps()     in their order; `pending` leaves out what is done already
install.remarks()   what the person should know before they say yes
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from remapd.compiling.finder import mending, why_pure
from remapd.kernel.hotplug import NodeDescription
from remapd.language import Loaded, load
from remapd.upkeep.device_rules import apply_rules, take_back_access
from remapd.upkeep.hiding import Hiding, plan_hiding, rules_text
from remapd.upkeep.manual import write_manual
from remapd.upkeep.program import HOME, ProgramCopy, service_command
from remapd.upkeep.shipped import shipped
from remapd.upkeep.steps import (
    Act,
    MakeLink,
    RemoveFile,
    Step,
    WriteFile,
    run_tools,
)
from remapd.upkeep.system import System, UpkeepFailed

#: Caregivers are members of this one: they may change layouts, pause and ask.
GROUP: Final = "remapd"
#: Only the service is in this one: it owns hidden devices and what makes virtual ones. Games run as
#: caregivers, so what caregivers can open is not hidden from games.
DEVICES_GROUP: Final = "remapd-devices"
UNIT: Final = "remapd.service"
UNIT_PATH: Final = f"/etc/systemd/system/{UNIT}"
ENABLED_LINK: Final = f"/etc/systemd/system/multi-user.target.wants/{UNIT}"
LAYOUTS: Final = "/etc/remapd/layouts"
SETTINGS: Final = "/etc/remapd/service.conf"
CLAIMED_RULES: Final = "/etc/udev/rules.d/72-remapd-claimed.rules"
UINPUT_RULES: Final = "/etc/udev/rules.d/60-remapd-uinput.rules"
COMMAND_LINK: Final = "/usr/local/bin/remapd"
POLKIT_RULES: Final = "/etc/polkit-1/rules.d/60-remapd.rules"
_SHIPPED_COMMAND: Final = "/opt/remapd/bin/remapd"

#: Where each shipped file goes, and what it is for.
FILES: Final = (
    ("remapd.sysusers", "/etc/sysusers.d/remapd.conf", "the service's own user and groups"),
    ("remapd.tmpfiles", "/etc/tmpfiles.d/remapd.conf", "the folder for layouts"),
    ("remapd.modules-load", "/etc/modules-load.d/remapd.conf", "virtual devices from boot on"),
    ("60-remapd-uinput.rules", UINPUT_RULES, "the service may make virtual devices"),
    ("remapd.service", UNIT_PATH, "the service"),
    ("remapd-user.service", "/etc/systemd/user/remapd.service", "the second way, not switched on"),
    (
        "remapd-cues.service",
        "/etc/systemd/user/remapd-cues.service",
        "what is heard of play, not switched on",
    ),
)
DESKTOP_ENTRY: Final = "/usr/local/share/applications/remapd.desktop"
#: Where the shells look for the completion of commands, by shell.
COMPLETIONS: Final = {
    "bash": "/usr/local/share/bash-completion/completions/remapd",
    "zsh": "/usr/local/share/zsh/site-functions/_remapd",
    "fish": "/usr/local/share/fish/vendor_completions.d/remapd.fish",
}
_UNLESS: Final = ", unless it turns out to be a keyboard, mouse or ball when it is plugged in"


@dataclass
class Installation:
    """What is to be on the system. Raises UpkeepFailed where the layout cannot be used."""

    system: System
    layout: Path | None = None  #: to play with; None: what was installed before
    caregivers: Sequence[str] = ()  #: users who may change layouts and pause
    hide: bool = True
    hide_desktop: bool = False  #: also keyboards and pointers that the layout wants for itself
    nodes: Sequence[NodeDescription] = ()  #: what is plugged in
    completions: Mapping[str, str] = field(default_factory=dict)  #: the text, by shell
    manual: Mapping[str, str] = field(default_factory=dict)  #: its pages, by file name
    _loaded: Loaded | None = field(init=False, default=None)

    def __post_init__(self) -> None:
        self.command, self._copied_because = service_command()
        self._slower_because = why_pure()
        path = self.layout or self._layout_before()
        if path is not None:
            self._loaded = load(path)
            if self._loaded.layout is None:
                errors = self._loaded.errors
                count = "an error" if len(errors) == 1 else f"{len(errors)} errors, the first"
                raise UpkeepFailed(
                    f"the layout {path} has {count}: {errors[0].span}: "
                    f"{errors[0].message}; `remapd check {path}` shows all"
                )
        self.hiding = self._plan_hiding()

    # ---------------------------------------------------------------- what is to be there
    def steps(self) -> list[Step]:
        """Everything, in the order in which it must come."""
        system = self.system
        steps: list[Step] = []
        if self._copied_because:
            copy = ProgramCopy(system)
            steps.append(
                Act(
                    f"copy remapd and what it needs to {HOME}: {self._copied_because}",
                    copy.is_current,
                    copy.make,
                )
            )
        for name, written, why in FILES:
            steps.append(WriteFile(system, written, self._adapted(shipped(name)), why))
        if system.path("/usr/share/polkit-1/rules.d").exists():  # with polkit itself
            why = "the group may start and stop this service without a password"
            steps.append(WriteFile(system, POLKIT_RULES, shipped("remapd.polkit.rules"), why))
        steps += [self._user_step(), self._folders_step()]
        steps += self._layout_steps()
        steps += self._hiding_steps()
        steps += self._convenience_steps()
        steps += [self._member_step(name) for name in self.caregivers]
        steps.append(self._enable_step())
        if system.is_live:
            steps += self._live_steps()
        return steps

    def remarks(self) -> list[str]:
        """What else there is to know, in sentences."""
        lines = []
        if self._loaded is None:
            lines.append(
                "No layout is given: every gamepad that is plugged in plays together. With one: "
                "remapd service install LAYOUT"
            )
        lines += [
            f"Hidden from games and from the desktop for good, also while remapd is not running: "
            f"“{each.name}” (`{each.device}`){_UNLESS if each.unless_desktops else ''}."
            for each in self.hiding.hidden
        ]
        lines += [f"Not hidden: `{each.device}`; {each.because}." for each in self.hiding.left]
        if self.hiding.hidden:
            lines.append(
                "Unplug what is hidden and plug it in again afterwards: programs that have it open "
                "keep it until then. `remapd service remove` shows it to all again."
            )
        if self._slower_because:
            lines.append(
                f"The service will run in pure Python, which is slower: {self._slower_because}. "
                f"To mend it, type {mending()}, and this command again."
            )
        if self.caregivers and not self._all_members():
            lines.append("Who joins the group must log out and in again before that counts.")
        return lines

    def _adapted(self, text: str) -> str:
        """A shipped file with the path of the command that is to be started."""
        return text.replace(f"{_SHIPPED_COMMAND} ", f"{self.command} ")

    # ---------------------------------------------------------------- user, folders, members
    def _user_step(self) -> Step:
        system = self.system
        words = ("systemd-sysusers", *self._at_root(), "remapd.conf")
        return Act(
            f"make the system user `{GROUP}` and the groups `{GROUP}` and `{DEVICES_GROUP}`",
            lambda: bool(
                system.user(GROUP) and system.group(GROUP) and system.group(DEVICES_GROUP)
            ),
            run_tools(system, words),
        )

    def _folders_step(self) -> Step:
        system = self.system

        def done() -> bool:
            group = system.group(GROUP)
            try:
                found = system.path(LAYOUTS).stat()
            except OSError:
                return False
            return group is not None and (found.st_gid, found.st_mode & 0o7777) == (
                group.number,
                0o2775,
            )

        words = ("systemd-tmpfiles", *self._at_root(), "--create", "remapd.conf")
        why = f"make {LAYOUTS}: the group `{GROUP}` may change layouts there"
        return Act(why, done, run_tools(system, words))

    def _member_step(self, name: str) -> Step:
        system = self.system

        def join() -> None:
            if system.user(name) is None:
                raise UpkeepFailed(f"this system has no user `{name}`")
            place = () if system.is_live else ("--prefix", str(system.root))
            system.run("usermod", *place, "--append", "--groups", GROUP, name)

        return Act(
            f"let {name} join the group `{GROUP}`: may change layouts, pause and resume",
            lambda: self._is_member(name),
            join,
        )

    def _is_member(self, name: str) -> bool:
        group = self.system.group(GROUP)
        return group is not None and name in group.members

    def _all_members(self) -> bool:
        return all(map(self._is_member, self.caregivers))

    # ---------------------------------------------------------------- layout
    def _layout_before(self) -> Path | None:
        """The layout of an installation that is there."""
        for line in (self.system.text(SETTINGS) or "").splitlines():
            if line.startswith("REMAPD_LAYOUT=/"):
                path = self.system.path(line.partition("=")[2])
                return path if path.exists() else None
        return None

    def _layout_steps(self) -> list[Step]:
        if self.layout is None or self._loaded is None:
            why = "which layout is played; none yet, so every gamepad plays together"
            text = (
                "# The layout that the service plays with:\n# REMAPD_LAYOUT=/etc/remapd/layouts/…\n"
            )
            there = self.system.text(SETTINGS) is not None
            return [] if there else [WriteFile(self.system, SETTINGS, text, why)]
        folder = self.system.path(LAYOUTS)
        name = self.layout.name
        if any(letter.isspace() for letter in name):
            raise UpkeepFailed(f"the layout's file name `{name}` has a space; rename it")
        steps: list[Step] = []
        if self.layout.resolve().parent != folder.resolve():
            for source, target in self._layout_files(self.layout, folder):
                steps.append(self._layout_copy(source, target))
        text = f"# The layout that the service plays with:\nREMAPD_LAYOUT={LAYOUTS}/{name}\n"
        return [*steps, WriteFile(self.system, SETTINGS, text, "which layout is played")]

    def _layout_files(self, layout: Path, folder: Path) -> list[tuple[Path, Path]]:
        """The layout, what it includes, its trials: where each is and where it goes."""
        loaded = self._loaded
        trials = layout.with_name(f"{layout.stem}.trials.yaml")
        files = [layout, *(loaded.files if loaded is not None else ())]
        files += [trials] if trials.exists() else []
        base = layout.resolve().parent
        pairs: dict[Path, Path] = {}
        for file in files:
            if not file.resolve().is_relative_to(base):
                raise UpkeepFailed(
                    f"the layout includes {file}, which is not beside it or below; move it there"
                )
            pairs[folder / file.resolve().relative_to(base)] = file
        return [(source, target) for target, source in pairs.items()]

    def _layout_copy(self, source: Path, target: Path) -> Step:
        shown = f"{LAYOUTS}/{target.name}"

        def copy() -> None:
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(source, target)
            target.chmod(0o664)
            group = self.system.group(GROUP)
            if group is not None:
                os.chown(target, -1, group.number)

        # one that is there may have been changed since by whoever cares for the player
        return Act(f"copy {source} to {shown}, where it is edited from now on", target.exists, copy)

    # ---------------------------------------------------------------- hiding
    def _plan_hiding(self) -> Hiding:
        if self._loaded is None or self._loaded.layout is None or not self.hide:
            return Hiding((), ())
        return plan_hiding(self._loaded.layout, self.nodes, also_desktop=self.hide_desktop)

    def _hiding_steps(self) -> list[Step]:
        name = self.layout.name if self.layout is not None else "installed before"
        text = rules_text(self.hiding, name)
        if text is None:
            gone = RemoveFile(self.system, CLAIMED_RULES)
            return [] if gone.is_done() else [gone]
        before = self.system.text(CLAIMED_RULES)
        if self.layout is None and before is not None:
            # the same layout as before: what was plugged in then may be unplugged just now
            return []
        return [
            WriteFile(self.system, CLAIMED_RULES, text, "hides the player's devices from games")
        ]

    # ---------------------------------------------------------------- convenience
    def _convenience_steps(self) -> list[Step]:
        entry = shipped("remapd.desktop").replace("Exec=remapd ", f"Exec={COMMAND_LINK} ")
        steps: list[Step] = [
            MakeLink(self.system, COMMAND_LINK, str(self.command), "the command for everyone"),
            WriteFile(self.system, DESKTOP_ENTRY, entry, "start, pause and help from the menu"),
        ]
        if str(self.command) == COMMAND_LINK:
            steps.pop(0)
        for shell, text in self.completions.items():
            why = f"completes the commands in {shell}"
            steps.append(WriteFile(self.system, COMPLETIONS[shell], text, why))
        if self.manual:
            steps.append(write_manual(self.system, self.manual))
        return steps

    # ---------------------------------------------------------------- switching on
    def _enable_step(self) -> Step:
        place = () if self.system.is_live else (f"--root={self.system.root}",)
        return Act(
            "switch the service on for every start of the machine",
            lambda: self.system.path(ENABLED_LINK).is_symlink(),
            run_tools(self.system, ("systemctl", *place, "enable", UNIT)),
        )

    def _live_steps(self) -> list[Step]:
        system = self.system
        return [
            Act(
                "load the kernel's part for virtual devices",
                lambda: Path("/sys/class/misc/uinput").exists(),
                run_tools(system, ("modprobe", "uinput")),
            ),
            Act(
                "apply the rules to what is plugged in",
                self._rules_applied,
                self._apply_rules,
                follows_changes=True,
            ),
            Act(
                "start the service",
                lambda: system.asked("systemctl", "is-active", UNIT) == "active",
                run_tools(
                    system,
                    ("systemctl", "daemon-reload"),
                    ("systemctl", "restart", UNIT),
                ),
                follows_changes=True,
            ),
        ]

    def _rules_applied(self) -> bool:
        group = self.system.group(DEVICES_GROUP)
        nodes = ["/dev/uinput", *(path for each in self.hiding.hidden for path in each.nodes)]
        try:
            return group is not None and all(
                Path(node).stat().st_gid == group.number for node in nodes
            )
        except OSError:
            return False

    def _apply_rules(self) -> None:
        apply_rules(self.system)
        for each in self.hiding.hidden:
            for node in each.nodes:
                take_back_access(node)

    def _at_root(self) -> tuple[str, ...]:
        return () if self.system.is_live else (f"--root={self.system.root}",)
