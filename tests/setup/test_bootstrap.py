"""The set-up of a fresh checkout: when it acts, what it says, and that it never loops."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from remapd import bootstrap
from remapd.bootstrap import Purpose
from remapd.compiling.environment import home, write_failure
from remapd.compiling.finder import PURE

CHECKOUT = Path(__file__).parents[2]


@pytest.fixture
def checkout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A checkout with a project file and nothing else."""
    (tmp_path / "pyproject.toml").write_text('[project]\ndependencies = ["pyyaml>=6", "evdev"]\n')
    monkeypatch.setattr(bootstrap, "CHECKOUT", tmp_path)
    monkeypatch.delenv("REMAPD_VENV", raising=False)
    return tmp_path


def finished_environment(checkout: Path, purpose: Purpose) -> Path:
    """An environment as a completed set-up leaves it."""
    environment = checkout / ".venv"
    (environment / "bin").mkdir(parents=True)
    (environment / "bin" / "python").write_text("")
    bootstrap.write_stamp(environment, purpose)
    return environment


def test_a_finished_environment_serves_its_purpose_and_the_lesser_ones(checkout: Path) -> None:
    environment = finished_environment(checkout, Purpose.DEVICES)

    assert bootstrap.is_ready(environment, Purpose.DEVICES)
    assert not bootstrap.is_ready(environment, Purpose.TESTS)


def test_an_unfinished_environment_is_not_ready(checkout: Path) -> None:
    environment = finished_environment(checkout, Purpose.TESTS)
    (environment / bootstrap.STAMP).unlink()

    assert not bootstrap.is_ready(environment, Purpose.DEVICES)


def test_a_changed_project_file_asks_for_a_new_set_up(checkout: Path) -> None:
    environment = finished_environment(checkout, Purpose.TESTS)
    with (checkout / "pyproject.toml").open("a") as project:
        project.write("# one more library\n")

    assert not bootstrap.is_ready(environment, Purpose.TESTS)


def test_a_moved_checkout_asks_for_a_new_set_up(checkout: Path) -> None:
    environment = finished_environment(checkout, Purpose.TESTS)
    stamp = json.loads((environment / bootstrap.STAMP).read_text())
    stamp["checkout"] = "/somewhere/else"
    (environment / bootstrap.STAMP).write_text(json.dumps(stamp))

    assert not bootstrap.is_ready(environment, Purpose.TESTS)


@pytest.mark.parametrize("target", ["python3.99", "no-such-python"])
def test_another_system_python_asks_for_a_new_set_up(checkout: Path, target: str) -> None:
    """After an upgrade of the system the link leads to a newer Python, or to none."""
    environment = finished_environment(checkout, Purpose.TESTS)
    (checkout / "python3.99").write_text("")
    (environment / "bin" / "python").unlink()
    (environment / "bin" / "python").symlink_to(checkout / target)

    assert not bootstrap.is_ready(environment, Purpose.TESTS)


