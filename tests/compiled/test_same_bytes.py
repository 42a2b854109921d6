"""The compiled form gives the same bytes, traces and notices as the one it was made from."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).resolve().parents[2]
#: The folder of the compiled form, put there by tests.compiled.build; `tests/check.py compiled`.
COMPILED = os.environ.get("REMAPD_COMPILED")

CASES = 300


def run(*words: str, form: str | None = None) -> list[str]:
    """One run of tests.compiled.told with this form of remapd, and the lines that it prints."""
    path = os.pathsep.join([*([form] if form is not None else []), str(CHECKOUT)])
    done = subprocess.run(
        [sys.executable, "-P", "-m", "tests.compiled.told", *words],
        env=os.environ | {"PYTHONPATH": path, "PYTHONHASHSEED": "0"},
        cwd="/",
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.splitlines()


@pytest.mark.skipif(COMPILED is None, reason="no compiled form: tests/check.py compiled makes one")
def test_both_forms_tell_the_same_of_random_layouts_and_input(tmp_path: Path) -> None:
    cases = str(tmp_path / "cases")
    run("make", str(CASES), cases)
    pure = run("play", cases)
    compiled = run("play", cases, form=COMPILED)
    assert (pure[0], compiled[0]) == ("pure", "compiled")
    assert len(set(pure)) > CASES / 4, "too few cases differ to prove anything"
    assert compiled[1:] == pure[1:]
