"""The command line as a user meets it: exit codes, suggestions, and never a traceback."""

import argparse
import os
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from remapd import __version__
from remapd.cli import main as dispatcher
from remapd.cli.failure import CommandFailed

CHECKOUT = Path(__file__).parents[2]
SESSION = "tests/corpus/harbour.jsonl"


def remapd(*words: str) -> "subprocess.CompletedProcess[str]":
    """Run the real program."""
    return subprocess.run(
        [sys.executable, "-m", "remapd", *words],
        cwd=CHECKOUT,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )


def install(monkeypatch: pytest.MonkeyPatch, raises: BaseException) -> None:
    """Put a command `haul` in the table that ends by raising."""

    def add_arguments(parser: argparse.ArgumentParser) -> None:
        pass

    def run(args: argparse.Namespace) -> int:
        raise raises

    command = SimpleNamespace(add_arguments=add_arguments, run=run)
    monkeypatch.setitem(dispatcher.COMMANDS, "haul", ("remapd.cli.haul", "for this test"))
    monkeypatch.setitem(sys.modules, "remapd.cli.haul", command)


def test_help_lists_every_command_and_succeeds() -> None:
    done = remapd("--help")

    assert done.returncode == 0
    assert done.stderr == ""
    for name, (_, help_line) in dispatcher.COMMANDS.items():
        assert name in done.stdout
        assert help_line in done.stdout


def test_version_is_printed_with_the_form_that_runs() -> None:
    done = remapd("--version")

    assert (0, f"remapd {__version__}, pure Python\n") == (done.returncode, done.stdout)


def test_no_command_at_all_is_wrong_usage_and_shows_the_commands() -> None:
    done = remapd()

    assert done.returncode == 2
    assert "demo" in done.stderr


def test_an_unknown_command_is_wrong_usage_and_suggests_the_nearest() -> None:
    done = remapd("dmeo")

    assert done.returncode == 2
    assert done.stderr.splitlines()[0] == ("remapd: unknown command `dmeo`, did you mean `demo`?")
    assert done.stdout == ""


def test_an_unknown_command_that_is_near_nothing_gets_no_suggestion() -> None:
    done = remapd("zzzz")

    assert done.returncode == 2
    assert done.stderr.splitlines()[0] == "remapd: unknown command `zzzz`"


def test_an_unknown_option_of_a_command_suggests_the_nearest() -> None:
    done = remapd("demo", "--hlep")

    assert done.returncode == 2
    assert "did you mean `--help`" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("name", sorted(dispatcher.COMMANDS))
def test_every_command_of_the_table_explains_itself(name: str) -> None:
    done = remapd(name, "--help")

    assert done.returncode == 0, done.stderr
    assert f"usage: remapd {name}" in done.stdout


def test_every_command_module_is_in_the_table() -> None:
    """A module with a `run` of its own that is not listed could not be reached."""
    folder = CHECKOUT / "remapd" / "cli"
    modules = {
        f"remapd.cli.{path.stem}"
        for path in folder.glob("*.py")
        if "\ndef run(" in path.read_text() and "\ndef add_arguments(" in path.read_text()
    }

    assert modules == {module for module, _ in dispatcher.COMMANDS.values()}


def test_a_failure_is_one_line_and_exit_code_1(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    install(monkeypatch, CommandFailed("no net in the water; lower one"))

    assert dispatcher.main(["haul"]) == 1
    assert capsys.readouterr().err == "remapd: no net in the water; lower one\n"


def test_a_defect_is_told_in_one_line_that_can_be_reported(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv("REMAPD_TRACEBACK", raising=False)
    install(monkeypatch, RuntimeError("two\nlines"))

    assert dispatcher.main(["haul"]) == 1
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 1
    assert "RuntimeError: two lines (test_dispatcher.py:" in lines[0]
    assert "please report" in lines[0]


def test_a_defect_shows_its_traceback_when_asked_to(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("REMAPD_TRACEBACK", "1")
    install(monkeypatch, RuntimeError("adrift"))

    assert dispatcher.main(["haul"]) == 1
    assert "Traceback" in capsys.readouterr().err


def test_an_interrupt_is_quiet_and_gives_130(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    install(monkeypatch, KeyboardInterrupt())

    assert dispatcher.main(["haul"]) == 130
    assert capsys.readouterr().err == ""


def test_a_missing_library_is_named(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setitem(dispatcher.COMMANDS, "haul", ("nowhere_to_be_found", "for this test"))

    assert dispatcher.main(["haul"]) == 1
    assert "needs the Python package `nowhere_to_be_found`" in capsys.readouterr().err


@pytest.mark.parametrize("words", [["--help"], ["demo", "--help"]], ids=" ".join)
def test_a_reader_that_goes_away_is_no_defect(words: list[str]) -> None:
    """As in `remapd --help | head -0`: the pipe is closed before anything is written."""
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run(
        [sys.executable, "-m", "remapd", *words],
        cwd=CHECKOUT,
        env={name: value for name, value in os.environ.items() if name != "PYTHONUNBUFFERED"},
        stdout=writing,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
        timeout=60,
    )
    os.close(writing)

    assert (done.returncode, done.stderr) == (1, "")


def test_the_folder_runs_like_the_module(tmp_path: Path) -> None:
    """`python3 remapd` from elsewhere, in an environment that is ready: the README's command."""
    done = subprocess.run(
        [sys.executable, str(CHECKOUT / "remapd"), "--version"],
        cwd=tmp_path,
        env={**os.environ, "REMAPD_VENV": sys.prefix},
        capture_output=True,
        text=True,
        check=False,
        timeout=600,
    )

    expected = f"remapd {__version__}, pure Python\n"
    assert (0, expected) == (done.returncode, done.stdout), done.stderr


@pytest.mark.parametrize(
    "words", [["--help"], ["check", "layouts/one-switch.yaml"], ["replay", SESSION]]
)
def test_a_full_disk_is_no_mistake_in_remapd(words: list[str]) -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "remapd", *words],
            cwd=CHECKOUT,
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
            timeout=60,
        )

    assert done.returncode == 1
    assert "written" in done.stderr
    assert "No space left on device" in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert "mistake in remapd" not in done.stderr


def test_a_file_on_a_full_disk_is_no_mistake_in_remapd() -> None:
    done = remapd("replay", SESSION, "-o", "/dev/full")

    assert done.returncode == 1
    assert done.stderr == "remapd: /dev/full cannot be written: No space left on device\n"


def test_a_closed_output_ends_nothing() -> None:
    command = 'exec "$0" -m remapd check layouts/one-switch.yaml >&-'
    done = subprocess.run(
        ["sh", "-c", command, sys.executable],
        cwd=CHECKOUT,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
        timeout=60,
    )

    assert (done.returncode, done.stderr) == (0, "")


def test_help_is_a_word_too() -> None:
    assert remapd("help").stdout == remapd("--help").stdout
