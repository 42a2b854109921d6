"""Run a command on a real kernel inside a VM, with this checkout and this Python environment.

    python3 tests/vm/run.py [--timeout SECONDS] [--results FOLDER] -- COMMAND...

The host's files are seen in the guest: read-only, or as a layer that is thrown away. What shall
stay goes into $REMAPD_VM_RESULTS (the folder given by --results). The exit code is the command's;
124 says that the time was up, 125 that the VM could not be had or made ready.
"""

import argparse
import contextlib
import fcntl
import os
import platform
import shlex
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

CHECKOUT = Path(__file__).resolve().parent.parent.parent
if __name__ == "__main__":
    sys.path[0] = str(CHECKOUT)

from tests.vm.debian_kernel import Kernel, VmUnavailableError, cache_folder, fetch_kernel
from tests.vm.programs import missing_packages

TIME_IS_UP = 124
NOT_READY = 125

#: Of a VM whose clock goes by instructions: that of a small computer of today.
NS_PER_INSTRUCTION = 2

# A kernel without KVM boots in 10 to 15 s, with it in 1 to 3 s; one that hangs is given up.
PROBE_LIMIT_S = 30


#: Folders over which the guest's start mounts empty ones (virtme-ng's own init script).
EMPTY_IN_GUEST = ("/tmp", "/run", "/var/tmp", "/var/log", "/var/cache", "/var/lib/apt")


def main() -> int:
    """Read the command line and run the command in a VM."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--timeout", type=float, default=600.0, metavar="SECONDS")
    parser.add_argument("--results", type=Path, metavar="FOLDER", help="writable in the guest")
    parser.add_argument("--memory", default="1G", help="of the guest (default: %(default)s)")
    parser.add_argument("--cpus", type=int, default=1, help="of the guest (default: %(default)s)")
    parser.add_argument("--counted", action="store_true", help="time goes by instructions")
    parser.add_argument("command", nargs=argparse.REMAINDER, metavar="COMMAND")
    options = parser.parse_args()
    command = options.command[1:] if options.command[:1] == ["--"] else options.command
    if not command:
        parser.error("name the command to run in the VM")
    try:
        return run_in_vm(
            command,
            timeout_s=options.timeout,
            results=options.results,
            memory=options.memory,
            cpus=options.cpus,
            counted=options.counted,
        )
    except VmUnavailableError as error:
        print(f"vm: {error}", file=sys.stderr)
        return NOT_READY


def run_in_vm(
    command: Sequence[str],
    *,
    timeout_s: float,
    results: Path | None = None,
    memory: str = "1G",
    cpus: int = 1,
    counted: bool = False,
) -> int:
    """Boot, run `command` in the checkout, stream what it prints.

    Args:
        command: program and arguments, found through the Python environment's bin folder first.
        timeout_s: seconds for boot and command together.
        results: a folder of the host that the guest may write to; a temporary one when None.
        memory: the guest's memory in qemu's notation.
        cpus: the guest's number of processors.
        counted: the guest's clock goes by the instructions that it executes, NS_PER_INSTRUCTION
            each, and not by the time they take: whatever else the machine does has no part in it.

    Returns:
        The command's exit code, TIME_IS_UP or NOT_READY.

    Raises:
        VmUnavailableError: a program, the kernel or virtme-ng is missing.
    """
    cache = made_cache_folder()
    refuse_spaces(CHECKOUT, cache, *([results.absolute()] if results else []))
    launcher = find_launcher()
    kernel = fetch_kernel(cache)
    with only_one_vm(cache), tempfile.TemporaryDirectory(dir=cache, prefix="run-") as temporary:
        kvm = not counted and kvm_works(launcher, kernel, cache)
        manner = "KVM" if kvm else "software emulation"
        place = f"{kernel.distribution} {kernel.release} in a VM ({manner})"
        print(f"vm: booting {place}", flush=True)

        shared = (results or Path(temporary)).absolute()
        shared.mkdir(parents=True, exist_ok=True)
        (shared / "place").write_text(place)
        (shared / "ready").unlink(missing_ok=True)
        # The command goes in a file: the kernel's command line, which would carry it, is short.
        words = ["bash", str(CHECKOUT / "tests/vm/guest.sh"), str(CHECKOUT), sys.prefix]
        script = shared / "command.sh"
        script.write_text(f"exec {shlex.join([*words, str(shared), *command])}\n")
        code = boot(
            [
                *launch_words(launcher, kernel, kvm=kvm),
                *("--memory", memory, "--cpus", str(cpus)),
                *(["--qemu-opts=-icount shift=1"] if counted else []),
                *shared_words(CHECKOUT, Path(sys.prefix)),
                *("--rwdir", str(shared)),
                *("--exec", f"bash {shlex.quote(str(script))}"),
            ],
            timeout_s,
        )
        script.unlink()
        if code == TIME_IS_UP:
            print(f"vm: given up after {timeout_s:.0f} s", file=sys.stderr)
        elif not (shared / "ready").exists():
            print("vm: the guest did not come up", file=sys.stderr)
            return NOT_READY
        return code


def shared_words(checkout: Path, environment: Path) -> list[str]:
    """How the checkout, and an environment outside it, come to be seen in the guest.

    As a throw-away overlay where they can: the guest's start puts empty folders over some of the
    host's, with what an overlay had there, and mounts these two again only if they are shared for
    writing.
    """
    words: list[str] = []
    for folder in (checkout, environment):
        if any(folder.is_relative_to(hidden) for hidden in EMPTY_IN_GUEST):
            if folder == checkout or not folder.is_relative_to(checkout):
                words += ["--rwdir", str(folder)]
        elif folder == checkout:
            words += ["--overlay-rwdir", str(folder)]
    return words


def made_cache_folder() -> Path:
    """The cache folder, made where it was not there.

    Raises:
        VmUnavailableError: it cannot be written.
    """
    cache = cache_folder()
    try:
        cache.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise VmUnavailableError(
            f"{cache} cannot be written ({error.strerror}); "
            "choose another place: REMAPD_TESTS_CACHE=/path/to/folder"
        ) from error
    return cache


def refuse_spaces(*folders: Path) -> None:
    """Stop early where virtme-ng would stumble: it passes folders on through a shell, unquoted.

    Raises:
        VmUnavailableError: a folder has a space or the like in its path.
    """
    for folder in folders:
        if shlex.quote(str(folder)) != str(folder):
            raise VmUnavailableError(
                f"virtme-ng cannot share `{folder}`: it must have a path of plain letters, "
                "digits, dots and dashes, without spaces; move it"
            )


def find_launcher() -> str:
    """The path of virtme-ng's program, after all that it needs has been found.

    Raises:
        VmUnavailableError: something is missing; the text names the packages.
    """
    missing = missing_packages()
    if missing:
        raise VmUnavailableError(f"missing here; type: sudo apt-get install -y {' '.join(missing)}")
    launcher = shutil.which("vng", path=path_of_programs())
    if launcher is None:
        raise VmUnavailableError(
            "the Python package virtme-ng is missing; python3 tests/check.py installs it"
        )
    return launcher


def path_of_programs() -> str:
    """PATH with the environment's programs first: virtme-ng finds its own others by it."""
    return os.pathsep.join([f"{sys.prefix}/bin", os.environ.get("PATH", os.defpath)])


