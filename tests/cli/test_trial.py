"""`remapd trial` as a user meets it."""

from __future__ import annotations

from pathlib import Path

import pytest

from remapd.cli.main import main
from tests.support.layouts import HARBOUR
from tests.unit.language.test_trials import EXAMPLE

WRONG = EXAMPLE.replace("580ms", "500ms")


def write(folder: Path, name: str, trials: str | None) -> str:
    (folder / f"{name}.yaml").write_text(HARBOUR)
    if trials is not None:
        (folder / f"{name}.trials.yaml").write_text(trials)
    return str(folder / f"{name}.yaml")


def test_all_pass(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    assert main(["trial", write(tmp_path, "harbour", EXAMPLE)]) == 0
    out = capfd.readouterr().out

    assert "passed  " in out
    assert "harbour.trials.yaml:2: the chart layer lasts for one press" in out
    assert out.endswith("1 passed, 0 failed\n")


def test_a_failure_is_drawn_and_the_exit_code_is_1(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    layouts = [write(tmp_path, "harbour", EXAMPLE), write(tmp_path, "wrong", WRONG)]
    assert main(["trial", *layouts]) == 1
    done = capfd.readouterr()

    assert "FAILED  " in done.out
    assert "`start` was pressed at 580 ms, 80 ms late" in done.out
    assert "expected ...." in done.out
    assert done.out.endswith("1 passed, 1 failed\n")
    assert done.err == ""


@pytest.mark.parametrize(
    ("trials", "what"),
    [
        (None, "has no trials: they would be in"),
        (EXAMPLE.replace("press: start", "press: strat"), "did you mean `start`?"),
        ("trials: &all []\n", "harbour.trials.yaml:1:9"),
    ],
)
def test_what_cannot_be_run_is_told_and_the_others_run(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], trials: str | None, what: str
) -> None:
    layouts = [write(tmp_path, "harbour", trials), write(tmp_path, "good", EXAMPLE)]
    assert main(["trial", *layouts]) == 1
    done = capfd.readouterr()

    assert what in done.err
    assert "1 passed, 0 failed" in done.out
    assert "Traceback" not in done.err


def test_a_layout_with_errors(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "broken.yaml").write_text("remapd: 1\nlayers: 3\n")

    assert main(["trial", str(tmp_path / "broken.yaml")]) == 1
    assert "broken.yaml:2:" in capfd.readouterr().err
