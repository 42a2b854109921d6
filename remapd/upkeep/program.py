"""Where the program is that the service starts, and a copy of it where the service can see it.

The service is kept out of people's homes, and has a /tmp of its own. A checkout or an environment
there must be copied to a place that it does see: /opt/remapd, an environment of the system's own
Python with the same packages. No network and no compiler is needed for that.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import shlex
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Final

import remapd
from remapd.compiling.finder import available
from remapd.compiling.manifest import INSTALLED, Unusable
from remapd.upkeep import shipped
from remapd.upkeep.system import System, UpkeepFailed

if TYPE_CHECKING:
    from importlib import metadata

HOME: Final = Path("/opt/remapd")
#: Says that the folder was made by us, and of what.
#: Where sudo looks on a system that was left as it came (`secure_path` of sudoers).
_PATH_OF_ROOT: Final = "/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin"
STAMP: Final = "remapd-copy.json"
_HIDDEN: Final = tuple(map(Path, ("/home", "/root", "/run/user", "/tmp", "/var/tmp")))  # noqa: S108
_DISTRIBUTIONS: Final = (("evdev", "evdev-binary"), ("python-uinput",), ("pyyaml",), ("watchdog",))
_SCRIPT: Final = """#!{python} -I
import sys

from remapd.cli.begin import main

