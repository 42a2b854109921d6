"""`remapd set`, `undo` and `history`: a file changed in one place, and every state of it kept."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from remapd import history
from remapd.cli.main import main
from tests.support.stand_in_daemon import StandInDaemon, until

LAYOUT = """\
remapd: 1  # the language
title: Two knees
devices:
  knees:  # on the chair
    find: {name: "Switch box"}
    controls:
      left-knee: {button: BTN_0, acceptance-delay: 80ms}   # outward
      right-knee: {button: BTN_1}
layers:
  sail:
    left-knee: south
    right-knee: {turbo: east, rate: 2/s}
tunings:
  tired: {left-knee: {debounce: 20ms}}
"""


@pytest.fixture(autouse=True)
def own_places(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(tmp_path / "run"))
    monkeypatch.setattr(history, "SYSTEM_FOLDER", tmp_path / "var" / "history")


@pytest.fixture
def boat(tmp_path: Path) -> Path:
    path = tmp_path / "boat.yaml"
    path.write_text(LAYOUT)
    return path


def change(path: Path, setting: str, value: str) -> int:
    return main(["set", setting, value, "--layout", str(path)])


@pytest.mark.parametrize(
    ("setting", "value", "old", "new", "sentence"),
    [
        ("left-knee.acceptance-delay", "+20ms", "delay: 80ms", "delay: 100ms", ": 80ms -> 100ms ("),
        ("left-knee.acceptance-delay", "-10ms", "delay: 80ms", "delay: 70ms", ": 80ms -> 70ms ("),
        ("left-knee.acceptance-delay", "90ms", "delay: 80ms", "delay: 90ms", "touch must last"),
        ("right-knee.debounce", "+5ms", "BTN_1", "BTN_1, debounce: 20ms", "(which means 15ms)"),
        ("tap", "80ms", "knees\nd", "knees\ntap: 80ms\nd", "not written (which means 60ms)"),
        ("sail.right-knee.rate", "4/s", "2/s", "4/s", "2/s -> 4/s (how often"),
        ("sail.left-knee", "west", "south", "west", "south -> west."),
        ("title", "Two: knees", "Two knees", '"Two: knees"', "Two knees -> Two: knees"),
        (
            "tired.left-knee.acceptance-delay",
            "-30ms",
            "debounce: 20ms",
            "debounce: 20ms, acceptance-delay: 50ms",
            "not written -> 50ms",
        ),
    ],
)
def test_one_place_changes(
    boat: Path,
    capsys: pytest.CaptureFixture[str],
    setting: str,
    value: str,
    old: str,
    new: str,
    sentence: str,
) -> None:
    assert change(boat, setting, value) == 0
    assert boat.read_text() == LAYOUT.replace(old, new, 1)
    said = capsys.readouterr()
    assert sentence in said.out
    assert "times what it was" not in said.out
    assert said.err == ""


@pytest.mark.parametrize(
    ("value", "words"), [("400ms", "5 times what it was"), ("16ms", "1/5 of what it was")]
)
def test_a_far_change_is_made_and_pointed_out(
    boat: Path, capsys: pytest.CaptureFixture[str], value: str, words: str
) -> None:
    assert change(boat, "left-knee.acceptance-delay", value) == 0
    assert words in capsys.readouterr().out
    assert f"acceptance-delay: {value}" in boat.read_text()


@pytest.mark.parametrize(
    ("setting", "value", "words"),
    [
        ("lef-knee.debounce", "8ms", "did you mean `left-knee`"),
        ("left-knee.debonce", "8ms", "did you mean `debounce`"),
        ("left-knee.debounce", "80", "no unit"),
        ("left-knee.debounce", "80%", "duration"),
        ("left-knee.debounce", "+3%", "is not what"),
        ("left-knee.debounce", "-20ms", "0ms"),
        ("left-knee.debounce", "8ms, x: 1", "no single value"),
        ("sail.left-knee", "sout", "did you mean `south`"),
        ("sail.left-knee.rate", "4/s", "is just `south`"),
    ],
)
def test_an_error_changes_nothing(
    boat: Path, capsys: pytest.CaptureFixture[str], setting: str, value: str, words: str
) -> None:
    assert change(boat, setting, value) == 1
    said = capsys.readouterr()
    assert words in said.err
    assert said.out == ""
    assert boat.read_text() == LAYOUT
    assert history.versions(boat) == []


def test_a_step_from_a_value_in_quotes(boat: Path) -> None:
    boat.write_text(LAYOUT.replace("80ms", "'80ms'"))
    assert change(boat, "left-knee.acceptance-delay", "+20ms") == 0
    assert boat.read_text() == LAYOUT.replace("80ms", "100ms")


def test_link_and_mode_stay(boat: Path, tmp_path: Path) -> None:
    boat.chmod(0o640)
    link = tmp_path / "now.yaml"
    link.symlink_to(boat)
    assert change(link, "tap", "80ms") == 0
    assert link.is_symlink()
    assert boat.stat().st_mode & 0o777 == 0o640
    assert "tap: 80ms" in boat.read_text()
    assert not list(tmp_path.glob(".*"))
    assert history.versions(boat) == history.versions(link)


def test_the_place_of_a_read_only_file_is_told(
    boat: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    # as it is for everybody but root, who may write all
    monkeypatch.setattr(os, "access", lambda _, mode: mode != os.W_OK)
    assert change(boat, "tap", "80ms") == 1
    assert "read-only for you" in capsys.readouterr().err
    assert boat.read_text() == LAYOUT


def test_an_included_file_is_changed_there(
    boat: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    head, _, rest = LAYOUT.partition("devices:\n")
    devices, _, layers = rest.partition("layers:\n")
    ward = tmp_path / "ward.yaml"
    ward.write_text(f"remapd: 1\ndevices:\n{devices}")
    boat.write_text(f"{head}include: ward.yaml\nlayers:\n{layers}")
    own = boat.read_text()
    assert change(boat, "left-knee.acceptance-delay", "90ms") == 0
    assert f"It stands in {ward}, which boat.yaml includes" in capsys.readouterr().out
    assert boat.read_text() == own
    assert "acceptance-delay: 90ms}   # outward" in ward.read_text()
    assert main(["undo", "--layout", str(boat)]) == 0
    assert "acceptance-delay: 80ms}   # outward" in ward.read_text()
    assert boat.read_text() == own


def test_undo_of_undo_and_back_to_any_version(
    boat: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    undo = ["undo", "--layout", str(boat)]
    for value in ("70ms", "80ms"):
        assert change(boat, "tap", value) == 0
    assert main(undo) == 0
    assert "tap: 70ms" in boat.read_text()
    assert main(undo) == 0
    assert "tap: 80ms" in boat.read_text()
    assert main([*undo, "--to", "1"]) == 0
    assert boat.read_text() == LAYOUT
    capsys.readouterr()
    assert main(["history", str(boat)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == str(boat)
    assert len(lines) == 7
    assert lines[-1].endswith("(the file is so now)")
    assert main(["history", str(boat), "--show", "2"]) == 0
    assert capsys.readouterr().out == LAYOUT.replace("knees\nd", "knees\ntap: 70ms\nd", 1)
    assert main([*undo, "--to", "9"]) == 1
    assert "they go from 1 to 6" in capsys.readouterr().err


def test_undo_keeps_what_an_editor_left_even_where_it_is_broken(
    boat: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert change(boat, "tap", "70ms") == 0
    good = boat.read_text()
    boat.write_text("remapd: 1\nlayers: [broken\n")
    assert change(boat, "tap", "70ms") == 1
    assert main(["undo", "--layout", str(boat)]) == 0
    assert boat.read_text() == good
    assert main(["undo", "--layout", str(boat)]) == 0
    assert "has an error" in capsys.readouterr().out
    assert boat.read_text() == "remapd: 1\nlayers: [broken\n"
    boat.unlink()
    assert main(["undo", "--layout", str(boat), "--to", "2"]) == 0
    assert boat.read_text() == good


def test_nothing_to_take_back(boat: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["undo", "--layout", str(boat)]) == 1
    assert "no version of" in capsys.readouterr().err
    assert main(["history"]) == 0
    assert "No version of any layout" in capsys.readouterr().out


def test_no_daemon_and_no_file(capsys: pytest.CaptureFixture[str]) -> None:
    for words in (["set", "tap", "80ms"], ["undo"]):
        assert main(words) == 1
        assert "name the file with --layout FILE" in capsys.readouterr().err


def test_the_daemons_layout_is_meant_and_its_versions_are_kept(
    boat: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with StandInDaemon(tmp_path / "run", boat) as daemon:
        until(lambda: len(history.versions(boat)) == 1)
        assert history.versions(boat)[0].because == history.IN_FORCE
        assert main(["set", "left-knee.acceptance-delay", "+20ms"]) == 0
        until(lambda: daemon.ask("status")["status"]["layout"]["took_us"] is not None)
        daemon.save(boat.read_text().replace("80ms", "85ms").replace("100ms", "110ms"))
        until(lambda: len(history.versions(boat)) == 3)
    assert [each.because for each in history.versions(boat)] == ["in force", "set", "in force"]
    assert "80ms -> 100ms" in capsys.readouterr().out
