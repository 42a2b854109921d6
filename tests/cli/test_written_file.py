"""What a command reads, or what is of another kind than it writes, is never written over by it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from remapd.cli.main import main
from tests.support.layouts import HARBOUR
from tests.support.recordings import Take

WRITERS = [
    ["replay", "knee.jsonl"],
    ["report", "knee.jsonl"],
    *(["card", "harbour.yaml", "--format", form] for form in ("html", "text")),
]


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
        ["pack", "harbour.yaml", "-o", "harbour.yaml", "--replace"],
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


@pytest.mark.parametrize("words", WRITERS)
@pytest.mark.parametrize(
    "content",
    ["Meeting on Tuesday\n", '{"notes": 1}\n', "\xff\x00" * 400, "remapd: 1\n", "own play"],
)
def test_a_file_of_another_kind_is_kept(
    folder: Path, capsys: pytest.CaptureFixture[str], words: list[str], content: str
) -> None:
    if content == "own play":
        content = (folder / "knee.jsonl").read_text()
    (folder / "notes").write_text(content)

    assert main([*words, "-o", "notes"]) == 1
    said = capsys.readouterr()
    assert "notes exists and is not a " in said.err
    assert "so it is kept; name another file" in said.err
    assert (folder / "notes").read_text() == content


@pytest.mark.parametrize("words", WRITERS)
def test_what_it_wrote_itself_and_an_empty_file_are_replaced(
    folder: Path, words: list[str]
) -> None:
    (folder / "empty").touch()

    for name in ("new", "new", "empty", "/dev/null"):
        assert main([*words, "-o", name]) == 0
    assert (folder / "new").read_bytes() == (folder / "empty").read_bytes()


def test_a_report_is_not_put_in_the_place_of_somebodys_notes_unasked(folder: Path) -> None:
    (folder / "knee-report.html").write_text("my own notes")

    assert main(["report", "knee.jsonl"]) == 1
    assert (folder / "knee-report.html").read_text() == "my own notes"


def test_no_page_of_a_card_takes_the_place_of_notes(folder: Path) -> None:
    (folder / "card-2.svg").write_text("my own notes")

    assert main(["card", "harbour.yaml", "-o", "card.svg"]) == 1
    assert not (folder / "card-1.svg").exists()
    (folder / "card-2.svg").unlink()
    for _ in range(2):
        assert main(["card", "harbour.yaml", "-o", "card.svg"]) == 0
