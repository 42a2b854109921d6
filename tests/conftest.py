"""For all tests: properties are reproducible, kernel tests never vanish in silence."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from remapd.compiling import finder
from tests.support.uinput_here import reason_not_here

KERNEL_TESTS = Path(__file__).parent / "kernel"
FORM = "REMAPD_TESTS_FORM"  # `compiled`: as tests/check.py compiled runs them; else pure Python
KERNEL_REQUIRED = "REMAPD_KERNEL_TESTS"  # `required`: run them, and let them fail, come what may

# The same examples on every run, so that a red test is red again; `--hypothesis-profile=search`
# looks for new ones. A deadline per example would measure the machine's load.
settings.register_profile("repeatable", derandomize=True, deadline=None)
settings.register_profile("search", max_examples=2000, deadline=None)
settings.load_profile("repeatable")


@pytest.fixture(scope="session", autouse=True)
def _own_state(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What the program keeps of layouts is kept apart from that of whoever runs the tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))
        yield


def choose_form() -> None:
    """Pure Python, in these tests and the programs that they start, unless the other is asked for.

    What is tested must not hang on whether a compiled form happens to lie about.
    """
    if os.environ.get(FORM) != finder.COMPILED_NAME:
        os.environ[finder.PURE] = "1"
        return
    finder.install()
    form = finder.form_in_use()
    if not form.is_compiled:
        pytest.exit(f"no compiled form: {form.why}; {form.mend}", returncode=2)


choose_form()

not_run: list[str] = []
not_run_reason: list[str] = []


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what lies in tests/kernel; skip it, with the reason, where there is no kernel for it."""
    kernel_items = [item for item in items if KERNEL_TESTS in item.path.parents]
    for item in kernel_items:
        item.add_marker(pytest.mark.kernel)


def pytest_collection_finish(session: pytest.Session) -> None:
    """Ask for the kernel only when one of its tests has been chosen."""
    chosen = [item for item in session.items if item.get_closest_marker("kernel")]
    if not chosen or os.environ.get(KERNEL_REQUIRED) == "required":
        return
    reason = reason_not_here()
    if reason is None:
        return
    for item in chosen:
        item.add_marker(pytest.mark.skip(reason=reason))
    not_run.extend(item.nodeid for item in chosen)
    not_run_reason.append(reason)


@pytest.hookimpl(wrapper=True)
def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> Iterator[None]:
    """Say at the end how many kernel tests did not run, and how to run them."""
    yield
    if not_run:
        terminalreporter.write_line(
            f"kernel tests: {len(not_run)} NOT run here ({not_run_reason[0]}); "
            "run them in a VM: python3 tests/check.py kernel",
            yellow=True,
        )