def launch_words(launcher: str, kernel: Kernel, *, kvm: bool) -> list[str]:
    """The part of virtme-ng's command line that every boot has.

    9p because virtiofsd is a package more, no microvm because Debian's kernel lacks its devices.
    """
    words = [launcher, "--run", str(kernel.image), "--force-9p", "--disable-microvm"]
    return [*words, "--user", "root", *([] if kvm else ["--disable-kvm"])]


def kvm_works(launcher: str, kernel: Kernel, cache: Path) -> bool:
    """Whether this machine boots with KVM: asked of a real boot once, then remembered.

    /dev/kvm being there says little: inside a VM of a cloud it may fail at once, or hang.
    """
    if not os.access("/dev/kvm", os.R_OK | os.W_OK):
        return False
    memory = cache / f"kvm-{platform.release()}-{kernel.release}"
    if not memory.exists():
        print("vm: trying KVM (once)", flush=True)
        probe = [*launch_words(launcher, kernel, kvm=True), "--memory", "512M", "--exec", "true"]
        works = boot(probe, PROBE_LIMIT_S, silent=True) == 0
        memory.write_text("works" if works else "fails")
    return memory.read_text() == "works"


def boot(words: list[str], timeout_s: float, *, silent: bool = False) -> int:
    """Run virtme-ng, pass its output on, and end its whole process group when the time is up."""
    # With a terminal or a shared file as output, virtme-ng behaves differently: give it a pipe.
    process = subprocess.Popen(
        words,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        start_new_session=True,
        env=os.environ | {"PATH": path_of_programs()},
    )
    copier = threading.Thread(target=copy_output, args=(process, silent), daemon=True)
    copier.start()
    try:
        code = process.wait(timeout_s)
    except subprocess.TimeoutExpired:
        code = TIME_IS_UP
    finally:
        end_group(process)
    copier.join(timeout=5)
    return code


def copy_output(process: subprocess.Popen[bytes], silent: bool) -> None:
    """Copy what the VM prints to our own output, as it comes."""
    assert process.stdout is not None
    with process.stdout as printed:
        while block := os.read(printed.fileno(), 65536):
            if not silent:
                sys.stdout.buffer.write(block)
                sys.stdout.buffer.flush()


def end_group(process: subprocess.Popen[bytes]) -> None:
    """End virtme-ng and the qemu that it started: politely, then for certain."""
    for number in (signal.SIGTERM, signal.SIGKILL):
        try:
            os.killpg(process.pid, number)
        except ProcessLookupError:
            return
        for _ in range(20):
            if process.poll() is not None and not group_lives(process.pid):
                return
            time.sleep(0.05)


def group_lives(group: int) -> bool:
    """Whether any process of the group is left."""
    try:
        os.killpg(group, 0)
    except ProcessLookupError:
        return False
    return True


@contextlib.contextmanager
def only_one_vm(cache: Path) -> Iterator[None]:
    """Wait for any other VM of these tests: two on one machine disturb each other's timing."""
    with (cache / "lock").open("w") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            print("vm: waiting for another VM of these tests to end", flush=True)
            fcntl.flock(lock, fcntl.LOCK_EX)
        yield


if __name__ == "__main__":
    sys.exit(main())
