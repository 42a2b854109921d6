"""The one command that checks everything: `python3 tests/check.py [STEP...]`.

In a fresh checkout it first sets itself up. The kernel tests run on this machine's own kernel where
it lets us make devices, else in a VM; the last lines say what ran where.
"""

import argparse
import atexit
import contextlib
import json
import os
import platform
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from xml.etree import ElementTree

CHECKOUT = Path(__file__).resolve().parent.parent
if __name__ == "__main__":
    sys.path[0] = str(CHECKOUT)  # instead of tests/, whose folders must not stand as packages

from remapd.bootstrap import SetupError, enter_for_tests, install_system_packages
from remapd.compiling.making import MakingFailed, make
from tests.support import browser
from tests.support.uinput_here import reason_no_uinput, reason_not_here
from tests.vm.debian_kernel import VmUnavailableError
from tests.vm.programs import missing_packages
from tests.vm.run import run_in_vm

# Boot, import and every kernel test, on a slow machine without KVM.
VM_LIMIT_S = 1500.0


@dataclass(frozen=True)
class Outcome:
    """What one step came to."""

    succeeded: bool
    passed: int = 0
    failed: int = 0
    skipped: int = 0
    place: str = ""
    """Where its tests ran; empty for a step without tests."""

    def describe(self) -> str:
        """As in `12 passed, 1 failed`; empty for a step without tests."""
        if not self.place:
            return ""
        return counts(self.passed, self.failed, self.skipped)


