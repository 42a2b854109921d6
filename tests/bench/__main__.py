"""How quick remapd is: `python3 tests/bench`; prints tables and writes docs/performance.md.

The part that needs a kernel runs on this machine's own where it lets us make devices, else in a VM,
as the kernel tests do. In the VM time goes by the instructions that are executed: the figures are
the same whatever else the machine does. Those of the other part want a machine with nothing to do.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import tempfile
import time
from pathlib import Path

CHECKOUT = Path(__file__).resolve().parents[2]
if __name__ == "__main__":
    sys.path[0] = str(CHECKOUT)  # instead of tests/bench, whose files must not stand as modules

from remapd.bootstrap import enter_for_tests  # noqa: E402 - after the path is set
from tests.support.uinput_here import reason_no_uinput, reason_not_here  # noqa: E402
from tests.vm.programs import missing_packages  # noqa: E402

VM_LIMIT_S = 900.0


def main() -> int:
    """Measures what was asked for, prints it, and keeps it."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--no-kernel", action="store_true", help="only what needs no kernel")
    parser.add_argument("--pure", action="store_true", help="leave the compiled form out")
    parser.add_argument("--timed", action="store_true", help="in a VM too: time, not instructions")
    parser.add_argument("--rounds", type=int, default=2)
    parser.add_argument("--dry", action="store_true", help="leave docs/performance.md as it is")
    options = parser.parse_args()
    enter_for_tests(missing_packages() if reason_no_uinput() and not options.no_kernel else [])
    os.chdir(CHECKOUT)

    from tests.bench.on_machine import measure_form
    from tests.bench.page import heading, keep, kernel_table, machine_table
    from tests.check import make_compiled_form

    forms = [False]
    if not options.pure:
        make_compiled_form()
        forms = [True, False]
    parts = [heading(), machine_table([measure_form(compiled) for compiled in forms])]
    code = 0
    if not options.no_kernel:
        with tempfile.TemporaryDirectory(prefix="remapd-bench-") as folder:
            code = run_on_kernel(Path(folder), options)
            if code == 0:
                results = json.loads(Path(folder, "runs.json").read_text())
                parts.append(kernel_table(results, Path(folder)))
    text = "\n".join(parts)
    print(text)
    if not options.dry:
        keep(text)
    return code


def run_on_kernel(folder: Path, options: argparse.Namespace) -> int:
    """The kernel part, here or in the VM; the exit code."""
    from tests.bench.programs import compile_programs
    from tests.check import call_code
    from tests.vm.run import NS_PER_INSTRUCTION, run_in_vm

    compile_programs(folder)
    words = ["-m", "tests.bench.on_kernel", str(folder), "--rounds", str(options.rounds)]
    if not options.pure:
        words.append("--compiled")
    began = time.monotonic()
    if reason_not_here() is None:
        code = call_code([sys.executable, *words])
    else:
        counted = not options.timed
        code = run_in_vm(["python", *words], timeout_s=VM_LIMIT_S, results=folder, counted=counted)
        if counted:
            (folder / "counted").write_text(str(NS_PER_INSTRUCTION))
    print(f"bench: the kernel part took {time.monotonic() - began:.0f} s", flush=True)
    return code


if __name__ == "__main__":
    sys.exit(main())
