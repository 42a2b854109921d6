"""The test's end of a game that reads a pad through SDL2 (`sdl_game.py`, a process of its own)."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.support.source_devices import WAIT_S

GAME = Path(__file__).with_name("sdl_game.py")
REST = dict.fromkeys(
    (
        *("a", "b", "x", "y", "back", "guide", "start", "leftstick", "rightstick"),
        *("leftshoulder", "rightshoulder", "dpup", "dpdown", "dpleft", "dpright"),
        *("leftx", "lefty", "rightx", "righty", "lefttrigger", "righttrigger"),
    ),
    0,
)


class SdlGame:
    """The game's process; `state` is all that it reads of the pad now."""

    def __init__(self, name: str, *mapping: str, **environment: str) -> None:
        self._process = subprocess.Popen(
            [sys.executable, str(GAME), name, *mapping],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            env=os.environ | {"PYTHONWARNINGS": "ignore"} | environment,
        )
        self.greeting = self._line()

    def _line(self) -> Any:
        assert self._process.stdout is not None
        return json.loads(self._process.stdout.readline())

    def rumble(self, strong: int, weak: int, length_ms: int) -> None:
        """Lets the controller rumble."""
        self.look(f"{strong} {weak} {length_ms}")

    def look(self, order: str = "") -> dict[str, Any]:
        """The game's next turn: `state`, `presses`, `attached` and `elsewhere`."""
        assert self._process.stdin is not None
        self._process.stdin.write(f"{order}\n")
        self._process.stdin.flush()
        seen: dict[str, Any] = self._line()
        return seen

    def state(self) -> dict[str, int]:
        """All buttons and axes."""
        state: dict[str, int] = self.look()["state"]
        return state

    def until(self, reached: Callable[[dict[str, Any]], Any]) -> dict[str, Any]:
        """Looks until what it sees is as `reached` wants it, and gives it."""
        deadline = time.monotonic() + WAIT_S
        while not reached(seen := self.look()):
            assert time.monotonic() < deadline, f"SDL still sees {seen}"
        return seen

    def comes_to_read(self, expected: dict[str, int]) -> None:
        """All of the state, so that what must not move is checked as well."""
        deadline = time.monotonic() + WAIT_S
        while (state := self.state()) != REST | expected:
            assert time.monotonic() < deadline, f"SDL reads {state}, not {expected}"

    def close(self) -> None:
        """Ends the game."""
        self._process.communicate()
