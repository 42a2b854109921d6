"""The service put on a clean system and taken away again: every file, and nothing left behind.

The system is a tree of files with the accounts of a fresh Debian; systemd's own tools work on it.
"""

from __future__ import annotations

import os
import pty
import shutil
import stat
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from remapd.compiling.finder import PURE, why_pure
from remapd.upkeep.program import HOME, hidden_from_service, system_python
from remapd.upkeep.system import System, UpkeepFailed

CHECKOUT = Path(__file__).parents[2]
TOOLS = ("systemd-sysusers", "systemd-tmpfiles", "systemctl", "usermod", "userdel", "groupdel")
MISSING = [tool for tool in TOOLS if not System().has(tool)]


def why_no_copy() -> str:
    """Why no service can run with this Python; empty where one can."""
    try:
        system_python()
    except UpkeepFailed as error:
        return str(error)
    return ""


pytestmark = [
    pytest.mark.skipif(bool(why_no_copy()), reason=why_no_copy()),
    pytest.mark.skipif(os.geteuid() != 0, reason="only root can give files to others"),
    pytest.mark.skipif(bool(MISSING), reason=f"not on this machine: {', '.join(MISSING)}"),
]

ACCOUNTS = {
    "etc/passwd": "root:x:0:0:root:/root:/bin/bash\nkim:x:1000:1000::/home/kim:/bin/bash\n",
    "etc/group": "root:x:0:\ninput:x:105:\nkim:x:1000:\n",
    "etc/shadow": "root:*:19000:0:99999:7:::\nkim:*:19000:0:99999:7:::\n",
    "etc/gshadow": "root:*::\ninput:!::\nkim:!::\n",
    "etc/login.defs": "USERGROUPS_ENAB yes\nUID_MIN 1000\nSYS_UID_MIN 100\nSYS_UID_MAX 999\n",
}
LAYOUT = """
remapd: 1
title: Two knees
include: devices/knees.yaml
layers:
  sail: {left-knee: south}
"""
DEVICES = """
remapd: 1
devices:
  knees:
    find: {name: "Knee box"}
    controls: {left-knee: {button: BTN_0}}
"""


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A system with two accounts, polkit, and nothing of ours."""
    tree = tmp_path / "system"
    for name, text in ACCOUNTS.items():
        (tree / name).parent.mkdir(parents=True, exist_ok=True)
        (tree / name).write_text(text)
    (tree / "usr/share/polkit-1/rules.d").mkdir(parents=True)
    return tree


@pytest.fixture
def layout(tmp_path: Path) -> Path:
    """A layout that includes another file, with trials beside it."""
    folder = tmp_path / "mine"
    (folder / "devices").mkdir(parents=True)
    (folder / "harbour.yaml").write_text(LAYOUT)
    (folder / "devices/knees.yaml").write_text(DEVICES)
    (folder / "harbour.trials.yaml").write_text("trials: []\n")
    return folder / "harbour.yaml"


def service(*words: str | Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "remapd", "service", *map(str, words)],
        cwd=CHECKOUT,
        check=False,
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
        timeout=120,
    )


def install(root: Path, *words: str | Path) -> str:
    done = service("install", "--root", root, "--yes", *words)
    assert done.returncode == 0, done.stderr
    return done.stdout


def tree(root: Path) -> dict[str, tuple[int, int, int, bytes]]:
    """Every file and folder: mode, owner, group, content."""
    found = {}
    for path in sorted(root.rglob("*")):
        about = path.lstat()
        content = b""
        if path.is_symlink():
            content = str(path.readlink()).encode()
        elif path.is_file():
            content = path.read_bytes()
        place = str(path.relative_to(root))
        found[place] = (about.st_mode, about.st_uid, about.st_gid, content)
    return found


def test_installed_everything_is_there_and_a_caregiver_may_write_layouts(
    root: Path, layout: Path
) -> None:
    install(root, layout, "--caregiver", "kim")
    group = System(root).group("remapd")
    user = System(root).user("remapd")

    assert group is not None
    assert user is not None
    assert "kim" in group.members
    devices = System(root).group("remapd-devices")
    assert devices is not None
    assert devices.members == ()
    assert group.number < 1000  # udev takes only system groups for granted
    folder = (root / "etc/remapd/layouts").stat()
    assert (stat.S_IMODE(folder.st_mode), folder.st_uid, folder.st_gid) == (0o2775, 0, group.number)
    for name in ("harbour.yaml", "harbour.trials.yaml", "devices/knees.yaml"):
        copied = root / "etc/remapd/layouts" / name
        assert copied.stat().st_gid == group.number
        assert copied.stat().st_mode & 0o060 == 0o060
    settings = (root / "etc/remapd/service.conf").read_text()
    assert settings.endswith("REMAPD_LAYOUT=/etc/remapd/layouts/harbour.yaml\n")
    assert (root / "etc/systemd/system/multi-user.target.wants/remapd.service").is_symlink()
    assert (
        'ATTRS{name}=="Knee box"' in (root / "etc/udev/rules.d/72-remapd-claimed.rules").read_text()
    )
    assert "uinput" in (root / "etc/modules-load.d/remapd.conf").read_text()
    manual = root / "usr/local/share/man"
    assert (manual / "man1/remapd-run.1").read_text().startswith(".TH REMAPD")
    assert (manual / "man5/remapd-layout.5").stat().st_mode & 0o777 == 0o644
    shown = service("show", "--root", root)
    assert shown.returncode == 0, shown.stdout
    assert "allowed to change layouts: kim" in shown.stdout
    assert "hides knees: Knee box\n" in shown.stdout


def test_a_second_install_changes_nothing_at_all(root: Path, layout: Path) -> None:
    install(root, layout, "--caregiver", "kim")
    before = tree(root)

    said = install(root, layout, "--caregiver", "kim")
    assert said == "Nothing to install: all is as it should be.\n"
    assert install(root) == said  # the layout is remembered
    assert tree(root) == before


def test_what_a_caregiver_has_changed_is_not_written_over(root: Path, layout: Path) -> None:
    install(root, layout)
    changed = root / "etc/remapd/layouts/harbour.yaml"
    changed.write_text(LAYOUT.replace("south", "east"))

    install(root, layout)

    assert "east" in changed.read_text()


def test_what_was_damaged_is_mended(root: Path, layout: Path) -> None:
    install(root, layout)
    unit = root / "etc/systemd/system/remapd.service"
    unit.write_text(unit.read_text().replace("Restart=always", "Restart=no"))
    (root / "etc/udev/rules.d/60-remapd-uinput.rules").unlink()
    assert service("show", "--root", root).returncode == 1

    said = install(root)

    assert "change /etc/systemd/system/remapd.service" in said
    assert "write /etc/udev/rules.d/60-remapd-uinput.rules" in said
    assert "Restart=always" in unit.read_text()
    assert service("show", "--root", root).returncode == 0


def test_removed_nothing_is_left_but_the_layouts_and_the_account(root: Path, layout: Path) -> None:
    before = set(tree(root))
    install(root, layout, "--caregiver", "kim")

    done = service("remove", "--root", root, "--yes")

    assert done.returncode == 0, done.stderr
    left = {name for name in set(tree(root)) - before if not (root / name).is_dir()}
    assert {name for name in left if name.startswith("etc/remapd/layouts/")} == {
        "etc/remapd/layouts/harbour.yaml",
        "etc/remapd/layouts/harbour.trials.yaml",
        "etc/remapd/layouts/devices/knees.yaml",
    }
    assert all(name.startswith("etc/remapd/layouts/") or "remapd" not in name for name in left)
    again = service("remove", "--root", root, "--yes")
    assert again.stdout == "Nothing to remove: all is as it should be.\n"


def test_removed_with_everything_even_those_are_gone(root: Path, layout: Path) -> None:
    install(root, layout)

    assert service("remove", "--root", root, "--yes", "--everything").returncode == 0

    assert [name for name in tree(root) if "remapd" in name] == []
    assert "etc/sysusers.d" not in tree(root)  # Debian's systemd has none
    assert System(root).user("remapd") is None
    assert System(root).group("remapd") is None
    assert System(root).group("remapd-devices") is None


def test_nothing_happens_unasked(root: Path, layout: Path) -> None:
    before = tree(root)

    done = service("install", "--root", root, layout)

    assert done.returncode == 1
    assert "add --yes" in done.stderr
    assert "write /etc/systemd/system/remapd.service" in done.stdout  # it says what it would do
    assert tree(root) == before


@pytest.mark.parametrize(("answer", "code"), [("n", 1), ("", 1), ("y", 0)])
def test_at_a_terminal_it_asks_once(root: Path, answer: str, code: int) -> None:
    before = tree(root)
    master, slave = pty.openpty()
    os.write(master, f"{answer}\n".encode())
    done = subprocess.run(
        [sys.executable, "-m", "remapd", "service", "install", "--root", str(root)],
        cwd=CHECKOUT,
        check=False,
        capture_output=True,
        text=True,
        stdin=slave,
        timeout=120,
    )
    os.close(slave)
    os.close(master)

    assert done.returncode == code, done.stderr
    assert done.stdout.count("Go on?") == 1
    assert (tree(root) == before) is (code == 1)


def test_a_layout_with_errors_is_refused_before_anything_is_done(root: Path, layout: Path) -> None:
    layout.write_text(LAYOUT.replace("south", "sooth"))
    before = tree(root)

    done = service("install", "--root", root, "--yes", layout)

    assert done.returncode == 1
    assert "sooth" in done.stderr
    assert tree(root) == before


def test_a_user_who_does_not_exist_is_told_and_a_later_run_goes_on(root: Path) -> None:
    done = service("install", "--root", root, "--yes", "--caregiver", "lee")
    assert done.returncode == 1
    assert "no user `lee`" in done.stderr

    assert "switch the service on" in install(root, "--caregiver", "kim")


def test_the_copy_runs_by_itself_and_knows_the_shipped_files(root: Path) -> None:
    """As far as the place is one that the service could not see; else nothing is copied."""
    install(root)
    if not (root / str(HOME)[1:]).exists():
        assert hidden_from_service(Path(sys.executable).resolve()) is None
        pytest.skip("this Python and checkout are in a place that the service can see")
    # the script's first line names /opt/remapd, so its own Python is named here
    python = root / "opt/remapd/bin/python"
    code = (
        "import remapd, evdev, uinput, yaml, watchdog; from remapd.upkeep.shipped import folder;"
        "print(remapd.__file__, folder())"
    )
    done = subprocess.run(
        [python, "-I", "-c", code], check=True, capture_output=True, text=True, cwd="/"
    )
    for place in done.stdout.split():
        assert Path(place).is_relative_to(root / "opt/remapd")
    form = subprocess.run(
        [python, "-I", "-m", "remapd", "--version"],
        check=True,
        capture_output=True,
        text=True,
        env={name: value for name, value in os.environ.items() if name != PURE},
        cwd="/",
    )
    expected = "pure Python" if why_pure() else "compiled"
    assert form.stdout.strip().endswith(expected)
    for path in (root / "opt").rglob("*"):
        assert path.is_symlink() or path.stat().st_mode & 0o022 == 0, path


def test_a_folder_that_is_not_ours_is_never_replaced(root: Path) -> None:
    theirs = root / "opt/remapd"
    theirs.mkdir(parents=True)
    (theirs / "mine.txt").write_text("keep")

    done = service("install", "--root", root, "--yes")
    if "copy remapd" not in done.stdout:
        pytest.skip("this Python and checkout are in a place that the service can see")

    assert done.returncode == 1
    assert "move it away first" in done.stderr
    assert (theirs / "mine.txt").read_text() == "keep"


def verified(words: Sequence[str], environment: dict[str, str] | None = None) -> str:
    done = subprocess.run(
        words,
        check=False,
        capture_output=True,
        text=True,
        env=os.environ | (environment or {}),
        timeout=60,
    )
    return done.stdout + done.stderr


def test_the_installed_units_verify_in_silence(root: Path, tmp_path: Path) -> None:
    if shutil.which("systemd-analyze") is None:
        pytest.skip("systemd-analyze is not on this machine")
    install(root)
    command = tmp_path / "remapd"
    command.write_text("#!/bin/sh\n")
    command.chmod(0o755)
    for place, name, manner in (
        ("system", "remapd.service", []),
        ("user", "remapd.service", ["--user"]),
    ):
        text = (root / "etc/systemd" / place / name).read_text()
        unit = tmp_path / f"{place}-unit" / name
        unit.parent.mkdir()
        started = next(line for line in text.splitlines() if line.startswith("ExecStart="))
        program = started.removeprefix("ExecStart=").split()[0]
        unit.write_text(text.replace(program, str(command)))  # that which is there on this machine
        words = ["systemd-analyze", *manner, "verify", "--man=no", str(unit)]
        assert verified(words, {"XDG_RUNTIME_DIR": str(tmp_path)}) == ""
