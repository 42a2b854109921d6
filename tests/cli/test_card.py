"""`remapd card`: forms, papers, files, and what a user is told when it cannot be done."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

import pytest

from remapd.cli.main import main
from remapd.engine.pad_controls import PLAYER
from remapd.language import load
from remapd.show.card_words import spoken
from tests.support.layouts import TWO_KNEES

LAYOUTS = Path(__file__).parents[2] / "layouts"
MANY = (
    TWO_KNEES
    + "".join(
        f"  layer-{number}:\n    left-knee: {{layer: layer-{number + 1}, how: toggle}}\n"
        for number in range(1, 8)
    )
    + "  layer-8:\n    left-knee: east\n"
)
MANY = MANY.replace("layers:\n", "base: play\nlayers:\n").replace(
    "left-knee: south", "left-knee: {layer: layer-1, how: toggle}"
)


@pytest.fixture
def layout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "knees.yaml"
    path.write_text(TWO_KNEES)
    return path


def skip_without_cairo() -> None:
    try:
        importlib.import_module("cairosvg")
    except (ImportError, OSError) as error:
        pytest.skip(f"no PDF here: {error}")


def test_html_beside_nothing_else_said(layout: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["card", str(layout)]) == 0

    assert capsys.readouterr().out == "written: knees-card.html\n"
    assert (layout.parent / "knees-card.html").read_text().startswith("<!DOCTYPE html>")


@pytest.mark.parametrize(
    ("name", "begins"), [("a.svg", "<?xml"), ("a.txt", "Two knee"), ("a.HTML", "<!DOCTYPE")]
)
def test_the_name_of_the_file_says_the_form(layout: Path, name: str, begins: str) -> None:
    assert main(["card", str(layout), "-o", name]) == 0

    assert (layout.parent / name).read_text().startswith(begins)


def test_text_is_printed(layout: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["card", str(layout), "--format", "text"]) == 0

    assert "  - left knee: south\n" in capsys.readouterr().out


def test_paper_is_of_its_true_size(layout: Path) -> None:
    assert main(["card", str(layout), "--paper", "letter", "-o", "a.svg"]) == 0

    text = (layout.parent / "a.svg").read_text()
    assert 'width="279.4mm" height="215.9mm"' in text or 'width="215.9mm" height="279.4mm"' in text


def test_several_pages_are_several_svg_files(
    layout: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    layout.write_text(MANY)

    assert main(["card", str(layout), "-o", "a.svg"]) == 0
    names = [line.removeprefix("written: ") for line in capsys.readouterr().out.splitlines()]
    assert names == [f"a-{number}.svg" for number in range(1, len(names) + 1)]
    assert len(names) > 1
    assert main(["card", str(layout), "--format", "svg", "-o", "-"]) == 1
    assert "pages, and an SVG file holds one; name a file" in capsys.readouterr().err


def test_a_name_that_says_no_form_is_wrong_usage(
    layout: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["card", str(layout), "-o", "card.docx"]) == 2

    assert "end it in .html, .svg, .pdf or .txt, or say --format" in capsys.readouterr().err


def test_a_layout_with_an_error_makes_no_card(
    layout: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    layout.write_text(TWO_KNEES.replace("south", "sooth"))

    assert main(["card", str(layout)]) == 1
    assert "did you mean" in capsys.readouterr().err
    assert not (layout.parent / "knees-card.html").exists()


def test_a_file_that_cannot_be_written_is_told(
    layout: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["card", str(layout), "-o", "nowhere/card.html"]) == 1

    assert "nowhere/card.html cannot be written: No such file" in capsys.readouterr().err


def test_places_that_cannot_be_used_are_told(
    layout: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    layout.write_text(TWO_KNEES + "place: {left-knee: here}\n")

    assert main(["card", str(layout)]) == 0
    assert "place: `left-knee` is not [column, row]" in capsys.readouterr().err


def test_pdf_without_its_library_says_what_to_install(
    layout: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "cairocffi", None)

    assert main(["card", str(layout), "-o", "a.pdf"]) == 1
    assert "pip install 'remapd[pdf]'" in capsys.readouterr().err


def test_pdf_has_a_page_a_page(layout: Path) -> None:
    skip_without_cairo()
    layout.write_text(MANY)

    assert main(["card", str(layout), "-o", "a.pdf"]) == 0
    content = (layout.parent / "a.pdf").read_bytes()
    assert content.startswith(b"%PDF-")


def test_pdf_refuses_letters_that_it_would_set_wrongly(
    layout: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    skip_without_cairo()
    layout.write_text(TWO_KNEES.replace("Two knee switches", "שני מתגים"))

    assert main(["card", str(layout), "-o", "a.pdf"]) == 1
    assert "run from the right; make --format html" in capsys.readouterr().err


# ---------------------------------------------------------------- the hand-over sheet
def test_the_sheet_has_what_the_layout_knows_and_room_for_the_rest(
    layout: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    layout.write_text(TWO_KNEES.replace("Two knee", "Two <b>knee"))
    empty = Path("docs/hand-over-sheet.html")

    assert main(["card", str(layout), "--sheet"]) == 0
    assert capsys.readouterr().out == "written: knees-sheet.html\n"
    page = (layout.parent / "knees-sheet.html").read_text()
    assert "<td>left knee</td><td>Switch box</td><td></td><td></td>" in page
    assert "Layout (file)</th><td>knees.yaml: Two &lt;b&gt;knee" in page
    assert "<b>" not in page
    assert '<th scope="row">Player</th><td></td>' in page
    rows = (Path(__file__).parents[2] / empty).read_text().count("<tr>")
    assert page.count("<tr>") == rows, "a control takes the place of an empty row"


@pytest.mark.parametrize(
    "path",
    sorted(p for p in LAYOUTS.glob("*.yaml") if ".trials" not in p.name),
    ids=lambda p: p.stem,
)
def test_every_device_of_a_layout_is_on_its_sheet(path: Path, tmp_path: Path) -> None:
    assert main(["card", str(path), "--sheet", "-o", str(tmp_path / "sheet.html")]) == 0
    page = (tmp_path / "sheet.html").read_text()
    loaded = load(path).layout
    assert loaded is not None

    for device in loaded.devices:
        wanted = device.find.name.rstrip("*") if device.find.name else f"any {device.find.shape}"
        assert f"<td>{wanted}</td>" in page
        assert device.person == PLAYER or f"{spoken(device.name)} (helper)</td>" in page


@pytest.mark.parametrize("words", [["--format", "pdf"], ["-o", "a.svg"], ["--format", "text"]])
def test_the_sheet_is_a_page(
    layout: Path, words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["card", str(layout), "--sheet", *words]) == 2
    assert "--sheet is HTML" in capsys.readouterr().err
