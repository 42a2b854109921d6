"""The compiled form gives the same bytes, traces and notices as the one it was made from."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import FORM

CHECKOUT = Path(__file__).resolve().parents[2]

CASES = 300


def run(*words: str) -> list[str]:
    """One run of tests.compiled.told, and the lines that it prints."""
    done = subprocess.run(
        [sys.executable, "-P", "-m", "tests.compiled.told", *words],
        env=os.environ | {"PYTHONPATH": str(CHECKOUT), "PYTHONHASHSEED": "0"},
        cwd="/",
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout.splitlines()


@pytest.mark.skipif(FORM not in os.environ, reason="run by: python3 tests/check.py compiled")
def test_both_forms_tell_the_same_of_random_layouts_and_input(tmp_path: Path) -> None:
    cases = str(tmp_path / "cases")
    run("make", str(CASES), cases)
    pure = run("play", cases)
    compiled = run("play-compiled", cases)
    assert (pure[0], compiled[0]) == ("pure", "compiled")
    assert len(set(pure)) > CASES / 4, "too few cases differ to prove anything"
    assert compiled[1:] == pure[1:]
