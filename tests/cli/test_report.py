"""`remapd report` as a user meets it."""

from __future__ import annotations

from pathlib import Path

import pytest

from remapd.cli.main import main
from tests.support.layouts import TWO_KNEES
from tests.support.recordings import Take


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "knees.yaml").write_text(TWO_KNEES)
    for name, text in (("own", TWO_KNEES), ("bare", None)):
        take = Take(TWO_KNEES, text=text)
        take.tap("left-knee", 100, 200)
        take.end(1000)
        (tmp_path / f"{name}.jsonl").write_bytes(take.data)
    return tmp_path


def test_a_page_is_written_and_named(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["report", "own.jsonl"]) == 0

    assert capsys.readouterr().out == "written: own-report.html\n"
    assert "Two knee switches" in (folder / "own-report.html").read_text()


def test_a_recording_without_a_layout_asks_for_one(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["report", "bare.jsonl"]) == 1
    assert "give one with --layout LAYOUT" in capsys.readouterr().err

    assert main(["report", "bare.jsonl", "--layout", "knees.yaml", "-o", "-"]) == 0
    assert capsys.readouterr().out.startswith("<!DOCTYPE html>")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--intensity", "light"], "--intensity and --posture go together"),
        (["--hours-a-day", "30"], "`30` is no number of hours"),
    ],
)
def test_wrong_usage_says_how(
    folder: Path, words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["report", "own.jsonl", *words]) == 2

    assert said in capsys.readouterr().err


def test_what_somebody_judged_stands_in_the_report(folder: Path) -> None:
    words = ["--intensity", "somewhat-hard", "--posture", "very-bad", "--hours-a-day", "2"]
    assert main(["report", "own.jsonl", *words, "-o", "r.html"]) == 0

    text = (folder / "r.html").read_text()
    assert "intensity somewhat hard, posture very bad, speed fair; hours a day 2 (as given)" in text


@pytest.mark.parametrize("content", [b"", b"{}\n", b"\xff\xfe\n", b"[1, 2"])
def test_what_is_no_recording_is_told(
    folder: Path, content: bytes, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "x.jsonl").write_bytes(content)

    assert main(["report", "x.jsonl"]) == 1
    assert capsys.readouterr().err.startswith("remapd: x.jsonl")
    assert not (folder / "x-report.html").exists()


def test_a_file_that_cannot_be_written_is_told(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["report", "own.jsonl", "-o", "nowhere/r.html"]) == 1

    assert "nowhere/r.html cannot be written" in capsys.readouterr().err