def main() -> int:
    """Run the chosen steps, all when none is named, and sum up."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("steps", nargs="*", metavar="STEP", help=f"of: {', '.join(STEPS)}")
    parser.add_argument("--outcome", type=Path, metavar="FILE", help="of a single step, as JSON")
    options = parser.parse_args()
    chosen = options.steps or list(STEPS)
    unknown = [name for name in chosen if name not in STEPS]
    if unknown:
        parser.error(f"no step is called {', '.join(unknown)}; there are: {', '.join(STEPS)}")
    enter_for_tests(missing_packages() if reason_no_uinput() else [])
    install_browser()

    os.chdir(CHECKOUT)
    os.environ["PATH"] = os.pathsep.join([f"{sys.prefix}/bin", os.environ.get("PATH", os.defpath)])
    started = time.monotonic()
    outcomes: dict[str, Outcome] = {}
    lines = []
    beside = None
    for name in chosen:
        print(f"== {name}", flush=True)
        step_started = time.monotonic()
        if name == "tests" and "kernel" in chosen and two_at_once():
            print("the kernel tests run beside these, and are shown after them", flush=True)
            beside = Beside("kernel")
        with beside if name == "kernel" and beside else contextlib.nullcontext(STEPS[name]) as run:
            outcomes[name] = outcome = run()
        verdict = "ok" if outcome.succeeded else "FAILED"
        seconds = time.monotonic() - step_started
        lines.append(f"{name:<8} {verdict:<6} {seconds:7.1f} s   {outcome.describe()}".rstrip())
        print(lines[-1], flush=True)
    if options.outcome:  # a part of another run, which sums up
        options.outcome.write_text(json.dumps(asdict(outcomes[chosen[-1]])))
        return 0
    return sum_up(outcomes, lines, time.monotonic() - started)


def two_at_once() -> bool:
    """Whether the kernel tests can run while the others do: in a VM, which takes one processor."""
    return len(os.sched_getaffinity(0)) > 1 and reason_not_here() is not None


class Beside:
    """A step that runs in a process of its own while others do; what it says is shown later."""

    def __init__(self, step: str) -> None:
        self._step = step
        self._folder = tempfile.TemporaryDirectory()
        self._outcome = Path(self._folder.name) / "outcome.json"
        self._said = Path(self._folder.name) / "said"
        words = [sys.executable, __file__, step, "--outcome", str(self._outcome)]
        with self._said.open("wb") as said:
            self._process = subprocess.Popen(
                words,
                stdin=subprocess.DEVNULL,
                stdout=said,
                stderr=subprocess.STDOUT,
                start_new_session=True,  # a Ctrl-C comes once, from us
            )
        atexit.register(self._end)

    def __enter__(self) -> Callable[[], Outcome]:
        return self._wait

    def __exit__(self, *failure: object) -> None:
        self._end()

    def _wait(self) -> Outcome:
        """Shows what it has said and says from now on, up to its end."""
        with self._said.open(errors="replace") as said:
            ended = False
            while not ended:
                ended = self._process.poll() is not None
                for line in said:
                    print(line, end="", flush=True)
                if not ended:
                    time.sleep(1)
        if not self._outcome.exists():
            code = self._process.returncode
            return Outcome(succeeded=False, place=f"- they ended early, exit code {code}")
        return Outcome(**json.loads(self._outcome.read_text()))

    def _end(self) -> None:
        if self._process.poll() is None:
            self._process.send_signal(signal.SIGINT)  # as Ctrl-C does: it ends its VM
            self._process.wait()
        self._folder.cleanup()


def sum_up(outcomes: dict[str, Outcome], lines: list[str], seconds: float) -> int:
    """Print every step again, then where the tests ran, then the totals; return the exit code."""
    print("\n== summary")
    print("\n".join(lines))
    for name, title in (
        ("tests", "other tests"),
        ("compiled", "tests of the compiled form"),
        ("kernel", "kernel tests"),
    ):
        if name in outcomes:
            outcome = outcomes[name]
            print(f"{title}: {outcome.describe()} {outcome.place}")
        else:
            print(f"{title}: not asked for")
    # A failed step that counts no failed test, such as lint, is one failure in the total.
    failed = sum(o.failed or int(not o.succeeded) for o in outcomes.values())
    passed = sum(o.passed for o in outcomes.values())
    skipped = sum(o.skipped for o in outcomes.values())
    print(f"{counts(passed, failed, skipped)} in {seconds:.1f}s", flush=True)
    return 1 if failed else 0


def counts(passed: int, failed: int, skipped: int) -> str:
    """As pytest words it, with skipped ones only where there are any."""
    return f"{passed} passed, {failed} failed" + (f", {skipped} skipped" if skipped else "")


# ---------------------------------------------------------------- the steps


def check_format() -> Outcome:
    """Is every file as the formatter would write it?"""
    return call([sys.executable, "-m", "ruff", "format", "--check", "."])


def check_lint() -> Outcome:
    """Does the linter find nothing?"""
    return call([sys.executable, "-m", "ruff", "check", "--quiet", "--output-format=concise", "."])


def check_types() -> Outcome:
    """Do the types agree, strictly?"""
    return call([sys.executable, "-m", "mypy"])


def check_imports() -> Outcome:
    """Does every import go in the one direction of pyproject.toml?"""
    return call(["lint-imports", "--no-logo"])


def install_browser() -> None:
    """Install the browser that looks at our pages, where it may be; else their tests are skipped.

    Not on Ubuntu, whose package is a stand-in for a snap.
    """
    if browser.program() or platform.freedesktop_os_release().get("ID") != "debian":
        return
    try:
        install_system_packages(["chromium"])
    except SetupError as error:
        print(f"no browser for the tests of pages: {error}", flush=True)


def run_tests() -> Outcome:
    """All tests that need no kernel of their own."""
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "tests.xml"
        code = call_code(pytest_words("tests", "not kernel", report))
        return read_report(report, code, f"on this machine, {python_here()}")


def run_tests_compiled() -> Outcome:
    """The tests of the engine and what is near it, with the compiled form."""
    with tempfile.TemporaryDirectory() as folder:
        try:
            make_compiled_form()
        except MakingFailed as error:
            return Outcome(succeeded=False, place=f"- it could not be compiled: {error}")
        report = Path(folder) / "compiled.xml"
        words = pytest_words(TESTS_OF_COMPILED[0], "not kernel", report)
        form = {"REMAPD_TESTS_FORM": "compiled"}
        code = call_code([*words, *TESTS_OF_COMPILED[1:]], form)
        return read_report(report, code, f"in the compiled form, {python_here()}")


def make_compiled_form() -> None:
    """Put the compiled form into the environment, where the daemon under test takes it from.

    Raises:
        MakingFailed: why it could not be made.
    """
    started = time.monotonic()
    make(Path(sys.prefix), CHECKOUT)
    seconds = time.monotonic() - started
    if seconds > 1:
        print(f"the compiled form was made in {seconds:.0f} s", flush=True)


def run_kernel_tests() -> Outcome:
    """The tests in tests/kernel, on this machine's kernel or in a VM, in the compiled form."""
    try:
        make_compiled_form()
    except MakingFailed as error:
        # one of the tests asks for it, and fails; the others are worth running all the same
        print(f"kernel tests: the daemon runs in pure Python: {error}", flush=True)
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "kernel.xml"
        reason = reason_not_here()
        if reason is None:
            os.environ["REMAPD_KERNEL_TESTS"] = "required"
            code = call_code(pytest_words("tests/kernel", "kernel", report))
            return read_report(report, code, f"on this machine's own Linux {os.uname().release}")
        print(f"kernel tests: in a VM, because {reason}", flush=True)
        words = ["python", *pytest_words("tests/kernel", "kernel", report)[1:]]
        try:
            code = run_in_vm(words, timeout_s=VM_LIMIT_S, results=Path(folder))
        except VmUnavailableError as error:
            print(f"vm: {error}", file=sys.stderr)
            return Outcome(succeeded=False, place=f"- they could not run: {error}")
        return read_report(report, code, f"on {(Path(folder) / 'place').read_text()}")


