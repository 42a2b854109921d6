"""`layouts/*.yaml`, as a person types it, names the trials beside the layouts too."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from remapd.cli.layout_file import layouts_named

LAYOUTS = Path(__file__).parent.parent.parent / "layouts"


def test_a_trials_file_stands_for_its_layout_which_comes_once() -> None:
    named = [Path("a/one.trials.yaml"), Path("a/one.yaml"), Path("a/two.yaml")]

    assert layouts_named(named) == [Path("a/one.yaml"), Path("a/two.yaml")]


def test_a_terminal_without_a_letter_of_the_title_does_not_end_the_command(tmp_path: Path) -> None:
    layout = tmp_path / "titled.yaml"
    text = (LAYOUTS / "one-switch.yaml").read_text(encoding="utf-8")
    title = next(line for line in text.splitlines() if line.startswith("title:"))
    layout.write_text(text.replace(title, "title: Zwei Hände “ja” 中"), encoding="utf-8")

    done = subprocess.run(
        [sys.executable, "-m", "remapd", "check", str(layout)],
        env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"},
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode == 0, done.stderr
    assert "mistake" not in done.stderr
