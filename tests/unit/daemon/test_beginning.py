"""A daemon begins with the layout chosen last, and never without one that could be had."""

from __future__ import annotations

from pathlib import Path

import pytest

from remapd.daemon.beginning import Beginning, NothingToBegin, begin_with
from remapd.remembered import remember_choice

LAYOUT = "remapd: 1\ndevices: {}\nlayers: {play: {}}\n"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.delenv("STATE_DIRECTORY", raising=False)
    layouts = tmp_path / "layouts"
    layouts.mkdir()
    for name in ("harbour", "gull"):
        (layouts / f"{name}.yaml").write_text(LAYOUT)
    return layouts


def test_a_file_is_begun_with_while_nothing_was_chosen(folder: Path) -> None:
    harbour = str(folder / "harbour.yaml")
    assert begin_with(folder / "harbour.yaml", "main") == Beginning(harbour, harbour)


def test_the_choice_goes_on_and_what_was_named_stands_by(folder: Path) -> None:
    harbour, gull = str(folder / "harbour.yaml"), str(folder / "gull.yaml")
    remember_choice("main", harbour, gull)
    begun = begin_with(folder / "harbour.yaml", "main")
    assert (begun.path, begun.instead, begun.started_with) == (gull, harbour, harbour)
    assert "`remapd use harbour` goes back" in begun.notes[0]
    assert begin_with(Path(harbour), "main", as_named=True) == Beginning(harbour, harbour)
    assert begin_with(Path(harbour), "second") == Beginning(harbour, harbour)
    assert begin_with(Path(gull), "main") == Beginning(gull, gull)


def test_a_choice_that_is_gone_is_told(folder: Path) -> None:
    harbour, gull = str(folder / "harbour.yaml"), str(folder / "gull.yaml")
    remember_choice("main", harbour, gull)
    Path(gull).unlink()
    assert begin_with(Path(harbour), "main") == Beginning(harbour, harbour, gone=gull)


def test_a_folder_begins_with_its_first_layout_and_says_so(folder: Path) -> None:
    (folder / "a-broken.yaml").write_text("remapd: 1\nlayers: [\n")
    begun = begin_with(folder, "main")
    assert (begun.path, begun.started_with) == (str(folder / "gull.yaml"), str(folder))
    assert "3 layouts" in begun.notes[0]
    remember_choice("main", str(folder), str(folder / "harbour.yaml"))
    assert begin_with(folder, "main").path == str(folder / "harbour.yaml")
    remember_choice("main", str(folder), str(folder / "gull.yaml"))
    assert begin_with(folder, "main").notes == ()


def test_a_folder_with_one_layout_needs_no_word(folder: Path) -> None:
    (folder / "gull.yaml").unlink()
    assert begin_with(folder, "main").notes == ()


def test_a_folder_without_layouts_is_no_beginning(tmp_path: Path) -> None:
    with pytest.raises(NothingToBegin, match="there is no layout in"):
        begin_with(tmp_path, "main")
