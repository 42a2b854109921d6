"""A command that runs until it is told to end does end, whatever Python was doing just then."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from remapd.cli import main as command_line
from remapd.cli.ending import ended_in_order
from remapd.cli.live_link import LiveLink
from remapd.cli.main import INTERRUPTED
from tests.support.layouts import HARBOUR

#: The program as it is installed, once Python itself is up.
_BEGIN = """
import sys
from remapd.cli.begin import main
print("begins", flush=True)
sys.exit(main())
"""
SIGNALS = [signal.SIGINT, signal.SIGTERM, signal.SIGHUP]


@pytest.mark.parametrize("number", SIGNALS)
def test_a_signal_ends_it_as_ctrl_c_does(number: signal.Signals) -> None:
    before = signal.getsignal(number)

    with pytest.raises(KeyboardInterrupt), ended_in_order():
        os.kill(os.getpid(), number)
    assert signal.getsignal(number) == before


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
@pytest.mark.parametrize("number", SIGNALS)
def test_one_that_came_during_a_destructor_is_noticed_at_the_next_look(
    number: signal.Signals,
) -> None:
    class Closing:
        def __del__(self) -> None:
            os.kill(os.getpid(), number)

    with ended_in_order() as is_told_to_end:
        link = LiveLink("nobody", (), is_told_to_end=is_told_to_end)
        assert not is_told_to_end()
        closing = Closing()
        del closing  # Python drops the exception
        with pytest.raises(KeyboardInterrupt):
            link.messages(0.0)


def test_ctrl_c_while_a_class_is_made_is_one(monkeypatch: pytest.MonkeyPatch) -> None:
    class Field:
        def __set_name__(self, owner: type, name: str) -> None:
            raise KeyboardInterrupt

    def load(words: list[str]) -> int:
        return len(type("Layout", (), {"verbs": Field()}).__name__) + len(words)

    monkeypatch.setattr(command_line, "dispatch", load)
    assert command_line.main(["check"]) == INTERRUPTED


@pytest.mark.parametrize("words", [["run", "harbour.yaml"], ["check", "harbour.yaml"]])
def test_ctrl_c_while_it_is_being_loaded_shows_no_traceback(
    tmp_path: Path, words: list[str]
) -> None:
    """The whole group is sent it, as by a terminal; at any time, so here at twelve."""
    (tmp_path / "harbour.yaml").write_text(HARBOUR)
    kept = str(tmp_path / "kept")
    environment = os.environ | {"RUNTIME_DIRECTORY": str(tmp_path), "XDG_STATE_HOME": kept}
    for step in range(12):
        process = subprocess.Popen(
            [sys.executable, "-P", "-c", _BEGIN, *words],
            cwd=tmp_path,
            env=environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )
        assert process.stdout is not None
        assert process.stdout.readline() == "begins\n"
        time.sleep(0.01 + 0.04 * step)  # `main` is begun
        with contextlib.suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGINT)
        _, complained = process.communicate(timeout=60)
        assert "Traceback" not in complained
        assert "Error" not in complained
