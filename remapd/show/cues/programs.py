"""Programs that play, speak and notify: started, never waited for, and given up when they fail."""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Final

#: A program that has not ended by then is ended.
LIMIT_US: Final = 15_000_000
#: One that failed is left alone for so long.
_GIVEN_UP_US: Final = 60_000_000
#: A failure within this time is mended with another program; later nobody expects the cue.
_STILL_WANTED_US: Final = 1_000_000


@dataclass(slots=True)
class _Run:
    process: subprocess.Popen[bytes]
    program: str
    kind: str
    begun_us: int
    failed: Callable[[int], None] = field(repr=False)
    ended: Callable[[bytes], None] = field(repr=False)


class Programs:
    """The programs under way."""

    def __init__(self) -> None:
        self._runs: list[_Run] = []
        self._given_up_us: dict[str, int] = {}

    def usable(self, names: Sequence[str], now_us: int) -> list[str]:
        """Those of the names that are on PATH and did not fail lately."""
        return [
            name
            for name in names
            if shutil.which(name)
            and now_us - self._given_up_us.get(name, -_GIVEN_UP_US) >= _GIVEN_UP_US
        ]

    def forgive(self, name: str) -> None:
        """One that failed may be tried again at once, with other words."""
        self._given_up_us.pop(name, None)

    def running(self, kind: str) -> int:
        """How many of this kind are under way."""
        return sum(run.kind == kind for run in self._runs)

    @property
    def is_idle(self) -> bool:
        """Whether none is under way."""
        return not self._runs

    def start(
        self,
        kind: str,
        words: Sequence[str],
        now_us: int,
        *,
        text: str = "",
        failed: Callable[[int], None] = lambda _now_us: None,
        ended: Callable[[bytes], None] = lambda _output: None,
    ) -> bool:
        """Starts one, with `text` on its standard input; whether it could be started.

        `failed` is called with the time when it ends with an error soon, `ended` with what it wrote
        when it ends well.
        """
        try:
            process = subprocess.Popen(
                list(words),
                stdin=subprocess.PIPE if text else subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                start_new_session=True,
            )
        except OSError:
            self._given_up_us[words[0]] = now_us
            return False
        if process.stdout is not None:
            # What it starts may outlive it and hold this pipe open, as a speech server does that
            # the first word brings up: the end of the output may never come.
            os.set_blocking(process.stdout.fileno(), False)
        if process.stdin is not None:
            with contextlib.suppress(BrokenPipeError):
                process.stdin.write(text.encode())
            with contextlib.suppress(BrokenPipeError):
                process.stdin.close()
        self._runs.append(_Run(process, words[0], kind, now_us, failed, ended))
        return True

    def stop(self, kind: str) -> None:
        """Ends those of this kind."""
        for run in self._runs:
            if run.kind == kind and run.process.poll() is None:
                run.process.terminate()

    def reap(self, now_us: int) -> None:
        """Notes which have ended, and what came of it; to be called now and then."""
        for run in list(self._runs):
            code = run.process.poll()
            if code is None:
                if now_us - run.begun_us > LIMIT_US:
                    run.process.kill()
                continue
            self._runs.remove(run)
            output = b""
            if run.process.stdout is not None:
                output = run.process.stdout.read(4096) or b""
                run.process.stdout.close()
            if code > 0:
                self._given_up_us[run.program] = now_us
                if now_us - run.begun_us < _STILL_WANTED_US:
                    run.failed(now_us)
            elif code == 0:
                run.ended(output)

    def close(self) -> None:
        """Ends all."""
        for run in self._runs:
            if run.process.poll() is None:
                run.process.kill()
            run.process.wait()
            if run.process.stdout is not None:
                run.process.stdout.close()
        self._runs.clear()
