"""Which process has a file open, asked of this machine's own /proc."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from remapd.kernel.holders import find_holders, program_name

HOLD = "import sys; f = open(sys.argv[1]); print('open', flush=True); sys.stdin.read()"


def test_the_process_that_has_a_file_open_is_found_and_one_that_closed_it_is_not(
    tmp_path: Path,
) -> None:
    file, other = tmp_path / "held", tmp_path / "not held"
    file.touch()
    other.touch()
    with subprocess.Popen(
        [sys.executable, "-c", HOLD, str(file)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as holder:
        assert holder.stdout is not None
        holder.stdout.readline()

        found = find_holders([str(file), str(other)])

        assert [each.process for each in found.of(str(file))] == [holder.pid]
        assert found.of(str(file))[0].program == program_name(holder.pid)
        assert found.of(str(other)) == []
        holder.kill()
    assert find_holders([str(file)]).of(str(file)) == []


def test_our_own_process_is_left_out_unless_another_is(tmp_path: Path) -> None:
    file = tmp_path / "held"
    with file.open("w"):
        assert find_holders([str(file)]).of(str(file)) == []
        found = find_holders([str(file)], but=0).of(str(file))
        assert [each.process for each in found] == [os.getpid()]


def test_a_process_that_has_ended_has_a_number_for_a_name() -> None:
    assert program_name(2**22 + 1) == f"process {2**22 + 1}"
