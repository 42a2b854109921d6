"""The smallest useful layout, read from a file."""

from pathlib import Path

from remapd.engine.actions import Press
from remapd.engine.pad_controls import FIRST_DIRECTION, SOUTH, UP
from remapd.language import load, load_text

SMALLEST = """\
remapd: 1
title: Two knee switches
devices:
  knees:
    find: {name: "Switch box"}
    controls:
      left-knee: {button: BTN_0}
      right-knee: {button: BTN_1}
layers:
  play:
    left-knee: south
    right-knee: left-stick.up
"""


def test_the_smallest_useful_layout(tmp_path: Path) -> None:
    path = tmp_path / "knees.yaml"
    path.write_text(SMALLEST)

    loaded = load(path)

    assert loaded.diagnostics == []
    assert loaded.layout is not None
    assert loaded.layout.title == "Two knee switches"
    assert [button.name for button in loaded.layout.buttons] == ["left-knee", "right-knee"]
    assert dict(loaded.layout.layers[0].bindings) == {
        0: Press((SOUTH,), label="south"),
        1: Press((FIRST_DIRECTION + UP,), label="left-stick.up"),
    }
    assert loaded.files == (path,)
    assert loaded.self_contained_text == SMALLEST


def test_a_text_without_a_file_is_the_same_layout(tmp_path: Path) -> None:
    path = tmp_path / "knees.yaml"
    path.write_text(SMALLEST)

    assert load_text(SMALLEST).layout == load(path).layout
