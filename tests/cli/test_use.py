"""`remapd use`: layouts of a folder chosen by name, by a switch, and remembered over a restart."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from remapd.cli.main import main
from remapd.remembered import recall
from remapd.show.cues.book import CueBook
from tests.support.stand_in_daemon import StandInDaemon, until

LAYOUT = """\
remapd: 1
title: {title}
devices:
  knees:
    find: {{name: Box}}
    controls: {{left-knee: {{button: BTN_0}}, right-knee: {{button: BTN_1}}}}
layers:
  play: {{left-knee: south, right-knee: {{layout: {other}}}}}
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A player's layouts: two that change to each other, and one that is broken."""
    for name, title, other in (
        ("harbour", "Sailing home", "gull"),
        ("gull", "Gull in the wind", "Sailing home"),
    ):
        (tmp_path / f"{name}.yaml").write_text(LAYOUT.format(title=title, other=other))
    (tmp_path / "broken.yaml").write_text("remapd: 1\ntitle: Torn net\nlayers: {play: [\n")
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "none"))
    monkeypatch.setenv("RUNTIME_DIRECTORY", str(tmp_path))
    monkeypatch.delenv("STATE_DIRECTORY", raising=False)
    return tmp_path


@pytest.fixture
def daemon(folder: Path) -> Iterator[StandInDaemon]:
    """Started with the folder: it begins with the first layout that can be read."""
    with StandInDaemon(folder, folder) as running:
        yield running


def path_in_force(daemon: StandInDaemon) -> Any:
    return daemon.ask("status")["status"]["layout"]["path"]


def test_alone_it_lists_all_and_marks_the_one_in_force(
    daemon: StandInDaemon, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["use"]) == 0
    assert capsys.readouterr().out.splitlines() == [
        f"{folder}:",
        f"  broken   Torn net (has errors: remapd check {folder}/broken.yaml)",
        "* gull     Gull in the wind, in force",
        "  harbour  Sailing home",
        "",
        "remapd use NAME changes to another one, by its name or its title.",
    ]


def test_a_choice_by_title_is_announced_and_outlives_the_daemon(
    daemon: StandInDaemon, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = CueBook()
    with daemon.client() as watching:
        book.take([watching.ask("layout")], 0)
        watching.ask("subscribe", to=list(book.topics))
        assert main(["use", "sailing home"]) == 0
        said = capsys.readouterr().out
        told = next(m for m in watching.messages() if m.get("event") == "layout")
        cues = book.take([told], 1)
    assert said == "“Sailing home” is in force, and will be after a restart.\n"
    assert [(cue.event, cue.say) for cue in cues] == [("layout-chosen", "Sailing home")]
    daemon.restart()
    assert path_in_force(daemon) == str(folder / "harbour.yaml")
    assert main(["status"]) == 0
    assert "one of a folder; `remapd use` lists them" in capsys.readouterr().out


def test_a_switch_chooses_by_name_and_that_is_remembered_too(
    daemon: StandInDaemon, folder: Path
) -> None:
    daemon.tap("right-knee")
    until(lambda: path_in_force(daemon) == str(folder / "harbour.yaml"))
    until(lambda: recall("main").chosen == {str(folder): str(folder / "harbour.yaml")})
    daemon.tap("right-knee")
    until(lambda: path_in_force(daemon) == str(folder / "gull.yaml"))
    daemon.restart()
    assert path_in_force(daemon) == str(folder / "gull.yaml")


def test_a_slip_changes_nothing_and_is_answered(
    daemon: StandInDaemon, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["use", "harbor"]) == 1
    assert "did you mean `harbour`?" in capsys.readouterr().err
    assert main(["use", "Torn net"]) == 1
    assert "broken.yaml:3" in capsys.readouterr().err
    assert path_in_force(daemon) == str(folder / "gull.yaml")
    assert recall("main").chosen == {}
    assert main(["use", str(folder / "harbour.yaml")]) == 0
    assert path_in_force(daemon) == str(folder / "harbour.yaml")


@pytest.mark.parametrize("harm", ["gone", "broken"])
def test_a_choice_that_cannot_be_used_is_reported_and_the_named_one_plays(
    folder: Path, capsys: pytest.CaptureFixture[str], harm: str
) -> None:
    with StandInDaemon(folder, folder / "gull.yaml") as daemon:
        assert main(["use", "harbour"]) == 0
        assert main(["status"]) == 0
        assert "chosen in place of gull.yaml" in capsys.readouterr().out
        daemon.end()
        harbour = folder / "harbour.yaml"
        if harm == "gone":
            harbour.unlink()
        else:
            harbour.write_text(LAYOUT.format(title="x", other="y").replace("south", "sooth"))
        daemon._start()
        assert path_in_force(daemon) == str(folder / "gull.yaml")
        refused = daemon.ask("status")["status"]["refused"]
        assert refused["path"] == str(harbour)
        assert main(["status"]) == 0
        assert "harbour.yaml was chosen, and cannot be used" in capsys.readouterr().out
        # what was meant is not forgotten for that
        harbour.write_text(LAYOUT.format(title="Mended", other="gull"))
        daemon.restart()
        assert path_in_force(daemon) == str(harbour)
