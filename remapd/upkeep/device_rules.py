"""Making udev heed rules that were written or removed, for what is plugged in just now."""

from __future__ import annotations

import contextlib
import errno
import grp
import os
from pathlib import Path

from remapd.upkeep.system import System, UpkeepFailed


def apply_rules(system: System) -> None:
    """Makes udev read its rules again and apply them to every input device."""
    system.run("udevadm", "control", "--reload")
    for subsystem in ("input", "hidraw", "misc"):
        system.run("udevadm", "trigger", "--action=change", f"--subsystem-match={subsystem}")
    system.run("udevadm", "settle", "--timeout=30")


def take_back_access(node: str) -> None:
    """Takes back what a node was opened to for whoever sits at the screen, before the rules."""
    try:
        os.removexattr(node, "system.posix_acl_access")
        Path(node).chmod(0o660)
    except OSError as error:
        if error.errno not in {errno.ENODATA, errno.EOPNOTSUPP, errno.ENOENT}:
            raise UpkeepFailed(f"{node}: {error.strerror}") from error


def give_nodes_back(group: int) -> None:
    """Gives nodes that belong to the group `group` (a gid) the owners that udev gives new ones.

    udev itself does that only when a node appears (50-udev-default.rules heeds `add` alone).
    """
    try:
        everyone_elses = grp.getgrnam("input").gr_gid
    except KeyError:
        everyone_elses = 0
    for pattern, owner, mode in (
        ("input/event*", everyone_elses, 0o660),
        ("input/js*", everyone_elses, 0o664),
        ("hidraw*", 0, 0o600),
        ("uinput", 0, 0o600),
    ):
        for node in Path("/dev").glob(pattern):
            with contextlib.suppress(FileNotFoundError):
                if node.stat().st_gid == group:
                    os.chown(node, 0, owner)
                    node.chmod(mode)
