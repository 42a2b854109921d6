"""Layouts of a folder are chosen by file name or title; a slip is answered with what is near."""

from __future__ import annotations

from pathlib import Path

import pytest

from remapd.language.shelf import NotOnShelf, choose, layouts_in, meant_by

LAYOUT = "remapd: 1\ntitle: {title}\ndevices: {{}}\nlayers: {{play: {{}}}}\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name, title in {
        "harbour": "Sailing home",
        "gull": '"Gull: in the wind"',
        "quayside-two": "Quayside",
        "quayside-one": "Quayside",
    }.items():
        (tmp_path / f"{name}.yaml").write_text(LAYOUT.format(title=title))
    (tmp_path / "broken.yaml").write_text("remapd: 1\ntitle: Broken one\nlayers: {play: [\n")
    (tmp_path / "untitled.yml").write_text("remapd: 1\nlayers: {play: {}}\n")
    (tmp_path / "harbour.trials.yaml").write_text("trials: []\n")
    (tmp_path / "ward.yaml").write_text("remapd: 1\ndevices: {}\n")
    (tmp_path / "shopping.yaml").write_text("milk: 2\n")
    (tmp_path / "binary.yaml").write_bytes(b"\xff\xfe\x00layers:")
    (tmp_path / "folder.yaml").mkdir()
    return tmp_path


def test_only_layouts_are_found_with_their_titles(folder: Path) -> None:
    assert [(each.name, each.title, each.is_readable) for each in layouts_in(folder)] == [
        ("broken", "Broken one", False),
        ("gull", "Gull: in the wind", True),
        ("harbour", "Sailing home", True),
        ("quayside-one", "Quayside", True),
        ("quayside-two", "Quayside", True),
        ("untitled", "untitled", True),
    ]
    assert layouts_in(folder / "none") == []


@pytest.mark.parametrize(
    ("name", "file"),
    [
        ("harbour", "harbour"),
        ("harbour.yaml", "harbour"),
        ("Sailing home", "harbour"),
        ("sailing  HOME", "harbour"),
        ("Quayside One", "quayside-one"),
        ("gull: in the wind", "gull"),
    ],
)
def test_a_name_is_that_of_the_file_or_the_title(folder: Path, name: str, file: str) -> None:
    assert choose(name, layouts_in(folder)).name == file


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("harbor", "did you mean `harbour`"),
        ("Sailing hom", "did you mean `Sailing home`"),
        ("Quayside", "2 layouts .* `quayside-one` or `quayside-two`"),
        ("xyz", "there are `broken`, `gull`, `harbour`"),
    ],
)
def test_a_slip_is_answered_with_what_there_is(folder: Path, name: str, told: str) -> None:
    with pytest.raises(NotOnShelf, match=told):
        choose(name, layouts_in(folder))


def test_the_first_folder_counts_for_a_name_that_two_have(folder: Path, tmp_path: Path) -> None:
    second = tmp_path / "second"
    second.mkdir()
    (second / "harbour.yaml").write_text(LAYOUT.format(title="Another"))
    assert choose("harbour", [*layouts_in(folder), *layouts_in(second)]).path.parent == folder
    assert choose("harbour", [*layouts_in(second), *layouts_in(folder)]).path.parent == second


@pytest.mark.parametrize(
    ("written", "file"),
    [("gull.yaml", "gull.yaml"), ("gull", "gull.yaml"), ("Sailing home", "harbour.yaml")],
)
def test_an_action_names_a_file_or_a_layout_of_its_folder(
    folder: Path, written: str, file: str
) -> None:
    assert meant_by(folder / "quayside-one.yaml", written) == folder / file


def test_what_an_action_names_and_is_not_there_stays_a_path(folder: Path) -> None:
    assert meant_by(folder / "gull.yaml", "none") == folder / "none"
