"""Programs that play and speak never keep the cues waiting."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from remapd.show.cues.programs import Programs
from tests.support.stand_in_daemon import until


def test_one_that_leaves_a_child_with_its_output_is_not_waited_for(tmp_path: Path) -> None:
    """As `spd-say` may, whose first word brings up the speech server."""
    fifo = tmp_path / "held"
    os.mkfifo(fifo)
    child = f"open({str(fifo)!r}).read()"
    program = (
        f"import subprocess, sys; print(7, flush=True); "
        f"subprocess.Popen([sys.executable, '-c', {child!r}])"
    )
    programs = Programs()
    outputs: list[bytes] = []

    assert programs.start("speech", [sys.executable, "-c", program], 0, ended=outputs.append)
    with fifo.open("w"):  # the child lives as long as this

        def is_over() -> bool:
            programs.reap(0)
            return programs.is_idle

        until(is_over)

    assert outputs == [b"7\n"]
    programs.close()
