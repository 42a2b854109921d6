"""Installs the service on a clean Debian 12, asks systemd of it there, and takes it away again.

    sudo .venv/bin/python -m tests.clean_system FOLDER

FOLDER is a root made by debootstrap, or one that does not exist yet and is made here (debootstrap
is needed then, 300 MB are fetched, some minutes). It stays, so that a second run is quick. What is
shown at the end is what differs from the system before; that must be nothing.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Final

CHECKOUT: Final = Path(__file__).resolve().parent.parent
LAYOUT: Final = CHECKOUT / "layouts" / "trackball-and-knees.yaml"
#: With these, all that the units name is there: the manual pages, `kill`, polkit's own folders.
PACKAGES: Final = "systemd,systemd-sysv,udev,kmod,python3,procps,man-db,polkitd,libpam-systemd,dbus"
PLAYER: Final = "kim"
HIGHEST_EXPOSURE: Final = 1.0  # of 10.0, as `systemd-analyze security` counts
#: Kept by passwd's own tools whenever an account changes.
BACKUPS: Final = frozenset(f"etc/{name}-" for name in ("passwd", "group", "shadow", "gshadow"))
NOT_LOOKED_AT: Final = ("dev", "proc", "run", "sys", "tmp", "var/cache", "var/log")


class NotClean(Exception):
    """Something is not as it was promised; the text says what."""


def main() -> int:
    """All of it, one after another."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    root: Path = parser.parse_args().folder.resolve()
    if os.geteuid() != 0:
        print("only root can do that: sudo .venv/bin/python -m tests.clean_system FOLDER")
        return 2
    try:
        if not (root / "etc/debian_version").exists():
            debootstrap(root)
        carry_out(root)
    except NotClean as fault:
        print(f"FAILED: {fault}")
        return 1
    return 0


def debootstrap(root: Path) -> None:
    """Makes the system."""
    command = ["debootstrap", "--variant=minbase", f"--include={PACKAGES}", "bookworm", str(root)]
    print(f"making {root}: {' '.join(command)}", flush=True)
    try:
        subprocess.run(command, check=True)
    except FileNotFoundError:
        raise NotClean("debootstrap is not on this machine: apt-get install debootstrap") from None


def carry_out(root: Path) -> None:
    """Install, ask, install again, remove."""
    if f"\n{PLAYER}:" not in (root / "etc/passwd").read_text():
        inside(root, "useradd", "--create-home", PLAYER)
    before = everything(root)

    remapd("service", "install", str(LAYOUT), "--root", str(root), "--yes", "--caregiver", PLAYER)
    there = everything(root)
    folders = ("opt/remapd/", "usr/local/share/man/")
    ours = sorted(there.keys() - before.keys())
    print(f"installed: {len(ours)} files and folders; but for {' and '.join(folders)}:")
    print("".join(f"  /{name}\n" for name in ours if not f"{name}/".startswith(folders)), end="")
    again = remapd("service", "install", "--root", str(root), "--yes")
    expect(again == "Nothing to install: all is as it should be.\n", f"a second install: {again}")
    expect(everything(root) == there, "a second install has changed something")

    said = inside(root, "/usr/local/bin/remapd", "--version")
    print(f"the command of that system: {said}", end="")
    shown = inside(root, "systemd-analyze", "security", "--offline=true", "remapd.service")
    print(shown.strip().splitlines()[-1])
    found = re.search(r"Overall exposure level for remapd\.service: (\d+\.\d)", shown)
    expect(found is not None and float(found[1]) <= HIGHEST_EXPOSURE, "the exposure is too high")
    for words in (
        ("remapd.service",),
        ("--user", "remapd.service"),
        ("--user", "remapd-cues.service"),
    ):
        said = inside(root, "systemd-analyze", "verify", *words)
        print(f"systemd-analyze verify {' '.join(words)}: {said or 'silent'}")
        expect(not said, "systemd-analyze verify has something to say")
    layouts = "/etc/remapd/layouts"
    inside(root, "su", PLAYER, "-c", f"touch {layouts}/x && rm {layouts}/x")
    print(f"{PLAYER}, a caregiver, may write in {layouts}")

    remapd("service", "remove", "--everything", "--root", str(root), "--yes")
    after = everything(root)
    left = sorted(
        name
        for name in before.keys() | after.keys()
        if before.get(name) != after.get(name) and name not in BACKUPS
    )
    print(f"after `service remove --everything`: {len(left)} of {len(before)} differ from before")
    expect(not left, f"left behind or changed: {', '.join(left)}")


def remapd(*words: str) -> str:
    """A command of this checkout; what it said."""
    return run([sys.executable, "-m", "remapd", *words])


def inside(root: Path, *words: str) -> str:
    """A command of the system in the folder; all that it said."""
    return run(["chroot", str(root), *words])


def run(words: list[str]) -> str:
    """What a command said."""
    done = subprocess.run(
        words,
        cwd=CHECKOUT,
        check=False,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        # systemd-analyze wants a folder of the user's, which need not be anywhere
        env={**os.environ, "XDG_RUNTIME_DIR": "/tmp", "LC_ALL": "C.UTF-8"},
    )
    expect(done.returncode == 0, f"{' '.join(words)}: exit code {done.returncode}: {done.stdout}")
    return done.stdout


def everything(root: Path) -> dict[str, tuple[int, int, int, str]]:
    """Every file and folder of the system: mode, owner, group, and what is in it."""
    found = {}
    for folder, names, files in os.walk(root):
        here = Path(folder)
        names[:] = [
            name for name in names if str((here / name).relative_to(root)) not in NOT_LOOKED_AT
        ]
        for name in (*names, *files):
            path = here / name
            about = path.lstat()
            content = ""
            if path.is_symlink():
                content = str(path.readlink())
            elif path.is_file():
                content = hashlib.sha256(path.read_bytes()).hexdigest()
            place = str(path.relative_to(root))
            found[place] = (about.st_mode, about.st_uid, about.st_gid, content)
    return found


def expect(holds: bool, fault: str) -> None:
    """Raises NotClean where it does not hold."""
    if not holds:
        raise NotClean(fault)


if __name__ == "__main__":
    sys.exit(main())
