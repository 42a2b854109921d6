"""`remapd demo` as it is typed: in a terminal, in a pipe, interrupted, and with bad words."""

from __future__ import annotations

import codecs
import fcntl
import os
import pty
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from pathlib import Path

import pytest

from remapd.cli.main import main

CHECKOUT = Path(__file__).parents[2]
WAIT_S = 30.0


def environment(changes: dict[str, str]) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name not in {"NO_COLOR", "TERM"}}
    return {**kept, "TERM": "xterm-256color", "LC_ALL": "C.UTF-8", **changes}


class InTerminal:
    """The demo in a terminal of its own."""

    def __init__(
        self, *words: str, columns: int = 80, changes: dict[str, str] | None = None
    ) -> None:
        ours, its = pty.openpty()
        fcntl.ioctl(its, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
        self.process = subprocess.Popen(
            [sys.executable, "-m", "remapd", "demo", "--no-pad", *words],
            cwd=CHECKOUT,
            env=environment(changes or {}),
            stdin=its,
            stdout=its,
            stderr=its,
        )
        os.close(its)
        self._ours = ours
        self._decode = codecs.getincrementaldecoder("utf-8")().decode
        self.text = ""

    def read_until(self, wanted: str) -> str:
        """Reads until this has been written; fails when the time is up."""
        deadline = time.monotonic() + WAIT_S
        while wanted not in self.text:
            assert time.monotonic() < deadline, self.text
            if select.select([self._ours], [], [], 0.2)[0] and not self._read():
                break
        return self.text

    def end(self) -> int:
        """Reads all that is left, and gives the exit code."""
        while self._read():
            pass
        os.close(self._ours)
        return self.process.wait(WAIT_S)

    def _read(self) -> bool:
        try:
            data = os.read(self._ours, 65536)
        except OSError:  # how Linux says that the other end is closed
            return False
        self.text += self._decode(data)
        return bool(data)


def test_in_a_terminal_it_draws_and_leaves_the_picture_behind() -> None:
    demo = InTerminal("--speed", "100")
    code = demo.end()

    assert code == 0
    drawn, _, left = demo.text.partition("\x1b[?1049l")
    assert drawn.startswith("\x1b[?1049h")
    assert "what the game sees" in left
    assert "27 of 27 s" in left
    assert "run layouts/keyboard.yaml" in left


@pytest.mark.parametrize(
    ("words", "columns", "changes"),
    [
        (["--plain"], 80, {}),
        ([], 80, {"TERM": "dumb"}),
        ([], 80, {"NO_COLOR": "1"}),
        ([], 79, {}),
    ],
)
def test_plain_sentences_where_a_picture_is_not_wanted_or_has_no_room(
    words: list[str], columns: int, changes: dict[str, str]
) -> None:
    demo = InTerminal("--speed", "200", *words, columns=columns, changes=changes)
    code = demo.end()

    assert code == 0
    assert "\x1b" not in demo.text
    assert "left-knee let go: hoist (south) is pressed." in demo.text


def test_in_a_pipe_it_says_each_thing_once_and_ends_with_what_to_do_next(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code = main(["demo", "--no-pad", "--speed", "1000"])

    lines = capsys.readouterr().out.splitlines()
    assert code == 0
    assert lines[0].startswith("A recorded session with layouts/trackball-and-knees.yaml")
    assert lines[1] == "Only shown: no virtual gamepad was asked for."
    assert " 1.0 s  roll moves: steer (left-stick) goes right." in lines
    assert lines[-1].endswith("run layouts/keyboard.yaml")


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_interrupted_it_leaves_the_terminal_as_it_was(number: signal.Signals) -> None:
    demo = InTerminal()
    demo.read_until("what the game sees")
    demo.process.send_signal(number)

    assert demo.end() == 130
    # the cursor is back, then the first screen; xterm's own terminfo adds its title (23)
    assert re.search(r"\x1b\[\?25h\x1b\[\?1049l(\x1b\[23;0;0t)?$", demo.text)
    assert "Traceback" not in demo.text


@pytest.mark.parametrize("word", ["0", "-1", "nan", "inf", "fast", "2000"])
def test_a_speed_that_is_none_is_wrong_usage(word: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["demo", f"--speed={word}"]) == 2
    assert "is not a speed" in capsys.readouterr().err