#: What is run with the compiled form: all that goes through the modules that are compiled.
TESTS_OF_COMPILED = (
    *("tests/compiled", "tests/language", "tests/standards", "tests/property/test_laws.py"),
    *("tests/property/test_pad_law.py", "tests/property/test_merge_model.py"),
    *("tests/unit/engine", "tests/unit/kernel", "tests/unit/recording", "tests/unit/daemon"),
)

STEPS: dict[str, Callable[[], Outcome]] = {
    "format": check_format,
    "lint": check_lint,
    "types": check_types,
    "imports": check_imports,
    "tests": run_tests,
    "compiled": run_tests_compiled,
    "kernel": run_kernel_tests,
}


def call(words: list[str]) -> Outcome:
    """Run a checking program; its exit code is the outcome."""
    return Outcome(succeeded=call_code(words) == 0)


def call_code(words: list[str], environment: Mapping[str, str] | None = None) -> int:
    """Run a program with our own output and return its exit code."""
    variables = os.environ | (environment or {})
    return subprocess.run(words, check=False, stdin=subprocess.DEVNULL, env=variables).returncode


def pytest_words(folder: str, marked: str, report: Path) -> list[str]:
    """The command that runs the tests so marked and writes its counts to `report`."""
    return [sys.executable, "-m", "pytest", folder, "-q", "-m", marked, f"--junit-xml={report}"]


def read_report(report: Path, code: int, place: str) -> Outcome:
    """Turn pytest's report into an outcome; no report, or no test at all, is a failure."""
    if not report.exists():
        return Outcome(succeeded=False, place=f"{place} - they ended early, exit code {code}")
    suite = ElementTree.parse(report).getroot().find("testsuite")  # noqa: S314 - our own report
    number = {} if suite is None else {key: int(suite.get(key, 0)) for key in COUNTED}
    failed = number.get("failures", 0) + number.get("errors", 0)
    skipped = number.get("skipped", 0)
    passed = number.get("tests", 0) - failed - skipped
    return Outcome(code == 0 and passed > 0, passed, failed, skipped, place)


COUNTED = ("tests", "failures", "errors", "skipped")


def python_here() -> str:
    """As in `Debian GNU/Linux 12 (bookworm), Python 3.11.2`."""
    lines = Path("/etc/os-release").read_text().splitlines()
    fields = dict(line.split("=", 1) for line in lines if "=" in line)
    name = fields.get("PRETTY_NAME", "Linux").strip('"')
    return f"{name}, Python {sys.version.split()[0]}"


if __name__ == "__main__":
    sys.exit(main())
