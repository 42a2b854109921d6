"""Set up a fresh checkout by itself: a private environment, then the real program inside it.

`python3 remapd ...` and `python3 tests/check.py` come through here, started by the system's own
Python with nothing installed. Only the standard library may be used. What takes time is done once;
a stamp in the environment says for which pyproject.toml, interpreter and purpose it was done. The
compiled form (`remapd.compiling`) is made beside what was asked for, which does not wait for it.
"""

import enum
import fcntl
import hashlib
import importlib.util
import json
import os
import shutil
import subprocess
import sys
import sysconfig
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import NoReturn

from remapd.compiling.environment import is_worth_an_attempt
from remapd.compiling.finder import is_pure_wanted

CHECKOUT = Path(__file__).resolve().parent.parent
STAMP = "remapd-setup.json"
ENTERED = "REMAPD_ENTERED"  # set across the one `exec`, so that a broken environment is no loop
OLDEST_PYTHON = (3, 11)


class Purpose(enum.IntEnum):
    """What an environment is good for; each includes those before it."""

    RECORDINGS = 1  # layouts and recorded sessions; no compiler was to be had
    DEVICES = 2  # everything that a user needs
    TESTS = 3  # what the checks need as well


class SetupError(Exception):
    """The set-up cannot go on; the text is one line that says what to do."""


def enter_for_use() -> None:
    """Return inside an environment in which remapd runs; else make it, and start over in it."""
    enter(Purpose.DEVICES, [], before_entering=compile_beside)


def enter_for_tests(missing_packages: list[str]) -> None:
    """Return inside an environment in which the checks run; else make it, and start over in it.

    Args:
        missing_packages: Debian packages that the checks need and this machine lacks.
    """
    enter(Purpose.TESTS, missing_packages)


def enter(
    purpose: Purpose,
    missing_packages: list[str],
    before_entering: Callable[[Path], None] = lambda _: None,
) -> None:
    """Be inside the environment: by returning when we are, by `exec` when we are not."""
    if sys.version_info < OLDEST_PYTHON:
        wanted, found = ".".join(map(str, OLDEST_PYTHON)), sys.version.split()[0]
        stop(f"needs Python {wanted} or newer, this is {found} ({sys.executable})")
    environment = chosen_environment()
    try:
        if missing_packages or not is_ready(environment, purpose):
            with only_one_setup():
                prepare(environment, purpose, missing_packages)
    except SetupError as error:
        if purpose is Purpose.DEVICES and importlib.util.find_spec("yaml"):
            say(f"{error}; until then only recorded sessions can be played")
            return
        stop(str(error))
    except KeyboardInterrupt:
        sys.exit(130)
    came_from_here = os.environ.pop(ENTERED, None) == str(environment)
    if not Path(sys.prefix).samefile(environment):
        if came_from_here:
            stop(f"{environment} is broken: its Python does not use it; remove the folder")
        before_entering(environment)
        os.environ[ENTERED] = str(environment)
        python = str(environment / "bin" / "python")
        os.execv(python, [python, *sys.argv])


def chosen_environment() -> Path:
    """The folder of the environment: REMAPD_VENV, or `.venv` in the checkout."""
    chosen = os.environ.get("REMAPD_VENV")
    return Path(chosen).resolve() if chosen else CHECKOUT / ".venv"


def is_ready(environment: Path, purpose: Purpose) -> bool:
    """Whether the environment's stamp covers this purpose, as cheaply as can be."""
    stamp = read_stamp(environment)
    if stamp.get("checkout") != str(CHECKOUT) or stamp.get("project") != project_digest():
        return False
    reached = stamp.get("purpose")
    if reached == Purpose.RECORDINGS and purpose is Purpose.DEVICES:
        # Enough for recordings: try again only when a compiler has come since.
        return bool(missing_to_compile())
    return isinstance(reached, int) and reached >= purpose


