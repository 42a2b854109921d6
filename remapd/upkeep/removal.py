"""Taking the service away again: the steps of `remapd service remove`."""

from __future__ import annotations

import shutil
from collections.abc import Callable

from remapd.upkeep.device_rules import apply_rules, give_nodes_back
from remapd.upkeep.installation import (
    CLAIMED_RULES,
    COMMAND_LINK,
    COMPLETIONS,
    DESKTOP_ENTRY,
    DEVICES_GROUP,
    ENABLED_LINK,
    FILES,
    GROUP,
    POLKIT_RULES,
    SETTINGS,
    UNIT,
)
from remapd.upkeep.manual import remove_manual
from remapd.upkeep.program import HOME, is_copied, remove_copy
from remapd.upkeep.steps import Act, RemoveFile, RemoveFolder, Step, run_tools
from remapd.upkeep.system import System


def removal_steps(system: System, *, everything: bool) -> list[Step]:
    """Removes what `Installation` made; layouts and the group only with `everything`."""
    steps: list[Step] = []
    group = system.group(DEVICES_GROUP)  # asked now: a later step may remove it
    group_number = None if group is None else group.number
    if system.is_live:
        steps.append(
            Act(
                "stop the service: every device is given back",
                lambda: system.asked("systemctl", "is-active", UNIT) in {"inactive", "", "unknown"},
                run_tools(system, ("systemctl", "stop", UNIT)),
            )
        )
    place = () if system.is_live else (f"--root={system.root}",)
    steps.append(
        Act(
            "switch the service off",
            lambda: not system.path(ENABLED_LINK).is_symlink(),
            run_tools(system, ("systemctl", *place, "disable", UNIT)),
        )
    )
    written = [path for _, path, _ in FILES]
    written += [POLKIT_RULES, CLAIMED_RULES, DESKTOP_ENTRY, *COMPLETIONS.values(), SETTINGS]
    steps += [RemoveFile(system, path) for path in written]
    steps.append(remove_manual(system))
    link = system.path(COMMAND_LINK)
    steps.append(
        Act(
            f"remove {COMMAND_LINK}",
            lambda: not link.is_symlink(),
            lambda: link.unlink(missing_ok=True),
        )
    )
    steps.append(
        Act(
            f"remove {HOME}: the copy of remapd",
            lambda: not is_copied(system),
            lambda: remove_copy(system),
        )
    )
    sockets = system.path("/run/remapd")  # a lock file may be left in it
    steps.append(
        Act(
            "remove /run/remapd: nobody listens there any more",
            lambda: not sockets.exists() or any(sockets.glob("*.sock")),
            lambda: shutil.rmtree(sockets),
        )
    )
    if everything:
        steps += [
            RemoveFolder(system, "/etc/remapd", "all layouts that are kept there"),
            RemoveFolder(system, "/var/lib/remapd", "what the service remembered"),
            _remove_account(system, "userdel", GROUP, lambda: system.user(GROUP) is None),
            _remove_account(system, "groupdel", GROUP, lambda: system.group(GROUP) is None),
            _remove_account(
                system, "groupdel", DEVICES_GROUP, lambda: system.group(DEVICES_GROUP) is None
            ),
        ]
    if system.is_live:
        steps.append(
            Act(
                "let the system forget the service and show every device to all again",
                lambda: True,
                lambda: _forget(system, group_number),
                follows_changes=True,
            )
        )
    return steps


def _remove_account(system: System, tool: str, name: str, done: Callable[[], bool]) -> Step:
    place = () if system.is_live else ("--prefix", str(system.root))
    what = "user" if tool == "userdel" else "group"
    sentence = f"remove the system {what} `{name}`"
    return Act(sentence, done, run_tools(system, (tool, *place, name)))


def _forget(system: System, group: int | None) -> None:
    system.run("systemctl", "daemon-reload")
    if group is not None:
        give_nodes_back(group)
    apply_rules(system)
