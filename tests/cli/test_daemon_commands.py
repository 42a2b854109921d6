"""The commands for a running daemon, where none is running: plain words and exit codes."""

from __future__ import annotations

from pathlib import Path

import pytest

from remapd.cli.main import main


@pytest.fixture(autouse=True)
def nobody_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(tmp_path))


@pytest.mark.parametrize(
    "words",
    [
        ["status"],
        ["status", "--json"],
        ["pause"],
        ["resume"],
        ["release"],
        ["swap"],
        ["mark", "look"],
        ["use"],
        ["use", "boat.yaml"],
    ],
    ids=" ".join,
)
def test_without_a_daemon_it_says_how_to_start_one(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(words) == 1
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err == ("remapd: no daemon `main` is running; start one with: remapd run LAYOUT\n")


def test_the_name_is_told_too(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["status", "--name", "second"]) == 1
    assert "no daemon `second`" in capsys.readouterr().err
    assert main(["status", "--name", "No!"]) == 2
    assert "`No!` is no name for a daemon" in capsys.readouterr().err


def test_a_recording_without_a_daemon_leaves_no_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["record", "-o", str(tmp_path / "x.jsonl")]) == 1
    assert "no daemon" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "words",
    [
        ["mark"],
        ["use", "a", "b"],
        ["record"],
        ["record", "-o", "x", "--last", "soon"],
        ["run", "a", "b"],
    ],
)
def test_wrong_usage_is_exit_code_2(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(words) == 2
    assert "try: remapd" in capsys.readouterr().err


def test_pad_prints_the_mapping_string(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pad"]) == 0
    plain = capsys.readouterr().out
    assert plain.startswith("0300")
    assert ",remapd pad,a:b0,b:b1,x:b2,y:b3," in plain
    layout = tmp_path / "x.yaml"
    layout.write_text(
        "remapd: 1\ntitle: x\npad: {faces: as-specified, identity: {vendor: 0x1234, product: "
        "0x5678, version: 0x0001}}\ndevices: {k: {find: {name: K}, controls: {s: {button: BTN_0}}}}"
        "\nlayers: {l: {s: south}}\n"
    )
    assert main(["pad", str(layout), "--name", "second"]) == 0
    own = capsys.readouterr().out
    assert "34120000" in own
    assert ",remapd pad second,a:b0,b:b1,x:b3,y:b2," in own
    layout.write_text("remapd: 1\n")
    assert main(["pad", str(layout)]) == 1
    assert "the layout cannot be used" in capsys.readouterr().err