def prepare(environment: Path, purpose: Purpose, missing_packages: list[str]) -> None:
    """Make or mend the environment so that it serves `purpose`.

    Raises:
        SetupError: something is missing that cannot be installed from here.
    """
    if is_ready(environment, purpose) and not missing_packages:
        return  # another set-up, which we waited for, has done it
    say(f"setting up {environment} (once, some minutes at most)")
    if not os.access(nearest_folder(environment), os.W_OK):
        raise SetupError(
            f"{environment} cannot be written; choose another place: REMAPD_VENV=/path/to/folder"
        )
    full = True
    missing = missing_to_make_environment() + missing_to_compile() + missing_packages
    if missing:
        try:
            install_system_packages(missing)
        except SetupError as error:
            if purpose is Purpose.TESTS or missing_to_make_environment():
                raise
            say(f"{error}; until then only recorded sessions can be played")
            full = False

    make_environment(environment)
    if full:
        extra = "[dev]" if purpose is Purpose.TESTS else ""
        try:
            pip_install(environment, ["--editable", f"{CHECKOUT}{extra}"])
        except SetupError as error:
            if purpose is Purpose.TESTS:
                raise
            say(f"{error}; trying without the device libraries, for recorded sessions only")
            full = False
    if not full:
        pip_install(environment, [requirement("pyyaml")])
        purpose = Purpose.RECORDINGS
    write_stamp(environment, purpose)


# ---------------------------------------------------------------- what is missing


def missing_to_make_environment() -> list[str]:
    """The Debian packages without which no environment can be made."""
    found = importlib.util.find_spec("ensurepip") and importlib.util.find_spec("venv")
    return [] if found else ["python3-venv"]


def missing_to_compile() -> list[str]:
    """The Debian packages without which evdev and python-uinput cannot be compiled."""
    compiler = shutil.which("gcc") or shutil.which("cc")
    headers = Path("/usr/include")
    present = {
        "gcc": compiler is not None,
        "libc6-dev": (headers / "stdio.h").exists(),
        "linux-libc-dev": (headers / "linux" / "uinput.h").exists(),
        "python3-dev": (Path(sysconfig.get_paths()["include"]) / "Python.h").exists(),
        "libudev1": any(Path("/usr/lib").glob("**/libudev.so.1")),
    }
    return [package for package, there in present.items() if not there]


# ---------------------------------------------------------------- doing it


