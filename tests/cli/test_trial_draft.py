"""`remapd trial --from RECORDING` as a user meets it."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from remapd.cli.main import main
from tests.support.layouts import HARBOUR, TWO_KNEES
from tests.support.recordings import Take


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with a layout, and recordings with and without a layout of their own."""
    (tmp_path / "harbour.yaml").write_text(HARBOUR)
    (tmp_path / "knees.yaml").write_text(TWO_KNEES.replace("Switch box", "Button box"))
    for name, text in (("own", HARBOUR), ("bare", None)):
        take = Take(HARBOUR, text=text)
        take.tap("left-knee", 500, 200)
        take.tap("right-knee", 10_000, 100)
        take.tap("left-knee", 10_500, 200)
        take.end(11_000)
        (tmp_path / f"{name}.jsonl").write_bytes(take.data)
    return tmp_path


def draft(*words: object) -> int:
    return main(["trial", *map(str, words)])


def test_a_draft_for_a_layout_is_written_and_passes_beside_it(
    folder: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    trials = folder / "harbour.trials.yaml"
    words = ["--from", folder / "bare.jsonl", "--layout", folder / "harbour.yaml", "-o", trials]
    assert draft(*words) == 0
    done = capfd.readouterr()
    assert (
        done.out == f"{trials}: a trial that passes; read it, and say in its name what it shows\n"
    )
    assert done.err == ""
    assert draft(folder / "harbour.yaml") == 0
    assert "passed  " in capfd.readouterr().out

    text = trials.read_text()
    assert draft(*words) == 1
    assert "exists already" in capfd.readouterr().err
    assert trials.read_text() == text


def test_without_a_layout_the_recordings_own_is_taken_and_the_draft_printed(
    folder: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    assert draft("--from", folder / "own.jsonl") == 0
    out = capfd.readouterr().out
    assert "own.jsonl with the layout that it holds" in out
    assert "{at: 10500ms, press: left-knee, for: 200ms}" in out


def test_a_recording_may_have_any_name(folder: Path, capfd: pytest.CaptureFixture[str]) -> None:
    odd = folder / os.fsdecode(b'k"n\\e\xff\n.jsonl')
    odd.write_bytes((folder / "own.jsonl").read_bytes())
    assert draft("--from", odd, "-o", folder / "odd.yaml") == 0
    assert (folder / "odd.yaml").read_text().isascii()
    capfd.readouterr()


def test_a_part_of_it(folder: Path, capfd: pytest.CaptureFixture[str]) -> None:
    assert draft("--from", folder / "own.jsonl", "--between", "9.5s", "10.55s") == 0
    out = capfd.readouterr().out
    assert "{at: 500ms, press: right-knee, for: 100ms}" in out
    assert "{at: 1000ms, press: left-knee}" in out
    assert "ends: held" in out


def test_where_to_put_it_is_told(folder: Path, capfd: pytest.CaptureFixture[str]) -> None:
    words = ["--from", folder / "bare.jsonl", "--layout", folder / "harbour.yaml"]
    assert draft(*words, "-o", folder / "new.yaml") == 0
    assert f"runs the trials in {folder / 'harbour.trials.yaml'}" in capfd.readouterr().out


@pytest.mark.parametrize(
    ("words", "code", "what"),
    [
        (["--from", "bare.jsonl"], 1, "does not begin with a layout of its own; name one with"),
        (["--from", "none.jsonl"], 1, "there is no such file"),
        (["--from", "harbour.yaml"], 1, "not a recording"),
        (["--from", "own.jsonl", "--layout", "knees.yaml"], 1, "and not `Button box`"),
        (["--from", "own.jsonl", "--layout", "none.yaml"], 1, "file-missing"),
        (["--from", "own.jsonl", "-o", "none/x.yaml"], 1, "cannot be written"),
        (["--from", "own.jsonl", "--between", "1s", "9s"], 1, "nothing that the layout names"),
        (["--from", "own.jsonl", "--between", "15s", "20s"], 1, "over after 11.0 s"),
        (["--from", "own.jsonl", "--between", "9s", "9s"], 2, "the earlier time first"),
        (["--from", "own.jsonl", "--between", "9s", "soon"], 2, "`soon` is no time"),
        (["--from", "own.jsonl", "harbour.yaml"], 2, "--layout"),
        (["--layout", "harbour.yaml"], 2, "go with --from"),
        (["harbour.yaml", "--between", "1s", "2s"], 2, "go with --from"),
        ([], 2, "name a layout"),
    ],
)
def test_what_cannot_be_done_is_told(
    folder: Path, capfd: pytest.CaptureFixture[str], words: list[str], code: int, what: str
) -> None:
    is_file = re.compile(r".*\.(yaml|jsonl)").fullmatch
    paths = [folder / word if is_file(word) else word for word in words]
    assert draft(*paths) == code
    error = capfd.readouterr().err
    assert what in error
    assert "Traceback" not in error
