"""Makes the compiled form of a checkout, and keeps it in the private environment.

As pip makes a wheel, from a copy of the source and with the tools that it fetches for that; only
the machine code is kept. It takes one processor a minute, and the network.
"""

from __future__ import annotations

import contextlib
import fcntl
import hashlib
import os
import shutil
import signal
import sys
import tempfile
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from remapd.bootstrap import last_line, run_quietly
from remapd.compiling import environment, manifest
from remapd.compiling.manifest import MachineCode, Unusable

#: What a wheel is built from.
_COPIED: Final = ("pyproject.toml", "README.md", "LICENSE", "remapd", "systemd", "layouts", "docs")
_NOT_COPIED: Final = shutil.ignore_patterns("__pycache__", "*.so", "pictures")
#: Imports what the daemon plays with: a form with which that fails is not kept.
_TRIAL: Final = """
import sys
from remapd.compiling import finder
finder.install()
import remapd.engine, remapd.daemon.loop
sys.exit(finder.form_in_use().why or 0)
"""


class MakingFailed(Exception):
    """It could not be made; the text says why, in a clause."""


def make(prefix: Path, root: Path, *, beside: bool = False) -> MachineCode:
    """The compiled form of the source below `root`, made where it is not there yet.

    Waits where another process is making it; one in the background is ended and its work taken
    over, since on a busy machine it may take for ever.

    Args:
        prefix: the folder of the environment.
        root: the checkout.
        beside: in the background, with what of the processor others leave over.

    Raises:
        MakingFailed: what stands in the way; it is also remembered there.
    """
    home = environment.home(prefix)
    try:
        home.mkdir(parents=True, exist_ok=True)
        with _only_one(home, beside=beside):
            with contextlib.suppress(Unusable):
                return environment.read(prefix, root)
            _put_in_place(home, root)
            environment.forget_failure(prefix)
            return environment.read(prefix, root)
    except Unusable as error:  # the source was changed meanwhile: the next start tries again
        raise MakingFailed(str(error)) from error
    except (MakingFailed, OSError) as error:
        with contextlib.suppress(OSError):
            environment.write_failure(prefix, str(error))
        raise MakingFailed(str(error)) from error


def _take_what_is_left_over() -> None:
    os.nice(19)
    with contextlib.suppress(OSError):
        # the kernel weighs whole sessions where they have groups of their own (sched(7))
        Path("/proc/self/autogroup").write_text("19")


def _put_in_place(home: Path, root: Path) -> None:
    _remove_leftovers(home)
    with tempfile.TemporaryDirectory(dir=home, prefix="making-") as work:
        copy = Path(work, "copy")
        _copy_source(root, copy)
        wheel = _build_wheel(copy, Path(work, "wheel"))
        code = copy / manifest.INSTALLED
        with zipfile.ZipFile(wheel) as archive:
            for name in archive.namelist():
                if name.startswith(f"{manifest.INSTALLED}/"):
                    archive.extract(name, copy)
        try:
            if manifest.read(code, copy) is None:
                raise MakingFailed("the wheel has no compiled form in it")
        except Unusable as error:
            raise MakingFailed(str(error).removeprefix("it could not be compiled: ")) from error
        tried = run_quietly([sys.executable, "-P", "-c", _TRIAL], PYTHONPATH=str(copy))
        if tried.returncode != 0:
            raise MakingFailed(f"what was compiled does not load: {last_line(tried)}")
        digest = hashlib.sha256((code / manifest.NAME).read_bytes()).hexdigest()[:16]
        shutil.rmtree(home / digest, ignore_errors=True)
        code.rename(home / digest)
        link = Path(work, "current")
        link.symlink_to(digest)
        link.rename(home / "current")


def _remove_leftovers(home: Path) -> None:
    """All but the form of today, from which a running daemon may still load something."""
    today = (home / "current").resolve()
    for path in home.iterdir():
        if path.is_dir() and not path.is_symlink() and path != today:
            shutil.rmtree(path, ignore_errors=True)


def _copy_source(root: Path, copy: Path) -> None:
    copy.mkdir()
    for name in _COPIED:
        if (root / name).is_dir():
            shutil.copytree(root / name, copy / name, ignore=_NOT_COPIED)
        else:
            shutil.copy(root / name, copy / name)


def _build_wheel(copy: Path, folder: Path) -> Path:
    words = [sys.executable, "-m", "pip", "wheel", "--disable-pip-version-check", "--no-deps"]
    scratch = folder.with_name("scratch")
    scratch.mkdir()
    done = run_quietly([*words, "--wheel-dir", str(folder), str(copy)], TMPDIR=str(scratch))
    wheels = list(folder.glob("*.whl"))
    if done.returncode != 0 or not wheels:
        errors = [line for line in done.stdout.splitlines() if line.startswith("ERROR: ")]
        said = errors[0].removeprefix("ERROR: ") if errors else last_line(done)
        raise MakingFailed(f"pip could not fetch the compiler or run it ({said})")
    return wheels[0]


@contextlib.contextmanager
def _only_one(home: Path, *, beside: bool) -> Iterator[None]:
    """Holds the lock; in it stands the process that may be ended, where it is one."""
    lock = os.open(home / "lock", os.O_RDWR | os.O_CREAT, 0o644)
    try:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            in_background = os.read(lock, 20)
            if in_background and not beside:
                with contextlib.suppress(ProcessLookupError, PermissionError):
                    os.killpg(int(in_background), signal.SIGTERM)
            fcntl.flock(lock, fcntl.LOCK_EX)
        os.truncate(lock, 0)
        if beside:
            os.pwrite(lock, str(os.getpid()).encode(), 0)
            _take_what_is_left_over()
        yield
    finally:
        os.close(lock)