def install_system_packages(packages: list[str]) -> None:
    """Install Debian packages, as root or by a sudo that asks nothing.

    Raises:
        SetupError: not allowed to, or apt failed; the text is the line to type.
    """
    by_hand = f"sudo apt-get install -y {' '.join(packages)}"
    as_root = root_prefix()
    if shutil.which("apt-get") is None:
        raise SetupError(f"system packages are missing; on Debian or Ubuntu: {by_hand}")
    if as_root is None:
        raise SetupError(f"system packages are missing; type: {by_hand}")
    say(f"installing system packages: {' '.join(packages)}")
    words = [*as_root, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get"]
    install = [*words, "install", "-y", "--no-install-recommends", *packages]
    # The package lists of a fresh machine are missing or stale; one update mends both.
    if run_quietly(install).returncode == 0:
        return
    run_quietly([*words, "update"])
    installed = run_quietly(install)
    if installed.returncode != 0:
        raise SetupError(f"apt-get failed ({last_line(installed)}); type: {by_hand}")


def root_prefix() -> list[str] | None:
    """What to put before a command so that root runs it; None when we may not."""
    if os.geteuid() == 0:
        return []
    if shutil.which("sudo") and run_quietly(["sudo", "-n", "true"]).returncode == 0:
        return ["sudo", "-n"]
    return None


def make_environment(environment: Path) -> None:
    """Create the environment; a complete one is kept, a broken one of our own is made anew.

    Raises:
        SetupError: Python cannot make an environment.
    """
    ours = environment == CHECKOUT / ".venv"
    stamp = read_stamp(environment)
    usable = (environment / "bin" / "python").exists()
    if usable and (not ours or stamp.get("checkout") == str(CHECKOUT)):
        return
    if environment.exists() and ours:
        shutil.rmtree(environment, ignore_errors=True)
    made = run_quietly([sys.executable, "-m", "venv", str(environment)])
    if made.returncode != 0:
        raise SetupError(f"Python cannot make the environment {environment}: {last_line(made)}")


def nearest_folder(path: Path) -> Path:
    """`path` itself or its nearest parent that exists."""
    return next(folder for folder in (path, *path.parents) if folder.exists())


def pip_install(environment: Path, what: list[str]) -> None:
    """Install into the environment.

    Raises:
        SetupError: pip failed; the text ends with its last words.
    """
    say(f"installing Python packages for {' '.join(what)}")
    python = str(environment / "bin" / "python")
    words = [python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", *what]
    done = run_quietly(words)
    if done.returncode != 0:
        print(done.stdout[-4000:], file=sys.stderr)
        raise SetupError(
            f"pip could not install the Python packages ({last_line(done)}); "
            "is there a network? run the same command again"
        )


def run_quietly(words: Sequence[str], **variables: str) -> "subprocess.CompletedProcess[str]":
    """Run a program with its output kept, both streams in one; 127 when it cannot be started.

    `variables` are for its environment, beside our own.
    """
    try:
        return subprocess.run(
            words,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            errors="replace",
            check=False,
            env=os.environ | variables,
        )
    except OSError as error:
        return subprocess.CompletedProcess(words, 127, f"{words[0]}: {error.strerror}")


def last_line(done: "subprocess.CompletedProcess[str]") -> str:
    """The last line that a program printed that is not empty."""
    lines = [line.strip() for line in done.stdout.splitlines() if line.strip()]
    return lines[-1] if lines else f"exit code {done.returncode}"


def compile_beside(environment: Path) -> None:
    """Begin to make the compiled form where it is missing or outdated, and do not wait for it."""
    if read_stamp(environment).get("purpose") == Purpose.RECORDINGS or is_pure_wanted():
        return
    if not is_worth_an_attempt(environment, CHECKOUT):
        return
    say(
        "compiling what every press goes through, in the background (a minute or two); "
        "it is used from the next start on"
    )
    words = [str(environment / "bin" / "python"), "-m", "remapd.compiling", "--beside"]
    process = os.fork()
    if process == 0:
        # a child of a child that ends: nobody has to wait for it, or is told of its end
        with suppress(OSError):
            subprocess.Popen(
                words,
                cwd=CHECKOUT,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                start_new_session=True,  # a Ctrl-C or a closed terminal is meant for the program
            )
        os._exit(0)
    os.waitpid(process, 0)


# ---------------------------------------------------------------- the stamp


def read_stamp(environment: Path) -> dict[str, object]:
    """What the environment was made for; empty when it is unfinished or its Python has changed."""
    try:
        stamp: dict[str, object] = json.loads((environment / STAMP).read_text())
        python = (environment / "bin" / "python").resolve(strict=True)
    except (OSError, ValueError):
        return {}
    # After an upgrade of the system the link leads to another Python, which looks elsewhere.
    versioned = python.name.startswith("python3.")
    return {} if versioned and not (environment / "lib" / python.name).exists() else stamp


def write_stamp(environment: Path, purpose: Purpose) -> None:
    """Say what the environment is now good for: the last act of a set-up."""
    stamp = {"checkout": str(CHECKOUT), "project": project_digest(), "purpose": int(purpose)}
    (environment / STAMP).write_text(json.dumps(stamp))


def project_digest() -> str:
    """A digest that changes whenever what is to be installed changes."""
    return hashlib.sha256((CHECKOUT / "pyproject.toml").read_bytes()).hexdigest()


def requirement(name: str) -> str:
    """The requirement of that name as pyproject.toml states it."""
    import tomllib  # noqa: PLC0415 - newer than some Pythons that must still get to the error above

    project = tomllib.loads((CHECKOUT / "pyproject.toml").read_text())["project"]
    lines: list[str] = project["dependencies"]
    return next(line for line in lines if line.startswith(name))


@contextmanager
def only_one_setup() -> Iterator[None]:
    """Let a second set-up of the same checkout wait for the first."""
    folder = os.open(CHECKOUT, os.O_RDONLY)
    try:
        fcntl.flock(folder, fcntl.LOCK_EX)
        yield
    finally:
        os.close(folder)


def say(message: str) -> None:
    """Tell the user one line, apart from the program's own output."""
    print(f"remapd: {message}", file=sys.stderr, flush=True)


def stop(message: str) -> NoReturn:
    """Tell the user why it ends here; exit code 1."""
    say(message)
    sys.exit(1)