def test_recordings_alone_suffice_until_a_compiler_comes(
    checkout: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    environment = finished_environment(checkout, Purpose.RECORDINGS)

    monkeypatch.setattr(bootstrap, "missing_to_compile", lambda: ["gcc"])
    assert bootstrap.is_ready(environment, Purpose.DEVICES)
    assert not bootstrap.is_ready(environment, Purpose.TESTS)

    monkeypatch.setattr(bootstrap, "missing_to_compile", list)
    assert not bootstrap.is_ready(environment, Purpose.DEVICES)


def test_the_compiled_form_is_begun_in_the_background_where_it_is_missing(
    checkout: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv(PURE, raising=False)
    environment = finished_environment(checkout, Purpose.DEVICES)
    (environment / "lib").mkdir()
    # a Python that never ends, and says what it was started with
    os.mkfifo(checkout / "told")
    (environment / "bin" / "python").write_text('#!/bin/sh\necho "$*" > told; exec sleep 60\n')
    (environment / "bin" / "python").chmod(0o755)

    bootstrap.compile_beside(environment)

    assert (checkout / "told").read_text() == "-m remapd.compiling --beside\n"
    assert "compiling what every press goes through" in capsys.readouterr().err
    with pytest.raises(ChildProcessError):
        os.waitpid(-1, os.WNOHANG)  # it is nobody's child here: no one has to wait for it


@pytest.mark.parametrize(
    ("purpose", "variables", "failed"),
    [
        (Purpose.RECORDINGS, {}, False),
        (Purpose.DEVICES, {PURE: "1"}, False),
        (Purpose.DEVICES, {}, True),
    ],
)
def test_it_is_not_begun_where_it_cannot_be_made_or_is_not_wanted(
    checkout: Path,
    monkeypatch: pytest.MonkeyPatch,
    purpose: Purpose,
    variables: dict[str, str],
    failed: bool,
) -> None:
    monkeypatch.delenv(PURE, raising=False)
    for name, value in variables.items():
        monkeypatch.setenv(name, value)
    environment = finished_environment(checkout, purpose)
    home(environment).mkdir(parents=True)
    if failed:
        write_failure(environment, "no network")
    monkeypatch.setattr("os.fork", pytest.fail)

    bootstrap.compile_beside(environment)


def test_missing_packages_are_named_in_one_line_that_can_be_typed(
    checkout: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(bootstrap, "root_prefix", lambda: None)
    monkeypatch.setattr("shutil.which", lambda program: f"/usr/bin/{program}")
    monkeypatch.setattr(bootstrap, "missing_to_make_environment", lambda: ["python3-venv"])
    monkeypatch.setattr(bootstrap, "missing_to_compile", lambda: ["gcc"])

    with pytest.raises(SystemExit) as ended:
        bootstrap.enter_for_tests(["qemu-system-x86"])

    assert ended.value.code == 1
    assert capsys.readouterr().err.splitlines()[-1] == (
        "remapd: system packages are missing; "
        "type: sudo apt-get install -y python3-venv gcc qemu-system-x86"
    )
    assert not (checkout / ".venv").exists()


def test_a_folder_that_cannot_be_written_is_told_before_anything_is_installed(
    checkout: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("os.access", lambda *_: False)
    monkeypatch.setattr(bootstrap, "run_quietly", pytest.fail)

    with pytest.raises(SystemExit) as ended:
        bootstrap.enter_for_tests([])

    assert ended.value.code == 1
    assert f"{checkout}/.venv cannot be written" in capsys.readouterr().err


def test_an_old_python_is_refused_by_its_version(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(bootstrap, "OLDEST_PYTHON", (9, 99))

    with pytest.raises(SystemExit) as ended:
        bootstrap.enter_for_use()

    assert ended.value.code == 1
    assert "needs Python 9.99 or newer" in capsys.readouterr().err


def test_the_requirement_for_recordings_is_the_one_of_the_project(checkout: Path) -> None:
    assert bootstrap.requirement("pyyaml") == "pyyaml>=6"


def test_an_environment_whose_python_leads_elsewhere_is_no_endless_loop(tmp_path: Path) -> None:
    """The `exec` comes back outside the environment: it must be told, not tried again."""
    environment = tmp_path / "environment"
    (environment / "bin").mkdir(parents=True)
    (environment / "bin" / "python").symlink_to(Path(sys.executable).resolve())
    version = f"python{sys.version_info.major}.{sys.version_info.minor}"
    (environment / "lib" / version).mkdir(parents=True)
    bootstrap.write_stamp(environment, Purpose.TESTS)

    done = subprocess.run(
        [sys.executable, "remapd", "--version"],
        cwd=CHECKOUT,
        env={**os.environ, "REMAPD_VENV": str(environment)},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )

    assert done.returncode == 1
    assert "is broken" in done.stderr