sys.exit(main())
"""


def hidden_from_service(path: Path) -> Path | None:
    """The folder in which the service cannot see this path, None where it can."""
    return next((folder for folder in _HIDDEN if path.is_relative_to(folder)), None)


def command_here() -> Path:
    """The `remapd` command of the environment that runs now."""
    return Path(sys.prefix, "bin", "remapd")


def typed_command() -> str:
    """How `remapd` has to be typed here so that it is found, also behind `sudo`."""
    found = shutil.which("remapd", path=_PATH_OF_ROOT)
    here = command_here()
    if found is not None and Path(found).resolve() == here.resolve():
        return "remapd"
    if here.exists():
        return shlex.quote(str(here))
    return f"{shlex.quote(sys.executable)} -m remapd"


def service_command() -> tuple[Path, str]:
    """The command that the service is to start, and why it must be a copy; '' where it need not."""
    here = command_here()
    package = Path(remapd.__file__).resolve()
    python = Path(sys.executable).resolve()
    for what, path in (("the environment", here), ("remapd", package), ("Python", python)):
        if (folder := hidden_from_service(path)) is not None:
            return HOME / "bin/remapd", f"{what} is in {folder}, which the service cannot see"
    if not here.exists():
        return HOME / "bin/remapd", "it was started without being installed"
    return here, ""


class ProgramCopy:
    """The copy in /opt/remapd: whether it is this very program, and making it so."""

    def __init__(self, system: System) -> None:
        self._system = system
        self._home = system.path(HOME)
        self._files = dict(_files_to_copy())

    def is_current(self) -> bool:
        """Whether the copy there is of exactly these files."""
        return _read_stamp(self._home) == self._digest() and (self._home / "bin/remapd").exists()

    def make(self) -> None:
        """Makes it, in place of an older one. Raises UpkeepFailed."""
        if self._home.exists() and _read_stamp(self._home) is None:
            raise UpkeepFailed(
                f"{self._home} is there and was not made by `remapd service install`; "
                "move it away first"
            )
        fresh = self._home.with_name("remapd.new")
        shutil.rmtree(fresh, ignore_errors=True)
        fresh.parent.mkdir(parents=True, exist_ok=True)
        try:
            self._system.run(str(system_python()), "-m", "venv", "--without-pip", str(fresh))
            self._fill(fresh)
        except OSError as error:
            raise UpkeepFailed(f"{fresh} cannot be made: {error.strerror}") from error
        old = self._home.with_name("remapd.old")
        shutil.rmtree(old, ignore_errors=True)
        if self._home.exists():
            self._home.rename(old)  # a service that runs from it keeps its files until it restarts
        fresh.rename(self._home)
        shutil.rmtree(old, ignore_errors=True)

    def _fill(self, fresh: Path) -> None:
        version = f"python{sys.version_info.major}.{sys.version_info.minor}"
        packages = fresh / "lib" / version / "site-packages"
        for inside, source in self._files.items():
            # what stands before the packages' folder, such as `share/...`, is beside it
            target = fresh / inside if inside.parts[0] == "share" else packages / inside
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(source, target)
            target.chmod(0o644)
        for name in ("activate", "activate.csh", "activate.fish", "Activate.ps1"):
            (fresh / "bin" / name).unlink(missing_ok=True)
        script = fresh / "bin/remapd"
        script.write_text(_SCRIPT.format(python=HOME / "bin/python"))
        script.chmod(0o755)
        # the service may not write there, and would read all of it as text at every start
        place = ("-s", str(fresh), "-p", str(HOME))
        python = str(fresh / "bin/python")
        self._system.asked(python, "-I", "-m", "compileall", "-q", *place, str(packages))
        (fresh / STAMP).write_text(json.dumps({"made of": self._digest()}))
        for folder in (fresh, *(each for each in fresh.rglob("*") if each.is_dir())):
            folder.chmod(0o755)

    def _digest(self) -> str:
        digest = hashlib.sha256(f"{sys.version_info[:2]} {_SCRIPT}".encode())
        for inside, source in sorted(self._files.items()):
            digest.update(f"{inside}\0".encode())
            digest.update(hashlib.sha256(source.read_bytes()).digest())
        return digest.hexdigest()


def remove_copy(system: System) -> None:
    """Removes /opt/remapd where it was made by us."""
    home = system.path(HOME)
    if _read_stamp(home) is not None:
        shutil.rmtree(home)


def is_copied(system: System) -> bool:
    """Whether there is a copy of ours."""
    return _read_stamp(system.path(HOME)) is not None


def _read_stamp(home: Path) -> str | None:
    try:
        return str(json.loads((home / STAMP).read_text())["made of"])
    except (OSError, ValueError, KeyError, TypeError):
        return None


def system_python() -> Path:
    """A Python of this version that the service can see. Raises UpkeepFailed."""
    version = f"{sys.version_info.major}.{sys.version_info.minor}"
    base = Path(getattr(sys, "_base_executable", sys.executable)).resolve()
    candidates = [
        base,
        *(Path(folder, f"python{version}") for folder in ("/usr/bin", "/usr/local/bin")),
    ]
    for candidate in candidates:
        if candidate.exists() and hidden_from_service(candidate.resolve()) is None:
            return candidate
    raise UpkeepFailed(
        f"the service cannot see {base}, and this system has no Python {version} of its own; "
        "make the environment with the system's Python: /usr/bin/python3 -m venv"
    )


def _files_to_copy() -> Iterator[tuple[Path, Path]]:
    """Every file that the copy needs: where it belongs, and where it is now."""
    package = Path(remapd.__file__).resolve().parent
    for file in sorted(package.rglob("*")):
        if file.is_file() and "__pycache__" not in file.parts:
            yield Path("remapd", file.relative_to(package)), file
    with contextlib.suppress(Unusable):
        # of a checkout it is kept elsewhere; else it was among the package's own files
        for file in available().files():
            yield Path(INSTALLED, file.name), file
    for file in sorted(shipped.folder().iterdir()):
        yield Path("share/remapd/systemd", file.name), file
    for names in _DISTRIBUTIONS:
        yield from _files_of(_distribution(names))


def _distribution(names: tuple[str, ...]) -> metadata.Distribution:
    from importlib import metadata  # noqa: PLC0415 - takes long, and most commands never need it

    for name in names:
        try:
            return metadata.distribution(name)
        except metadata.PackageNotFoundError:
            continue
    raise UpkeepFailed(f"the Python package {names[0]} is missing in {sys.prefix}")


def _files_of(distribution: metadata.Distribution) -> Iterator[tuple[Path, Path]]:
    for file in distribution.files or []:
        inside = Path(str(file))
        source = Path(str(distribution.locate_file(file)))
        if ".." in inside.parts or "__pycache__" in inside.parts or not source.is_file():
            continue  # a command of the package's own, or what its caches held
        yield inside, source
