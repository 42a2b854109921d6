"""What a command writes is there whole or not at all: a full disk loses nothing."""

from __future__ import annotations

import resource
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from remapd.cli.main import DONE, FAILED, main
from remapd.cli.written_file import write_whole
from remapd.language.pack import PackBroken, parse_pack, unpack
from remapd.language.packing import pack

ROOT = Path(__file__).parents[2]
CORPUS = ROOT / "tests" / "corpus"
LAYOUT = ROOT / "layouts" / "one-switch.yaml"


@contextmanager
def full_disk() -> Iterator[None]:
    """No file of this process may grow beyond 1000 bytes: writing fails as on a full disk."""
    before, writes_bytecode = resource.getrlimit(resource.RLIMIT_FSIZE), sys.dont_write_bytecode
    # Python would keep half of what it has compiled, and stumble over it at every later import
    sys.dont_write_bytecode = True
    resource.setrlimit(resource.RLIMIT_FSIZE, (1000, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        sys.dont_write_bytecode = writes_bytecode


@pytest.mark.parametrize(
    "words",
    [
        ["card", "-o", "out.html", str(LAYOUT)],
        ["card", "--sheet", "-o", "out.html", str(LAYOUT)],
        ["report", "-o", "out.html", str(CORPUS / "breath.jsonl")],
        ["replay", "-o", "out.jsonl", str(CORPUS / "breath.jsonl")],
        ["trial", "-o", "out.trials.yaml", "--from", str(CORPUS / "breath.jsonl")],
    ],
    ids=lambda words: " ".join(words[:2]),
)
def test_what_cannot_be_written_whole_leaves_the_folder_as_it_was(
    words: list[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    before = {}
    name = words[words.index("-o") + 1]
    if words[0] != "trial":
        assert main(words) == DONE
        before = {name: Path(name).read_bytes()}
    with full_disk():
        assert main(words) == FAILED

    assert "cannot be written" in capsys.readouterr().err
    assert {each.name: each.read_bytes() for each in tmp_path.iterdir()} == before


@pytest.mark.parametrize(
    "words", [["replay", CORPUS / "breath.jsonl"], ["report", CORPUS / "breath.jsonl"]]
)
def test_a_pipe_by_the_name_of_standard_output_is_written_to(words: list[str]) -> None:
    command = [sys.executable, "-m", "remapd", *words, "-o", "/dev/stdout"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, check=False, timeout=60)

    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout


def test_a_name_that_no_file_can_have_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["replay", "-o", "a" * 300, str(CORPUS / "breath.jsonl")]) == FAILED

    assert "cannot be written over: File name too long" in capsys.readouterr().err


def test_a_link_stays_one_and_a_mode_stays(tmp_path: Path) -> None:
    real, link = tmp_path / "real.html", tmp_path / "link.html"
    real.write_text("before")
    real.chmod(0o640)
    link.symlink_to(real)

    write_whole(link, b"after")

    assert link.is_symlink()
    assert real.read_bytes() == b"after"
    assert real.stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize("replace", [True, False])
def test_a_pack_is_written_out_whole_or_not_at_all(tmp_path: Path, *, replace: bool) -> None:
    read = parse_pack(pack(LAYOUT, card="", today="2026-03-02", file_name="it").content, "it")
    if replace:
        unpack(read, tmp_path)
    before = {each.name: each.read_bytes() for each in tmp_path.iterdir()}

    with full_disk(), pytest.raises(PackBroken, match="cannot be written"):
        unpack(read, tmp_path, replace=replace)

    assert {each.name: each.read_bytes() for each in tmp_path.iterdir()} == before
