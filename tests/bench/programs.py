"""The C programs beside this file, compiled."""

from __future__ import annotations

import subprocess
from pathlib import Path
from typing import Final

PROGRAMS: Final = ("passthrough", "sender", "reader")


def compile_programs(folder: Path) -> None:
    """Compiles them into `folder`; subprocess.CalledProcessError shows the compiler's words."""
    for name in PROGRAMS:
        source = Path(__file__).with_name(f"{name}.c")
        words = ["gcc", "-O2", "-Wall", "-Wextra", "-o", str(folder / name), str(source)]
        subprocess.run(words, check=True)
