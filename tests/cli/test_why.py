"""`remapd why`: the presses around a remark in a recording, and the values that were tried."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from remapd.cli.main import DONE, FAILED, USAGE, main

ROOT = Path(__file__).parents[2]
CORPUS = ROOT / "tests" / "corpus"
PAGE = (ROOT / "docs" / "presses.md").read_text(encoding="utf-8")


def test_the_page_shows_what_is_really_printed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(CORPUS)
    command = 'remapd why harbour.jsonl --at "nothing happened"'
    start = PAGE.index(f"$ {command}\n") + len(f"$ {command}\n")
    assert main(["why", "harbour.jsonl", "--at", "nothing happened"]) == DONE
    assert capsys.readouterr().out.rstrip() == PAGE[start : PAGE.index("\n```", start)]


def test_a_value_that_was_tried_is_told_with_its_gains(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["why", str(CORPUS / "spasm.jsonl")]) == DONE
    out = " ".join(capsys.readouterr().out.split())
    assert "around 3.111 s, 'the second throw was not wanted':" in out
    assert "`acceptance-delay: 40ms` at right-hand would have let it count" in out
    assert "it gains 3 presses (right-hand: south (3)), loses none" in out


def test_a_time_instead_of_a_remark(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["why", str(CORPUS / "spasm.jsonl"), "--at", "0.5s"]) == DONE
    out = capsys.readouterr().out
    assert "around 0.500 s:" in out
    assert "2.945 s" not in out
    assert main(["why", str(CORPUS / "spasm.jsonl"), "--at", "900"]) == DONE
    assert "the recording is over after" in capsys.readouterr().out


def test_a_remark_that_is_not_there(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["why", str(CORPUS / "spasm.jsonl"), "--at", "no such thing"]) == FAILED
    error = capsys.readouterr().err
    assert "the second throw was not wanted" in error
    assert "12.5s" in error


def test_another_layout(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    layout = tmp_path / "other.yaml"
    layout.write_text("remapd: 1\nlayers: {base: {a: sooth}}\n", encoding="utf-8")
    recording = str(CORPUS / "spasm.jsonl")
    assert main(["why", recording, "--layout", str(layout)]) == FAILED
    assert "Traceback" not in capsys.readouterr().err


def test_a_pipe_is_refused_since_it_could_not_be_read_again(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    layout = str(ROOT / "layouts" / "one-switch.yaml")
    for words in (["why", str(pipe)], ["replay", "--compare", layout, str(pipe)]):
        assert main(words) == FAILED
        assert "save it as a file first" in capsys.readouterr().err


@pytest.mark.parametrize("text", ["", "{}\n", "not a recording\n"])
def test_a_file_that_is_no_recording(
    tmp_path: Path, text: str, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "foreign.jsonl"
    path.write_text(text, encoding="utf-8")
    assert main(["why", str(path)]) == FAILED
    error = capsys.readouterr().err
    assert "foreign.jsonl" in error
    assert "Traceback" not in error
    assert main(["why"]) == USAGE


@pytest.mark.parametrize("path", sorted(CORPUS.glob("*.jsonl")), ids=lambda path: path.stem)
def test_every_recording_of_the_corpus_can_be_asked(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    if path.name.endswith(".pad.jsonl"):
        assert main(["why", str(path)]) == FAILED
        assert "a mistake in remapd" not in capsys.readouterr().err
    else:
        assert main(["why", str(path)]) == DONE
        assert "around" in capsys.readouterr().out


def test_a_recording_that_was_cut_off_is_told_of(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    whole = (CORPUS / "spasm.jsonl").read_bytes()
    path = tmp_path / "cut.jsonl"
    path.write_bytes(whole[:-20])
    assert main(["why", str(path)]) == DONE
    assert "the last line is cut off" in capsys.readouterr().err


def test_a_recording_without_a_layout_asks_for_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bare.jsonl"
    path.write_bytes((CORPUS / "spasm.jsonl").read_bytes().splitlines(keepends=True)[0])
    assert main(["why", str(path)]) == FAILED
    assert "give one with --layout LAYOUT" in capsys.readouterr().err
