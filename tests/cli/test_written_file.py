"""What a command reads is never written over by it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from remapd.cli.main import main
from tests.support.layouts import HARBOUR
from tests.support.recordings import Take


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A layout, a recording, and a second name for each."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "harbour.yaml").write_text(HARBOUR)
    take = Take(HARBOUR, text=HARBOUR)
    take.tap("left-knee", 0, 200)
    take.end(500)
    (tmp_path / "knee.jsonl").write_bytes(take.data)
    (tmp_path / "link.jsonl").symlink_to("knee.jsonl")
    os.link(tmp_path / "harbour.yaml", tmp_path / "second.html")
    return tmp_path


@pytest.mark.parametrize(
    "words",
    [
        ["replay", "knee.jsonl", "-o", "knee.jsonl"],
        ["replay", "knee.jsonl", "-o", "link.jsonl"],
        ["replay", "knee.jsonl", "--explain", "-o", "./knee.jsonl"],
        ["replay", "harbour.yaml", "knee.jsonl", "-o", "harbour.yaml"],
        ["report", "knee.jsonl", "-o", "knee.jsonl"],
        ["card", "harbour.yaml", "-o", "second.html"],
        ["card", "harbour.yaml", "--format", "text", "-o", "harbour.yaml"],
    ],
)
def test_an_output_that_is_an_input_is_refused_and_the_input_kept(
    folder: Path, capsys: pytest.CaptureFixture[str], words: list[str]
) -> None:
    before = {path: path.read_bytes() for path in folder.iterdir()}

    assert main(words) == 1
    assert "name another file" in capsys.readouterr().err
    assert {path: path.read_bytes() for path in folder.iterdir()} == before


def test_any_other_file_is_written(folder: Path) -> None:
    assert main(["replay", "knee.jsonl", "-o", "pad.jsonl"]) == 0
    assert (folder / "pad.jsonl").stat().st_size > 0
